"""Trees of one filesystem that share their files. Takes a folder, gives another that holds the same files, linked.

A file that two trees share is one file with one number (inode): so whether a tree still is what it was made to be is
seen by looking, without a note of what was done to it, and a tree that was damaged or left half-made is put right.
"""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

_NO_LINKS = frozenset({errno.EPERM, errno.EXDEV, errno.EMLINK, errno.ENOTSUP, errno.EOPNOTSUPP})


class Inventory(NamedTuple):
    """What lies in a folder, at any depth."""

    files: Mapping[str, int]
    """Path of all that is no folder (a link to a folder is none) -> its number in the filesystem."""
    folders: frozenset[str]


def inventory(root: Path) -> Inventory:
    """Looks through a folder; one that is missing holds nothing."""
    files: dict[str, int] = {}
    folders: list[str] = []
    base = os.fspath(root)
    if not os.path.isdir(base):  # noqa: PTH112  (a path here is a text: there are many thousands)
        return Inventory(files, frozenset())
    waiting = [""]
    while waiting:
        inside = waiting.pop()
        with os.scandir(f"{base}/{inside}") as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    folders.append(inside + entry.name)
                    waiting.append(f"{inside}{entry.name}/")
                else:
                    files[inside + entry.name] = entry.inode()
    return Inventory(files, frozenset(folders))


def level(source: Path, there: Inventory, target: Path) -> None:
    """Makes `target` hold the very files that `source` holds (`there`), and nothing else, whatever is in it now."""
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        target.unlink()
    target.mkdir(parents=True, exist_ok=True)
    mine = inventory(target)
    from_base, to_base = f"{os.fspath(source)}/", f"{os.fspath(target)}/"
    for path, number in mine.files.items():
        if there.files.get(path) != number:
            os.unlink(to_base + path)  # noqa: PTH108
    for folder in sorted(mine.folders - there.folders, reverse=True):
        os.rmdir(to_base + folder)  # noqa: PTH106
    for path, number in there.files.items():
        if mine.files.get(path) != number:
            link(from_base + path, to_base + path)


def link(source: str, target: str) -> bool:
    """Links (or copies, where links are not to be had) one file; False when the source is gone.

    A target that is there already is left as it is.
    """
    try:
        os.link(source, target, follow_symlinks=False)
    except FileExistsError:
        return True
    except FileNotFoundError:
        if not os.path.isfile(source):  # noqa: PTH113
            return False
        os.makedirs(os.path.dirname(target), exist_ok=True)  # noqa: PTH103, PTH120  (a third of the cost of pathlib's)
        return link(source, target)
    except OSError as exc:
        if exc.errno not in _NO_LINKS:
            raise
        if not os.path.lexists(target):
            os.makedirs(os.path.dirname(target), exist_ok=True)  # noqa: PTH103, PTH120
            shutil.copy2(source, target, follow_symlinks=False)
    return True


def drop(folder: Path, paths: Iterable[str]) -> None:
    """Takes files out of a tree, and the folders that are empty then; what is not there is passed over."""
    base = os.fspath(folder)
    for path in paths:
        try:
            os.unlink(f"{base}/{path}")  # noqa: PTH108
        except (FileNotFoundError, NotADirectoryError):
            continue
        parent = path.rpartition("/")[0]
        while parent:
            try:
                os.rmdir(f"{base}/{parent}")  # noqa: PTH106
            except OSError as exc:
                if exc.errno not in (errno.ENOTEMPTY, errno.EEXIST):
                    raise
                break
            parent = parent.rpartition("/")[0]
