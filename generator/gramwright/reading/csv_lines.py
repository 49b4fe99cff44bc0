"""Takes CSV text, gives its lines with their numbers: comments left out, quotes read, header checked."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from gramwright.problems import Place, ProblemLog, near


class Line(NamedTuple):
    """The cells of one record, and the line it starts in."""

    number: int
    cells: list[str]


ASIDE, RECORD, OPEN = range(3)
"""What a stretch of a table is: a comment or a blank line, a record, or a record whose quote is never closed."""

_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")


def with_ends(text: str) -> list[str]:
    """The lines of a text with their ends. CRLF, CR and LF end a line, and nothing else does."""
    return _LINE.findall(text)


def stretches(lines: Iterable[str], between: str = "") -> Iterator[tuple[int, str, int]]:
    """(number of its first line, its lines with `between` put between them, what it is) of everything in a table.

    The one rule of where a record begins and ends: who reads a table and who changes it count the same lines.
    """
    pending: list[str] = []
    start = 0
    for number, line in enumerate(lines, 1):
        if pending:
            pending.append(line)
            if line.count('"') % 2:
                yield start, between.join(pending), RECORD
                pending = []
        elif not line or line[0] == "#" or line.isspace():
            yield number, line, ASIDE
        elif '"' in line and line.count('"') % 2:
            start = number
            pending = [line]
        else:
            yield number, line, RECORD
    if pending:
        yield start, between.join(pending), OPEN


def lines_of(text: str, file: str, log: ProblemLog) -> Iterator[Line]:
    """The records of a comma-separated table; a line that starts with '#' is a comment.

    A quote that is never closed is a problem at the line where it opens; nothing after it is read.
    """
    for start, record, what in stretches(text.split("\n"), "\n"):
        if what == RECORD:
            cells = record.split(",") if '"' not in record else _quoted(record, start, file, log)
            if cells is not None:
                yield Line(start, cells)
        elif what == OPEN:
            log.error(
                Place(file, start),
                "csv-quote",
                "expected a closing quote, found the end of the table",
                'a quote inside a quoted cell is written twice: ""',
            )


def _quoted(line: str, start: int, file: str, log: ProblemLog) -> list[str] | None:
    try:
        return next(csv.reader([line], strict=True))
    except csv.Error as error:
        log.error(
            Place(file, start),
            "csv-quote",
            f"expected quotes around whole cells, found quotes that do not fit ({error})",
            'a quote inside a quoted cell is written twice: ""',
        )
        return None


def no_header(file: str, log: ProblemLog, expected: str) -> None:
    log.error(
        Place(file, 1), "no-header", f"expected a header line ({expected}), found an empty table", "add the header"
    )


def header_ok(
    head: Line, file: str, log: ProblemLog, known: Sequence[str], required: Sequence[str], shown: Sequence[str]
) -> bool:
    """Whether the header has the required columns, none twice and none unknown; logs what is wrong."""
    before = len(log)
    if len(head.cells) == 1 and re.search(r"[;\t]", head.cells[0]):
        log.error(
            Place(file, head.number, 1),
            "wrong-header",
            "expected columns divided by commas, found semicolons or tabs",
            "save the table again as comma-separated CSV",
        )
        return False
    for index, name in enumerate(head.cells, 1):
        place = Place(file, head.number, index)
        if name in head.cells[: index - 1]:
            log.error(place, "wrong-header", f"expected the column '{name}' once, found it twice", "delete one")
        elif name not in known:
            close = near(name.lower(), known, 1)
            hint = f"did you mean '{close[0]}'?" if close else f"known are: {', '.join(shown)}"
            log.error(place, "wrong-header", f"expected a known column, found '{name}'", hint)
    for name in required:
        if name not in head.cells:
            log.error(
                Place(file, head.number),
                "wrong-header",
                f"expected a column '{name}', found {', '.join(head.cells)}",
                f"the header is: {', '.join(shown)}",
            )
    return len(log) == before


def cells_ok(line: Line, columns: int, file: str, log: ProblemLog) -> bool:
    """Whether a line has as many cells as the header; cells are never moved to make them fit."""
    if len(line.cells) == columns:
        return True
    many = len(line.cells) > columns
    log.error(
        Place(file, line.number, columns + 1 if many else len(line.cells)),
        "too-many-cells" if many else "too-few-cells",
        f"expected {columns} cells, found {len(line.cells)}",
        "a text or number with a comma in it needs quotes"
        if many
        else "unknown cells stay empty, but keep their comma",
    )
    return False
