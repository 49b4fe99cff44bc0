"""Takes a folder name, gives a new hub in it that publishes at once."""

from __future__ import annotations

from pathlib import Path

from gramwright.problems import Trouble
from gramwright.resources import content

_RENAMED = {"gitignore": ".gitignore"}


def start(folder: Path) -> list[str]:
    """Writes the first files of a hub; gives their names, sorted.

    Raises Trouble 'not-empty' when the folder holds anything, OSError when it cannot be written.
    """
    if folder.exists() and not folder.is_dir():
        raise Trouble("not-empty", f"expected a new or empty folder, found a file at {folder}", "name another folder")
    if folder.is_dir() and any(folder.iterdir()):
        raise Trouble(
            "not-empty",
            f"expected a new or empty folder, found files in {folder}",
            "name a folder that does not exist yet; nothing was written",
        )
    pattern = content() / "start"
    written: list[str] = []
    for source in sorted(path for path in pattern.rglob("*") if path.is_file()):
        name = source.relative_to(pattern).as_posix()
        target = folder / _RENAMED.get(name, name)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(source.read_bytes())
        written.append(target.relative_to(folder).as_posix())
    return sorted(written)
