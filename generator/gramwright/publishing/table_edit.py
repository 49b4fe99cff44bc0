"""Changes one cell of a CSV table and nothing else: order, quoting, comments and line ends stay as they are."""

from __future__ import annotations

import csv
import io

from gramwright.problems import Trouble


def set_cell(text: str, line: int, column: str, value: str) -> str:
    """The table with another value in `column` of the record that starts in `line` (from 1).

    A column that the table does not have is added at its end. Raises Trouble 'table-changed' when there is no such
    record.
    """
    records = _records(text)
    head = next((record for record in records if not _is_aside(record[1])), None)
    target = next((record for record in records if record[0] == line), None)
    if head is None or target is None or target is head or _is_aside(target[1]):
        raise Trouble("table-changed", f"expected a record in line {line}, found none", "read the table again")
    names = next(csv.reader([_body(head[1])]))
    if column not in names:
        return set_cell(add_column(text, column), line, column, value)
    changed = _replaced(target[1], names.index(column), value)
    return "".join(changed if record is target else record[1] for record in records)


def add_column(text: str, column: str) -> str:
    """The table with one more column at its end, empty in every record."""
    records = _records(text)
    head = next(record for record in records if not _is_aside(record[1]))
    return "".join(
        record[1] if _is_aside(record[1]) else _appended(record[1], column if record is head else "")
        for record in records
    )


def append_record(text: str, cells: list[str]) -> str:
    """The table with one more record at its end, with the line ends that it has."""
    end = "\r\n" if "\r\n" in text else "\n"
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator=end).writerow(cells)
    if text and not text.endswith("\n"):
        text += end
    return text + buffer.getvalue()


def header_of(text: str) -> list[str]:
    """Names of the columns; [] for an empty table."""
    for _, record in _records(text):
        if not _is_aside(record):
            return next(csv.reader([_body(record)]))
    return []


def cells_of(text: str, line: int) -> list[str]:
    """The cells of the record that starts in `line`. Raises Trouble 'table-changed'."""
    for number, record in _records(text):
        if number == line:
            return next(csv.reader([_body(record)]))
    raise Trouble("table-changed", f"expected a record in line {line}, found none", "read the table again")


def _records(text: str) -> list[tuple[int, str]]:
    """(first line, raw text with its line end) of everything in the table, comments and blank lines too."""
    records: list[tuple[int, str]] = []
    open_since = 0
    pending = ""
    for number, line in enumerate(text.splitlines(keepends=True), 1):
        if not pending and line.startswith("#"):
            records.append((number, line))
            continue
        if not pending:
            open_since = number
        pending += line
        if pending.count('"') % 2 == 0:
            records.append((open_since, pending))
            pending = ""
    if pending:
        records.append((open_since, pending))
    return records


def _is_aside(record: str) -> bool:
    return record.startswith("#") or not record.strip()


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
