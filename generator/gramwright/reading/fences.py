"""Takes the Markdown of a page, gives its fenced blocks by CommonMark's rules (section 4.5); the rest is not parsed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

_FENCE = re.compile(r"\n {0,3}(`{3,}|~{3,})([^\n]*)")


class Fence(NamedTuple):
    """One fenced block, as offsets into the text."""

    name: str
    """First word of the info string; '' when there is none."""
    start: int
    """Where the opening line starts."""
    inner: int
    """Where the content starts."""
    inner_end: int
    end: int
    """After the closing line."""
    closed: bool


def fences(text: str) -> Iterator[Fence]:
    """Every fenced block in order; what stands inside one opens no other."""
    opened: re.Match[str] | None = None
    for line in _FENCE.finditer("\n" + text):  # so offsets are one too high, and a line starts where its break stands
        marks, info = line.groups()
        if opened is None:
            if marks[0] != "`" or "`" not in info:
                opened = line
        elif marks[0] == opened[1][0] and len(marks) >= len(opened[1]) and not info.strip():
            yield _fence(opened, line.start(), min(line.end(), len(text)), True, text)
            opened = None
    if opened is not None:
        yield _fence(opened, len(text), len(text), False, text)


def _fence(opened: re.Match[str], inner_end: int, end: int, closed: bool, text: str) -> Fence:
    words = opened[2].split(None, 1)
    return Fence(words[0] if words else "", opened.start(), min(opened.end(), len(text)), inner_end, end, closed)
