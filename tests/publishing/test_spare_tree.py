"""The tree that a publish leaves for the next one: put right whatever became of it, and never written into.

GRAMWRIGHT_SEQUENCES sets how many sequences are tried.
"""

from __future__ import annotations

import os
import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from gramwright.publishing import links, tree

Files = dict[str, bytes]
SEQUENCES = int(os.environ.get("GRAMWRIGHT_SEQUENCES", "10"))


def publish(out: Path, working: Path, files: Files, before: dict[str, str]) -> dict[str, str]:
    """Publishes as the build does; gives the digests."""
    with tree.NextTree(out, working) as next_tree:
        digests = {path: tree.digest(data) for path, data in files.items()}
        kept = [path for path in files if before.get(path) == digests[path]]
        next_tree.keep(kept)
        for path in files.keys() - set(kept):
            next_tree.put(path, files[path], before.get(path))
        next_tree.complete(tree.tree_id(digests), digests)
        next_tree.swap()
    return digests


def read(folder: Path) -> Files:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name != tree.LIST
    }


def some_files(count: int = 40) -> Files:
    return {f"recipes/dish-{number}/index.html": f"page {number}".encode() for number in range(count)}


def nothing(_spare: Path, _chance: random.Random) -> None:
    """The usual case."""


def lose_a_file(spare: Path, chance: random.Random) -> None:
    chance.choice(sorted(path for path in spare.rglob("*") if path.is_file())).unlink()


def lose_a_folder(spare: Path, chance: random.Random) -> None:
    shutil.rmtree(chance.choice(sorted(path for path in spare.rglob("*") if path.is_dir())))


def lose_all(spare: Path, _chance: random.Random) -> None:
    shutil.rmtree(spare)


def half_written(spare: Path, chance: random.Random) -> None:
    page = chance.choice(sorted(path for path in spare.rglob("*") if path.is_file()))
    page.unlink()
    page.write_bytes(b"half")


def foreign(spare: Path, chance: random.Random) -> None:
    (spare / "recipes" / f"foreign-{chance.randint(0, 99)}").mkdir(parents=True, exist_ok=True)
    (spare / "foreign.html").write_bytes(b"not ours")


def folder_for_file(spare: Path, chance: random.Random) -> None:
    page = chance.choice(sorted(path for path in spare.rglob("*") if path.is_file()))
    page.unlink()
    (page / "inside").mkdir(parents=True)
    (page / "inside" / "more.html").write_bytes(b"more")


def file_for_folder(spare: Path, chance: random.Random) -> None:
    folder = chance.choice(sorted(path for path in spare.rglob("*") if path.is_dir()))
    shutil.rmtree(folder)
    folder.write_bytes(b"a file")


def a_link_elsewhere(spare: Path, _chance: random.Random) -> None:
    shutil.rmtree(spare)
    elsewhere = spare.parent.parent / "elsewhere"
    elsewhere.mkdir(exist_ok=True)
    (elsewhere / "precious.txt").write_bytes(b"somebody's")
    spare.symlink_to(elsewhere)


def a_file_instead(spare: Path, _chance: random.Random) -> None:
    shutil.rmtree(spare)
    spare.write_bytes(b"no tree")


DAMAGE: list[Callable[[Path, random.Random], None]] = [
    nothing,
    lose_a_file,
    lose_a_folder,
    lose_all,
    half_written,
    foreign,
    folder_for_file,
    file_for_folder,
    a_link_elsewhere,
    a_file_instead,
]


def changed(files: Files, chance: random.Random, step: int) -> None:
    """Some files change, go, come, or come back as they were."""
    for _ in range(chance.choice((1, 1, 2, 30))):
        path = chance.choice(sorted(files))
        action = chance.choice(("change", "remove", "add", "back"))
        if action == "remove" and len(files) > 3:
            del files[path]
        elif action == "add":
            files[f"foods/food-{step}-{chance.randint(0, 9)}/index.html"] = b"new"
        else:
            files[path] = b"page" if action == "back" else f"page {step}".encode()


@pytest.mark.parametrize("seed", range(SEQUENCES))
def test_any_sequence_of_publishes_gives_the_files_asked_for(tmp_path: Path, seed: int) -> None:
    chance, out, working = random.Random(seed), tmp_path / "out", tmp_path / "working"
    files = some_files()
    before = publish(out, working, files, {})
    for step in range(12):
        if (working / ".out.next").exists():
            chance.choice(DAMAGE)(working / ".out.next", chance)
        changed(files, chance, step)
        unchanged = {
            path: ((out / path).stat().st_ino, (out / path).stat().st_mtime_ns)
            for path, mark in before.items()
            if path in files and tree.digest(files[path]) == mark
        }
        before = publish(out, working, files, before)
        assert read(out) == files
        assert not [folder for folder, inside, names in os.walk(out) if not inside and not names]
        for path, seen in unchanged.items():
            assert ((out / path).stat().st_ino, (out / path).stat().st_mtime_ns) == seen, path
    precious = tmp_path / "elsewhere" / "precious.txt"
    assert not precious.parent.exists() or precious.read_bytes() == b"somebody's"


@pytest.mark.parametrize("damage", DAMAGE, ids=lambda damage: damage.__name__)
def test_a_damaged_tree_is_put_right(tmp_path: Path, damage: Callable[[Path, random.Random], None]) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    files = some_files()
    before = publish(out, working, files, {})
    files["recipes/dish-1/index.html"] = b"other"
    before = publish(out, working, files, before)
    damage(working / ".out.next", random.Random(1))
    files["recipes/dish-2/index.html"] = b"another"
    publish(out, working, files, before)
    assert read(out) == files


def test_a_published_file_is_never_written_into(tmp_path: Path) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    files = some_files()
    before = publish(out, working, files, {})
    page = out / "recipes/dish-1/index.html"
    with page.open("rb") as reader:
        for text in (b"other", b"third", b"fourth"):
            files["recipes/dish-1/index.html"] = text
            before = publish(out, working, files, before)
        assert reader.read() == b"page 1"
    assert page.read_bytes() == b"fourth"


def test_the_next_publish_touches_only_what_differs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    files = some_files()
    before = publish(out, working, files, {})
    for text in (b"one", b"two"):
        files["recipes/dish-1/index.html"] = text
        before = publish(out, working, files, before)
    made: list[str] = []
    real = os.link

    def link(source: str, target: str, **more: bool) -> None:
        made.append(target)
        real(source, target, **more)

    monkeypatch.setattr(os, "link", link)
    files["recipes/dish-2/index.html"] = b"three"
    publish(out, working, files, before)
    assert len(made) == 2  # what the publish before wrote: one page and the list


def test_where_files_cannot_be_linked_they_are_copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    out, working = tmp_path / "out", tmp_path / "working"
    files = some_files()
    before = publish(out, working, files, {})
    times = {path: (out / path).stat().st_mtime_ns for path in files}
    files["recipes/dish-1/index.html"] = b"other"
    publish(out, working, files, before)
    assert read(out) == files
    assert all((out / path).stat().st_mtime_ns == time for path, time in times.items() if path[:14] != "recipes/dish-1")


def test_a_file_that_somebody_took_from_the_site_is_noticed(tmp_path: Path) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    files = some_files()
    before = publish(out, working, files, {})
    (out / "recipes/dish-7/index.html").unlink()
    files["recipes/dish-1/index.html"] = b"other"
    with pytest.raises(tree.PublishedFileMissing):
        publish(out, working, files, before)
    publish(out, working, files, {})
    assert read(out) == files


def test_an_inventory_follows_no_link(tmp_path: Path) -> None:
    (tmp_path / "site" / "a").mkdir(parents=True)
    (tmp_path / "site" / "a" / "page.html").write_bytes(b"page")
    (tmp_path / "site" / "round").symlink_to(tmp_path / "site")
    found = links.inventory(tmp_path / "site")
    assert (sorted(found.files), found.folders) == (["a/page.html", "round"], frozenset({"a"}))
    assert links.inventory(tmp_path / "none") == links.Inventory({}, frozenset())
