"""Takes a folder name, gives a new hub in it that publishes at once."""

from __future__ import annotations

import secrets
from pathlib import Path

from gramwright.problems import Trouble
from gramwright.resources import content

_RENAMED = {"gitignore": ".gitignore"}


def _identity() -> bytes:
    """Two new hubs are of one title, and are not each other's."""
    told = "# What tells this hub's site from another's; keep it when you move or copy the folder."
    return f"{told}\nid: hub-{secrets.token_hex(6)}\n".encode()


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
        data = source.read_bytes()
        target.write_bytes(data + _identity() if name == "hub.yaml" else data)
        written.append(target.relative_to(folder).as_posix())
    return sorted(written)
