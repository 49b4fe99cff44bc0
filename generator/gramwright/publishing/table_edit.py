"""Changes one cell of a CSV table and nothing else: order, quoting, comments and line ends stay as they are."""

from __future__ import annotations

import csv

from gramwright.problems import Trouble
from gramwright.reading.csv_lines import ASIDE, RECORD, stretches, with_ends


def set_cell(text: str, line: int, column: str, value: str) -> str:
    """The table with another value in `column` of the record that starts in `line` (from 1).

    A column that the table does not have is added at its end. Raises Trouble 'table-changed' when there is no such
    record.
    """
    records = list(stretches(with_ends(text)))
    head = next((record for record in records if record[2] != ASIDE), None)
    target = next((record for record in records if record[0] == line and record[2] == RECORD), None)
    if head is None or target is None or target is head:
        raise _no_record(line)
    names = _cells(head[1])
    if column not in names:
        return set_cell(add_column(text, column), line, column, value)
    index = names.index(column)
    changed = _replaced(target[1], index, value)
    old, new = _cells(target[1]), _cells(changed)
    if new != [*old[:index], value, *old[index + 1 :]]:
        raise Trouble("csv-quote", f"expected quotes around whole cells in line {line}", "mend the line first")
    return "".join(changed if record is target else record[1] for record in records)


def add_column(text: str, column: str) -> str:
    """The table with one more column at its end, empty in every record."""
    parts: list[str] = []
    head = True
    for _, record, what in stretches(with_ends(text)):
        parts.append(record if what == ASIDE else _appended(record, column if head else ""))
        head = head and what == ASIDE
    return "".join(parts)


def append_record(text: str, cells: list[str]) -> str:
    """The table with one more record at its end, with the line ends that it has."""
    end = next((end for end in ("\r\n", "\n", "\r") if end in text), "\n")
    if text and not text.endswith(("\r", "\n")):
        text += end
    return text + ",".join(_quoted(cell, False) for cell in cells) + end


def header_of(text: str) -> list[str]:
    """Names of the columns; [] for an empty table."""
    return next((_cells(record) for _, record, what in stretches(with_ends(text)) if what != ASIDE), [])


def cells_of(text: str, line: int) -> list[str]:
    """The cells of the record that starts in `line`. Raises Trouble 'table-changed'."""
    for number, record, what in stretches(with_ends(text)):
        if number == line and what == RECORD:
            return _cells(record)
    raise _no_record(line)


def last_line(text: str) -> int:
    """Where the last record starts; 0 for none."""
    return max((number for number, _, what in stretches(with_ends(text)) if what == RECORD), default=0)


def _no_record(line: int) -> Trouble:
    return Trouble("table-changed", f"expected a record in line {line}, found none", "read the table again")


def _cells(record: str) -> list[str]:
    return next(csv.reader([_body(record)]))


def _body(record: str) -> str:
    return record.rstrip("\r\n")


def _appended(record: str, cell: str) -> str:
    body = _body(record)
    return f"{body},{_quoted(cell, False)}{record[len(body) :]}"


def _replaced(record: str, index: int, value: str) -> str:
    """The record with its cell number `index` (from 0) replaced."""
    body = _body(record)
    start, number, position, quoted = 0, 0, 0, False
    while position <= len(body):
        character = body[position] if position < len(body) else ","
        if character == '"':
            quoted = not quoted
        elif character == "," and not quoted:
            if number == index:
                was_quoted = body[start:position].lstrip().startswith('"')
                return body[:start] + _quoted(value, was_quoted) + body[position:] + record[len(body) :]
            number += 1
            start = position + 1
        position += 1
    raise Trouble("too-few-cells", f"expected at least {index + 1} cells, found {number}", "mend the line first")


def _quoted(value: str, always: bool) -> str:
    if always or any(character in value for character in ',"\r\n'):
        return '"' + value.replace('"', '""') + '"'
    return value
