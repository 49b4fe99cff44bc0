"""Finished weights. Takes a recipe page and its raw grams, gives the finished weight, how it is known and how loose.

Also what the yield of a single row can be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from gramwright.model import RecipePage, Weight
from gramwright.nutrition.content import number, read_csv
from gramwright.problems import Place, ProblemLog, Trouble, either, near

FILE = "nutrition/typical-yields.csv"
ROWS_FILE = "nutrition/row-yields.csv"
HEADER = ["name", "factor", "low", "high", "source", "note"]


class TypicalYield(NamedTuple):
    """Finished weight / raw weight as usually met, with the ends of what is usual."""

    name: str
    factor: float
    low: float
    high: float
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class Yields:
    """The shipped typical yields by name."""

    by_name: Mapping[str, TypicalYield] = field(default_factory=dict)

    def get(self, name: str) -> TypicalYield:
        """One by name, case and hyphens folded. Raises Trouble 'unknown-yield' with the nearest names."""
        wanted = " ".join(name.casefold().replace("-", " ").replace("_", " ").split())
        found = self.by_name.get(wanted)
        if found is not None:
            return found
        close = near(wanted, self.by_name) or sorted(self.by_name)
        raise Trouble(
            "unknown-yield",
            f"expected a number or the name of a typical yield, found '{name}'",
            f"Write the finished weight, a factor such as 0.9, or a known name: {either(close)}.",
        )


class FinishedWeight(NamedTuple):
    """Grams of the finished batch (None: unknown) and how they are known."""

    grams: float | None
    by: Weight


def finished_weight(page: RecipePage, raw_g: float, yields: Yields) -> FinishedWeight:
    """Measured beats a factor, a factor beats a typical yield, that beats nothing. Raises Trouble 'unknown-yield'."""
    if page.finished_g is not None:
        return FinishedWeight(page.finished_g, Weight.MEASURED)
    if page.yield_factor is not None:
        return FinishedWeight(raw_g * page.yield_factor, Weight.FACTOR)
    if page.yield_name:
        return FinishedWeight(raw_g * yields.get(page.yield_name).factor, Weight.TYPICAL)
    return FinishedWeight(None, Weight.UNKNOWN)


def load_yields(log: ProblemLog) -> Yields:
    """Reads the shipped table; problems go into the log with their line."""
    try:
        header, rows = read_csv(FILE)
    except Trouble as trouble:
        log.add(trouble.at(Place(f"content/{FILE}")))
        return Yields()
    if header != HEADER:
        log.error(Place(f"content/{FILE}", 1), "wrong-header", f"expected {','.join(HEADER)}, found {header}")
        return Yields()
    table: dict[str, TypicalYield] = {}
    for line, cells in rows:
        place = Place(f"content/{FILE}", line)
        name = cells["name"]
        try:
            factor, low, high = (number(cells, key, f"yield '{name}'") for key in ("factor", "low", "high"))
        except Trouble as trouble:
            log.add(trouble.at(place))
            continue
        if not 0 < low <= factor <= high or not cells.get("source"):
            log.error(place, "broken-content", f"expected 0 < low <= factor <= high and a source for '{name}'")
            continue
        table[name] = TypicalYield(name, factor, low, high, cells["source"], cells.get("note", ""))
    return Yields(table)


Limits = Mapping[tuple[str, str], tuple[float, float]]
"""(food group, state or '' for any) -> least and most of weight after cooking / weight before."""


def load_row_yields(log: ProblemLog) -> Limits:
    """Reads the shipped limits; problems go into the log with their line."""
    try:
        _, rows = read_csv(ROWS_FILE)
    except Trouble as trouble:
        log.add(trouble.at(Place(f"content/{ROWS_FILE}")))
        return {}
    limits: dict[tuple[str, str], tuple[float, float]] = {}
    for line, cells in rows:
        place = Place(f"content/{ROWS_FILE}", line)
        group = cells.get("group", "")
        try:
            low, high = (number(cells, key, f"group '{group}'") for key in ("low", "high"))
        except Trouble as trouble:
            log.add(trouble.at(place))
            continue
        if not group or not 0 < low < high or not cells.get("source"):
            log.error(place, "broken-content", "expected a group, 0 < low < high and a source")
            continue
        limits[group, cells.get("state", "")] = (low, high)
    return limits


def page_place(page: RecipePage, *keys: str) -> Place:
    """Where the first of the front matter keys stands, or the page."""
    for key in keys:
        if key in page.lines:
            return Place(page.place.file, page.lines[key], 1)
    return page.place
