"""Takes a folder, gives what lies in it: every file a publish may depend on, with its size and time."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from gramwright.problems import Place, Problem, Severity, Trouble

Stamp = tuple[int, int]
"""(size in bytes, time of last change in nanoseconds)."""

FOLDERS = {
    "recipes": (".md",),
    "plans": (".md",),
    "foods": (".csv", ".yaml"),
    "measures": (".csv",),
    "photos": (".jpg", ".jpeg", ".png", ".webp"),
    "theme": (".html", ".css", ".js", ".yaml", ".ttf", ".otf"),
}
"""What belongs to a hub: folder -> endings that are read in it."""

FILES = ("hub.yaml", "corrections.csv", "pantry.csv", "prices.csv", "explained.csv")


@dataclass(frozen=True, slots=True)
class HubFiles:
    """The files of a hub by their path inside it ('recipes/soups/leek.md'), sorted."""

    root: Path
    stamps: Mapping[str, Stamp]
    overlay: Mapping[str, bytes] = field(default_factory=dict)
    """Files as they would be: these bytes are read in place of what lies on the disk."""
    problems: tuple[Problem, ...] = ()
    """What lies there under a name that would be read, and cannot be."""

    def under(self, folder: str) -> tuple[str, ...]:
        """The files below one folder, sorted by path."""
        start = folder + "/"
        return tuple(name for name in self.stamps if name.startswith(start))

    def read(self, name: str) -> bytes:
        planned = self.overlay.get(name)
        return (self.root / name).read_bytes() if planned is None else planned

    def digest(self) -> str:
        """Changes when any file does, comes or goes, by size and time."""
        lines = "".join([f"{name}\0{stamp}\n" for name, stamp in self.stamps.items()])
        lines += "".join([f"\0{problem.place.file}\n" for problem in self.problems])
        return hashlib.blake2b(lines.encode("utf-8", "surrogateescape"), digest_size=16).hexdigest()

    def mark(self, name: str) -> str:
        """Changes when a file does, by size and time; '' for none."""
        return f"{name}\0{self.stamps.get(name)}" if name else ""

    def with_files(self, texts: Mapping[str, str]) -> HubFiles:
        """This hub with some files as they would be."""
        overlay = {name: text.encode() for name, text in texts.items()}
        stamps = dict(self.stamps) | {name: (len(data), 0) for name, data in overlay.items()}
        return HubFiles(self.root, dict(sorted(stamps.items())), overlay, self.problems)


def scan(root: Path) -> HubFiles:
    """Looks at a hub without reading it.

    Raises Trouble 'no-hub' when the folder is missing or has no hub.yaml, OSError when it cannot be read.
    """
    if not root.is_dir():
        raise Trouble("no-hub", f"expected a hub folder, found no folder at {root}", f"gramwright start {root}")
    if not (root / "hub.yaml").is_file():
        raise Trouble(
            "no-hub",
            f"expected hub.yaml in {root}, found none",
            f"name the folder that holds hub.yaml, or make a new hub: gramwright start {root}",
        )
    stamps: dict[str, Stamp] = {}
    problems: list[Problem] = []
    for name in FILES:
        path = root / name
        if path.is_file():
            stat = path.stat()
            stamps[name] = (stat.st_size, stat.st_mtime_ns)
    for folder, endings in FOLDERS.items():
        if (root / folder).is_dir():
            stamps.update(_walk(root / folder, folder, endings, problems))
    return HubFiles(root, dict(sorted(stamps.items())), problems=tuple(sorted(problems, key=lambda one: one.place)))


def _walk(folder: Path, name: str, endings: tuple[str, ...], problems: list[Problem]) -> Iterator[tuple[str, Stamp]]:
    """Files with one of the endings below a folder; hidden ones are passed over, and what cannot be read is told."""
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith("."):
                continue
            inside = f"{name}/{entry.name}"
            if entry.is_dir(follow_symlinks=False):
                yield from _walk(folder / entry.name, inside, endings, problems)
            elif entry.name.lower().endswith(endings):
                if entry.is_file(follow_symlinks=False) or (entry.is_symlink() and Path(entry.path).is_file()):
                    stat = entry.stat()
                    yield inside, (stat.st_size, stat.st_mtime_ns)
                else:
                    problems.append(_no_file(entry, inside))
            elif entry.is_symlink() and Path(entry.path).is_dir():
                problems.append(_no_file(entry, inside))


def _no_file(entry: os.DirEntry[str], inside: str) -> Problem:
    """What stands where a file would be read: an error where it would be a recipe."""
    if Path(entry.path).is_dir():
        found, hint = "a link to a folder", "links to folders are not followed: copy the folder into the hub"
    elif entry.is_symlink() and not Path(entry.path).exists():
        found, hint = "a link to a file that does not exist", "mend the link, put the file in its place, or delete it"
    else:
        found, hint = (
            "something that is no file (a pipe, a socket or a device)",
            "put a file in its place, or delete it",
        )
    recipe = inside.startswith("recipes/") and inside.lower().endswith(FOLDERS["recipes"])
    severity = Severity.ERROR if recipe else Severity.WARNING
    return Problem(severity, "not-a-file", f"expected a file, found {found}", hint, Place(inside))
