"""Takes pantry.csv, gives what is in the house: `food, grams, best_before`. Foods are not looked up yet.

    read_pantry(text, file, log) -> list[PantryLine]     without the lines that have errors

`food` is an id or any name of a food, `grams` what is left of it, `best_before` an ISO date or empty.
A food may stand in several lines (several packs).
"""

from __future__ import annotations

from typing import NamedTuple

from gramwright.problems import Place, ProblemLog, Trouble
from gramwright.reading.cells import parse_cell
from gramwright.reading.csv_lines import cells_ok, header_ok, lines_of, no_header
from gramwright.reading.fields import parse_date

FILE = "pantry.csv"
COLUMNS = ("food", "grams", "best_before", "note")


class PantryLine(NamedTuple):
    """Some of one food in the house."""

    food: str
    """As written: an id or a name."""
    grams: float
    best_before: str
    """ISO date; '' where it does not matter."""
    place: Place


def read_pantry(text: str, file: str, log: ProblemLog) -> list[PantryLine]:
    """The lines in file order."""
    lines = lines_of(text, file, log)
    head = next(lines, None)
    if head is None:
        no_header(file, log, ", ".join(COLUMNS[:3]))
        return []
    if not header_ok(head, file, log, COLUMNS, COLUMNS[:2], COLUMNS):
        return []
    at = {name: index for index, name in enumerate(head.cells)}
    found: list[PantryLine] = []
    for line in lines:
        if not cells_ok(line, len(head.cells), file, log):
            continue
        food = line.cells[at["food"]].strip()
        if not food:
            log.error(
                Place(file, line.number, at["food"] + 1), "missing-cell", "expected a food, found none", "fill it"
            )
            continue
        grams = _grams(line.cells[at["grams"]], Place(file, line.number, at["grams"] + 1), log)
        best_before = line.cells[at["best_before"]].strip() if "best_before" in at else ""
        if best_before:
            try:
                best_before = parse_date(best_before)
            except Trouble as trouble:
                log.add(trouble.at(Place(file, line.number, at["best_before"] + 1)))
                continue
        if grams is not None:
            found.append(PantryLine(food, grams, best_before, Place(file, line.number, at["food"] + 1)))
    return found


def _grams(cell: str, place: Place, log: ProblemLog) -> float | None:
    try:
        value = parse_cell(cell)
    except Trouble as trouble:
        log.add(trouble.at(place))
        return None
    if value is None or not 0 <= value.amount <= 1e6:
        log.error(
            place, "bad-pantry", f"expected the grams that are left, found '{cell.strip()}'", "weigh it, in grams"
        )
        return None
    return value.amount
