"""Takes corrections.csv, gives its entries: which figure of which food was corrected, when, from what, to what, why."""

from __future__ import annotations

from dataclasses import dataclass

from gramwright.problems import Place, ProblemLog, Trouble
from gramwright.reading.csv_lines import cells_ok, header_ok, lines_of, no_header
from gramwright.reading.fields import parse_date

COLUMNS = ("date", "food", "component", "old", "new", "reason", "source")
HEADER = ",".join(COLUMNS)
FILE = "corrections.csv"


@dataclass(frozen=True, slots=True)
class Correction:
    """One corrected cell of one food. `old` and `new` are cells as a table has them; '' is unknown."""

    date: str
    """ISO date."""
    food: str
    component: str
    """The table's column: a tag ('PROCNT_g') or 'contains', 'updated' ..."""
    old: str
    new: str
    reason: str
    source: str
    place: Place


def read_corrections(text: str, file: str, log: ProblemLog) -> list[Correction]:
    """The entries in file order (oldest first as they were added), without the lines that have errors."""
    lines = lines_of(text, file, log)
    head = next(lines, None)
    if head is None:
        no_header(file, log, HEADER)
        return []
    if not header_ok(head, file, log, COLUMNS, COLUMNS[:6], COLUMNS):
        return []
    at = {name: index for index, name in enumerate(head.cells)}
    entries: list[Correction] = []
    for line in lines:
        if not cells_ok(line, len(head.cells), file, log):
            continue
        place = Place(file, line.number)
        cells = {name: line.cells[index].strip() for name, index in at.items()}
        missing = [name for name in ("food", "component", "reason") if not cells[name]]
        if missing:
            log.error(place, "missing-cell", f"expected a {missing[0]}, found an empty cell", "fill it")
            continue
        try:
            day = parse_date(cells["date"])
        except Trouble as trouble:
            log.add(trouble.at(Place(file, line.number, at["date"] + 1)))
            continue
        entries.append(
            Correction(
                day,
                cells["food"],
                cells["component"],
                cells["old"],
                cells["new"],
                cells["reason"],
                cells.get("source", ""),
                place,
            )
        )
    return entries
