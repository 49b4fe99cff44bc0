"""What an import gives: rows in our own columns, and what of the foreign table did not become one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

from gramwright.problems import Place, ProblemLog

Progress = Callable[[int, int], None]
"""(done, total) in per cent."""

Cells = dict[str, str]
"""Our column -> cell, as a foods table writes it."""


class MeasureRow(NamedTuple):
    """One line of a measures table."""

    food: str
    measure: str
    grams: str
    source: str


@dataclass(slots=True)
class Imported:
    """The rows of a foreign table, in its order."""

    foods: list[Cells] = field(default_factory=list)
    measures: list[MeasureRow] = field(default_factory=list)
    columns: tuple[str, ...] = ()
    """Component columns (with refuse_pct and density_g_ml) in the mapping's order."""
    left_out: list[str] = field(default_factory=list)
    """Columns or nutrients of the foreign table that the mapping does not name."""
    not_taken: dict[str, int] = field(default_factory=dict)
    """What was passed over on purpose, in words -> how many."""

    def pass_over(self, what: str) -> None:
        self.not_taken[what] = self.not_taken.get(what, 0) + 1


class Complaints:
    """Cells that could not be read: the first of each kind with its place, and how many more there are."""

    def __init__(self, log: ProblemLog) -> None:
        self._log = log
        self._seen: dict[tuple[str, str, str], tuple[Place, str, str, int]] = {}

    def add(self, place: Place, code: str, where: str, message: str, hint: str, text: str = "") -> None:
        """`where` (a column) and `text` (the cell) tell repeats."""
        key = (code, where, text)
        known = self._seen.get(key)
        self._seen[key] = (place, message, hint, 1) if known is None else (*known[:3], known[3] + 1)

    def tell(self) -> None:
        """Logs one warning a kind."""
        for (code, _, _), (place, message, hint, times) in self._seen.items():
            more = "" if times == 1 else f" (and {times - 1:,} more times)"
            self._log.warn(place, code, message + more, hint)
