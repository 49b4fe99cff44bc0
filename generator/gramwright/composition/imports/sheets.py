"""Takes a foreign CSV file, gives its heads and its rows with line numbers, read as the mapping says."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import IO, NamedTuple

from gramwright.composition.imports.records import Progress
from gramwright.problems import Trouble

ENCODINGS = ("utf-8", "windows-1252", "iso-8859-1", "iso-8859-15", "utf-16", "mac-roman")
STEP = 5_000
"""Rows between two calls of the progress callback."""


class Reading(NamedTuple):
    """How a CSV file is written."""

    encoding: str = "utf-8"
    delimiter: str = ","
    head_line: int = 1
    first_line: int = 0
    """Line of the first food; 0: the one after the heads."""
    head_after: str = ""
    """The part of a head after the last one of these is its name ('Energy; enerc')."""


class Sheet:
    """An open CSV file: `heads`, then rows one by one."""

    def __init__(self, path: Path, reading: Reading, progress: Progress | None = None) -> None:
        """Raises OSError; Trouble 'not-csv', 'wrong-encoding' when the heads cannot be read."""
        self.file = path.name
        self._reading = reading
        self._progress = progress
        self._size = max(1, path.stat().st_size)
        encoding = "utf-8-sig" if reading.encoding == "utf-8" else reading.encoding
        self._handle: IO[str] = path.open(encoding=encoding, newline="")
        try:
            self._rows = csv.reader(self._handle, delimiter=reading.delimiter)
            heads: list[str] = []
            while self.line < reading.head_line:
                heads = self._next() or []
                if not heads and self._ended:
                    break
        except Trouble:
            self.close()
            raise
        self.heads = tuple(self._name(head) for head in heads)

    @property
    def line(self) -> int:
        """The last line read."""
        return self._rows.line_num

    found = 0
    """Cells of the last row, before it was filled up."""
    _ended = False

    def close(self) -> None:
        self._handle.close()

    def __enter__(self) -> Sheet:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def column(self, *names: str) -> int | None:
        """The place of the first of these heads that is there; case and spaces around do not count."""
        lowered = [head.lower() for head in self.heads]
        for name in names:
            if name.strip().lower() in lowered:
                return lowered.index(name.strip().lower())
        return None

    def needed(self, *names: str) -> int:
        """As `column`. Raises Trouble 'missing-column'."""
        index = self.column(*names)
        if index is None:
            raise Trouble(
                "missing-column",
                f"{self.file}: expected a column '{names[0]}', found {', '.join(self.heads[:12]) or 'none'}",
                "is this the file of that layout, and its delimiter the one of the mapping?",
            )
        return index

    def rows(self) -> Iterator[tuple[int, list[str]]]:
        """(line, cells) of every row with something in it; short rows are filled up. Raises Trouble as the heads do."""
        count = len(self.heads)
        read = 0
        while True:
            row = self._next()
            if row is None:
                break
            read += 1
            if self._progress is not None and read % STEP == 0:
                self._progress(min(99, 100 * self._handle.buffer.tell() // self._size), 100)  # type: ignore[attr-defined]
            if self.line < self._reading.first_line or not row or (len(row) == 1 and not row[0].strip()):
                continue
            self.found = len(row)
            if len(row) < count:
                row += [""] * (count - len(row))
            yield self.line, row
        if self._progress is not None:
            self._progress(100, 100)

    def _next(self) -> list[str] | None:
        try:
            return next(self._rows)
        except StopIteration:
            self._ended = True
            return None
        except csv.Error as error:
            raise Trouble(
                "not-csv",
                f"{self.file}, line {self.line}: expected CSV, found something else ({error})",
                "look at the quotes in this line and at the delimiter of the mapping",
            ) from error
        except UnicodeError as error:
            raise Trouble(
                "wrong-encoding",
                f"{self.file}, after line {self.line}: expected {self._reading.encoding} text, found another encoding",
                f"name the encoding in the mapping: reading: {{encoding: ...}}, one of {', '.join(ENCODINGS)}",
            ) from error

    def _name(self, head: str) -> str:
        mark = self._reading.head_after
        return " ".join((head.rpartition(mark)[2] if mark else head).split())
