"""Takes a path and text, puts the file in place in one step: what an author wrote is there whole, old or new."""

from __future__ import annotations

import os
from pathlib import Path


def replace_text(path: Path, text: str) -> None:
    """Writes beside the file, makes it lasting, then renames. A file that was there keeps its permissions.

    A link is followed, so that the file it points to is the one that changes.
    """
    path = path.resolve()
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.next")
    try:
        with beside.open("wb") as handle:
            if path.exists():
                os.fchmod(handle.fileno(), path.stat().st_mode & 0o7777)
            handle.write(text.encode())
            handle.flush()
            os.fsync(handle.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
