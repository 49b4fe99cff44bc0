"""Takes rendered files, gives a whole site: built beside the old one, then swapped in at once.

A publish works in a *next* folder: it begins with the published tree's own files
(links, so that what does not change keeps its bytes and times), new bytes are
written beside them, what is published no more is taken out. When it is complete
and lasting on the disk the two folders change places in one step of the operating
system, so a reader finds the old site or the new one, never a mixture, and an
interrupted publish leaves the old one.

The old tree stays in the working folder. Next time it is levelled with the published
one (links.py), which touches only what differs, whatever became of it in between.

`.gramwright-tree` in the site lists what a publish wrote, and names the hub (whose.py).
Files that are not in that list belong to somebody else: a publish that would lose
them is refused.
"""

from __future__ import annotations

import ctypes
import errno
import hashlib
import os
import shutil
import sys
import zlib
from array import array
from collections.abc import Iterable, Mapping
from pathlib import Path

from gramwright.problems import Trouble
from gramwright.publishing.links import Inventory, drop, inventory, level, link

LIST = ".gramwright-tree"
_HEAD = b"gramwright tree 1\n"
_FIRST_LINE = 100
"""Bytes in which a list's first line ends."""
_AT_FDCWD = -100
_RENAME_EXCHANGE = 2


def digest(data: bytes) -> str:
    """What tells one file's bytes from another's: 128 bits of BLAKE2b, in hex."""
    return hashlib.blake2b(data, digest_size=16).hexdigest()


def tree_id(outputs: Mapping[str, str]) -> str:
    """One digest over every path and its digest."""
    lines = "".join([f"{path}\0{mark}\n" for path, mark in sorted(outputs.items())])
    return hashlib.blake2b(lines.encode(), digest_size=16).hexdigest()


def write_list(folder: Path, tree: str, paths: Iterable[str], mark: str = "") -> None:
    """Leaves the list of what was written inside the tree: the first line names the tree, and the hub by its mark."""
    lines = f"{tree} {mark}".rstrip() + "\n" + "".join([f"{path}\n" for path in sorted(paths)])
    (folder / LIST).unlink(missing_ok=True)
    (folder / LIST).write_bytes(_HEAD + zlib.compress(lines.encode(), 1))


def published_id(out: Path) -> str | None:
    """The id of the tree in a published folder, without reading its list; None when there is none."""
    named = _named(out)
    return None if named is None else named[0]


def published_mark(out: Path) -> str:
    """The mark of the hub whose site lies there; '' for none."""
    named = _named(out)
    return "" if named is None else named[1]


def _named(out: Path) -> tuple[str, str] | None:
    """(tree id, mark of the hub) of a published folder."""
    try:
        with (out / LIST).open("rb") as file:
            data = file.read(4096)
        text = zlib.decompressobj().decompress(data.removeprefix(_HEAD), _FIRST_LINE) if data.startswith(_HEAD) else b""
    except (FileNotFoundError, NotADirectoryError, zlib.error):
        return None
    found, line_end, _ = text.partition(b"\n")
    tree, _, mark = found.decode("ascii", "replace").partition(" ")
    return (tree, mark) if line_end else None


def read_list(folder: Path) -> tuple[str, frozenset[str]] | None:
    """(tree id, paths) of a published folder; None when there is no list or it is damaged."""
    lines = _lines(folder)
    return None if not lines else (lines[0].partition(" ")[0], frozenset(lines[1:]))


def _lines(folder: Path) -> list[str] | None:
    """The list as it is written: the tree with its hub, then the paths, sorted."""
    try:
        data = (folder / LIST).read_bytes()
    except FileNotFoundError:
        return None
    if not data.startswith(_HEAD):
        return None
    try:
        return zlib.decompress(data[len(_HEAD) :]).decode().splitlines()
    except (zlib.error, UnicodeDecodeError):
        return None


def is_whole(out: Path, sealed: str) -> bool:
    """Whether every file that the published tree lists is as it was written. `sealed`: its seal from then."""
    lines = _lines(out)
    return lines is not None and seal(out, lines[1:]) == sealed != ""


def seal(out: Path, paths: Iterable[str]) -> str:
    """Changes when one of these files does, by size and time; '' when one is gone. Files are looked at, not read."""
    top = f"{out}/"
    look = os.stat
    try:
        found = [look(top + path) for path in sorted(paths)]
    except (FileNotFoundError, NotADirectoryError):
        return ""
    times, sizes = array("q", [each.st_mtime_ns for each in found]), array("q", [each.st_size for each in found])
    return digest(times.tobytes() + sizes.tobytes())


def edited(out: Path, written: Mapping[str, str]) -> frozenset[str]:
    """Which files do not hold what was written into them (path -> digest), or are gone. Every file is read."""
    return frozenset(path for path, mark in written.items() if not _is(out / path, mark))


def _is(file: Path, mark: str) -> bool:
    try:
        return digest(file.read_bytes()) == mark
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError):
        return False


def foreign_files(out: Path, there: Inventory | None = None) -> list[str]:
    """What lies in the output folder that no publish of ours wrote, sorted. `there`: what lies in it, where known."""
    there = inventory(out) if there is None else there
    if not there.files:
        return []
    listed = read_list(out)
    ours = listed[1] if listed else frozenset()
    return sorted(there.files.keys() - ours - {LIST})


def refuse_foreign(out: Path, there: Inventory | None = None) -> None:
    """Raises Trouble 'foreign-files' when swapping would lose files that we did not write."""
    if out.exists() and not out.is_dir():
        raise Trouble("output-is-a-file", f"expected a folder at {out}, found a file", "name another --out")
    foreign = foreign_files(out, there)
    if foreign:
        shown = ", ".join(foreign[:8]) + (f" and {len(foreign) - 8} more" if len(foreign) > 8 else "")
        raise Trouble(
            "foreign-files",
            f"{out} holds {len(foreign)} file(s) that no publish wrote: {shown}",
            "move them away, or publish into another folder with --out; nothing was changed",
        )


class PublishedFileMissing(Exception):
    """A file of the last publish is not in the published folder any more: what is known of it cannot be relied on."""


class NextTree:
    """The site under construction, beginning as an equal of the published one. Use as a context manager."""

    def __init__(self, out: Path, working: Path, there: Inventory | None = None) -> None:
        """`working` is the hub's working folder; the next tree lies there when that is the same filesystem.

        `there`: what lies in `out`, where that is known already.
        """
        self.out = out
        out.parent.mkdir(parents=True, exist_ok=True)
        self._stays = _same_filesystem(out.parent, working)
        self.folder = (working if self._stays else out.parent) / f".{out.name}.next"
        self._there = there

    def __enter__(self) -> NextTree:
        self._there = inventory(self.out) if self._there is None else self._there
        level(self.out, self._there, self.folder)
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        """What is left is the next one's beginning; it goes where it would lie in the author's way or lack of room."""
        if kind is not None or not self._stays:
            remove(self.folder)

    def keep(self, paths: Iterable[str]) -> None:
        """Leaves unchanged files of the published tree as they are. Raises PublishedFileMissing."""
        there = {} if self._there is None else self._there.files
        for path in paths:
            if path not in there:
                raise PublishedFileMissing(path)

    def put(self, path: str, data: bytes, old_digest: str | None) -> str:
        return put(self.out, self.folder, path, data, old_digest)

    def complete(self, tree: str, paths: Iterable[str], mark: str = "") -> None:
        """Takes out what is published no more and lists the rest: nothing but `paths` is in the tree then."""
        listed = frozenset(paths)
        there = {} if self._there is None else self._there.files
        drop(self.folder, [path for path in there if path not in listed])
        write_list(self.folder, tree, listed, mark)

    def swap(self) -> None:
        """Puts the finished tree in the published one's place."""
        _settle_all(self.folder)
        if not self.out.exists():
            self.folder.rename(self.out)
        elif not _exchange(self.folder, self.out):
            aside = self.folder.with_name(self.folder.name + ".old")
            remove(aside)
            self.out.rename(aside)
            self.folder.rename(self.out)
            aside.rename(self.folder)
        _settle(self.out.parent)


def put(out: Path, folder: Path, path: str, data: bytes, old_digest: str | None) -> str:
    """Writes one file into the next tree, or links the published one when its bytes are the same; gives the digest."""
    mine = digest(data)
    same = _holds(out / path, data) if old_digest is None else mine == old_digest
    name = f"{os.fspath(folder)}/{path}"
    if same and link(f"{os.fspath(out)}/{path}", name):
        return mine
    try:
        _write(name, data)
    except FileExistsError:
        os.unlink(name)  # noqa: PTH108  (never written into: it may be the published file itself)
        _write(name, data)
    except FileNotFoundError:
        os.makedirs(os.path.dirname(name), exist_ok=True)  # noqa: PTH103, PTH120  (a third of the cost of pathlib's)
        _write(name, data)
    return mine


def _write(name: str, data: bytes) -> None:
    """A new file."""
    handle = os.open(name, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o666)
    try:
        while data:
            data = data[os.write(handle, data) :]
    finally:
        os.close(handle)


def _holds(file: Path, data: bytes) -> bool:
    """Whether a file has just these bytes."""
    try:
        return file.stat().st_size == len(data) and file.read_bytes() == data
    except (FileNotFoundError, NotADirectoryError):
        return False


def keep(out: Path, folder: Path, paths: Iterable[str]) -> None:
    """Links files of the published tree into the next one. Raises PublishedFileMissing."""
    for path in paths:
        if not link(f"{os.fspath(out)}/{path}", f"{os.fspath(folder)}/{path}"):
            raise PublishedFileMissing(path)


def remove(folder: Path) -> None:
    """Removes one of our own working trees; a missing one is fine."""
    if folder.is_dir():
        shutil.rmtree(folder)


def _same_filesystem(first: Path, second: Path) -> bool:
    second.mkdir(parents=True, exist_ok=True)
    return first.stat().st_dev == second.stat().st_dev


def _settle(folder: Path) -> None:
    """Asks the system to make a folder's entries lasting."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _settle_all(folder: Path) -> None:
    """Asks the system to make all that was written to a folder's filesystem lasting."""
    syncfs = getattr(ctypes.CDLL(None), "syncfs", None) if sys.platform.startswith("linux") else None
    if syncfs is None:
        os.sync()
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        syncfs(ctypes.c_int(handle))
    finally:
        os.close(handle)


def _exchange(first: Path, second: Path) -> bool:
    """Two folders change places in one step (Linux renameat2); False where the system cannot."""
    if not sys.platform.startswith("linux"):
        return False
    libc = ctypes.CDLL(None, use_errno=True)
    renameat2 = getattr(libc, "renameat2", None)
    if renameat2 is None:
        return False
    done = renameat2(
        ctypes.c_int(_AT_FDCWD),
        os.fsencode(first),
        ctypes.c_int(_AT_FDCWD),
        os.fsencode(second),
        ctypes.c_uint(_RENAME_EXCHANGE),
    )
    if done == 0:
        return True
    code = ctypes.get_errno()
    if code in {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP}:
        return False
    raise OSError(code, os.strerror(code), str(second))
