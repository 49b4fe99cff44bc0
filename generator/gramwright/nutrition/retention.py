"""The table of retention factors. Takes content/retention/usda-r6.csv, gives shares kept by code."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from gramwright.model import Tag
from gramwright.nutrition.content import number, read_csv
from gramwright.problems import Place, ProblemLog, Trouble, near

FILE = "retention/usda-r6.csv"


class Retention(NamedTuple):
    """One preparation: shares kept, 0 to 1, by tag. A tag that is missing has no known factor: all of it is counted."""

    code: str
    description: str
    kept: Mapping[Tag, float]
    unknown: tuple[Tag, ...] = ()
    """Components that the table covers but gives no factor for here."""


@dataclass(frozen=True, slots=True)
class RetentionTable:
    """All preparations by code."""

    by_code: Mapping[str, Retention] = field(default_factory=dict)
    tags: tuple[Tag, ...] = ()
    """The components that the table covers; every other component is taken as kept in full."""

    def get(self, code: str) -> Retention:
        """One preparation. Raises Trouble 'unknown-retention-code' that lists the nearest ones."""
        found = self.by_code.get(code)
        if found is not None:
            return found
        candidates = [f"{item.code} ({item.description})" for item in self._near(code)]
        hint = f"Nearest: {'; '.join(candidates)}." if candidates else "See content/retention for the codes."
        raise Trouble(
            "unknown-retention-code",
            f"expected a code of the retention table for cooked_as, found '{code}'",
            hint + " Without cooked_as everything counts as kept.",
        )

    def _near(self, code: str) -> list[Retention]:
        """By code when it looks like one, else by words of the description."""
        wanted = code.strip().casefold()
        if wanted.isdigit():
            close = near(wanted, self.by_code)
            numeric = sorted(
                (known for known in self.by_code if known.isdigit()),
                key=lambda known: (abs(int(known) - int(wanted)), known),
            )
            codes = list(dict.fromkeys([*close[:2], *numeric]))[:4]
            return [self.by_code[known] for known in codes]
        words = [word for word in wanted.replace(",", " ").split() if len(word) > 2]
        scored = [
            (-sum(word in item.description.casefold() for word in words), item.code, item)
            for item in self.by_code.values()
        ]
        return [item for score, _, item in sorted(scored, key=lambda entry: entry[:2])[:4] if score < 0]


def load_retention(log: ProblemLog) -> RetentionTable:
    """Reads the shipped table. Problems of the table go into the log with their line; good lines still count."""
    try:
        header, rows = read_csv(FILE)
    except Trouble as trouble:
        log.add(trouble.at(Place(f"content/{FILE}")))
        return RetentionTable()
    if header[:2] != ["code", "description"]:
        log.error(Place(f"content/{FILE}", 1), "wrong-header", f"expected code,description first, found {header[:2]}")
        return RetentionTable()
    tags = tuple(name for name in header[2:] if "_" in name and name == name.strip() and name[0].isupper())
    table: dict[str, Retention] = {}
    for line, cells in rows:
        place = Place(f"content/{FILE}", line)
        try:
            item = _read_line(cells, tags)
        except Trouble as trouble:
            log.add(trouble.at(place))
            continue
        if item.code in table:
            log.error(place, "duplicate-code", f"the retention code {item.code} is given twice")
            continue
        table[item.code] = item
    return RetentionTable(table, tags)


def _read_line(cells: Mapping[str, str], tags: Iterable[Tag]) -> Retention:
    code = cells.get("code", "")
    if not code:
        raise Trouble("broken-content", "expected a retention code, found an empty cell", "")
    kept: dict[Tag, float] = {}
    unknown: list[Tag] = []
    for tag in tags:
        if not cells.get(tag):
            unknown.append(tag)
            continue
        share = number(cells, tag, f"retention code {code}") / 100
        if not 0 <= share <= 1:
            raise Trouble("broken-content", f"expected 0 to 100 per cent for {tag} of code {code}, found {cells[tag]}")
        kept[tag] = share
    return Retention(code, cells.get("description", ""), kept, tuple(unknown))
