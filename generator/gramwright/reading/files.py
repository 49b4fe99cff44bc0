"""Takes the bytes of a file in a hub, gives its text; no UTF-8 or too large is a located problem."""

from __future__ import annotations

import re
from pathlib import Path

from gramwright.problems import Place, ProblemLog

MOST_BYTES = 2_000_000
"""A page larger than this is refused before it is read any further."""
MOST_TABLE_BYTES = 16_000_000
"""The same for a CSV table: a whole national food table is a few megabytes."""


def decode(data: bytes, file: str, log: ProblemLog) -> str | None:
    """The text of a file with line ends as '\\n', or None when it is too large or no UTF-8 text."""
    if not small_enough(len(data), file, log):
        return None
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        log.error(Place(file, 1, 1), "not-utf8", "expected UTF-8 text, found UTF-16", "save the file again as UTF-8")
        return None
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace")) + 1
        log.error(
            Place(file, line, column),
            "not-utf8",
            f"expected UTF-8 text, found the byte 0x{data[error.start]:02X}",
            "save the file again as UTF-8 (often called 'Unicode (UTF-8)' in an editor's save dialogue)",
        )
        return None
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return text if _no_control_characters(text, file, log) else None


def read(path: Path, file: str, log: ProblemLog) -> str | None:
    """Looks at the size first, so that a file of any size costs nothing; then as `decode`.

    Raises OSError when the machine cannot read the file.
    """
    if not small_enough(path.stat().st_size, file, log):
        return None
    return decode(path.read_bytes(), file, log)


def small_enough(size: int, file: str, log: ProblemLog) -> bool:
    """Whether a file of `size` bytes is read at all; logs a problem when it is not."""
    most = MOST_TABLE_BYTES if file.endswith(".csv") else MOST_BYTES
    if size <= most:
        return True
    log.error(
        Place(file),
        "too-large",
        f"expected a text of at most {most / 1e6:g} MB, found {size / 1e6:.1f} MB",
        "a recipe or a table is far smaller; take pasted pictures or data out, or cut the file into several",
    )
    return False


_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


def _no_control_characters(text: str, file: str, log: ProblemLog) -> bool:
    found = _CONTROL.search(text)
    if found is None:
        return True
    at = found.start()
    log.error(
        Place(file, text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)),
        "control-character",
        f"expected text, found the control character U+{ord(text[at]):04X}",
        "delete it; the file may be no text at all",
    )
    return False
