"""The whole-site swap: unchanged files keep their times, foreign files are refused, an interruption changes nothing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from gramwright.problems import Trouble
from gramwright.publishing import tree


def publish(out: Path, working: Path, files: dict[str, bytes], old: dict[str, str] | None = None) -> dict[str, str]:
    with tree.NextTree(out, working) as next_tree:
        outputs = {path: next_tree.put(path, data, (old or {}).get(path)) for path, data in files.items()}
        next_tree.complete(tree.tree_id(outputs), outputs)
        next_tree.swap()
    return outputs


def read(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name != tree.LIST
    }


def test_a_tree_replaces_the_old_one_whole(tmp_path: Path) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    publish(out, working, {"index.html": b"one", "a/b.html": b"two"})
    publish(out, working, {"index.html": b"three", "c.html": b"four"})
    assert read(out) == {"index.html": b"three", "c.html": b"four"}
    assert not (out / "a").exists()
    assert [path.name for path in working.iterdir()] == [".out.next"]


@pytest.mark.parametrize("known", [True, False])
def test_unchanged_files_keep_their_bytes_and_times(tmp_path: Path, known: bool) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    old = publish(out, working, {"index.html": b"one", "page.html": b"same"})
    before = (out / "page.html").stat()
    publish(out, working, {"index.html": b"other", "page.html": b"same"}, old if known else None)
    after = (out / "page.html").stat()
    assert (after.st_mtime_ns, after.st_ino) == (before.st_mtime_ns, before.st_ino)
    assert (out / "index.html").read_bytes() == b"other"


def test_leaving_without_swapping_changes_nothing(tmp_path: Path) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    publish(out, working, {"index.html": b"one"})
    with pytest.raises(RuntimeError, match="stop"), tree.NextTree(out, working) as next_tree:
        next_tree.put("index.html", b"half", None)
        raise RuntimeError("stop")
    assert read(out) == {"index.html": b"one"}
    assert list(working.iterdir()) == []


def test_a_half_built_tree_of_a_killed_publish_is_cleared_away(tmp_path: Path) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    leftover = working / ".out.next"
    leftover.mkdir(parents=True)
    (leftover / "rubbish.html").write_bytes(b"half")
    publish(out, working, {"index.html": b"one"})
    assert read(out) == {"index.html": b"one"}


def test_foreign_files_are_refused_and_listed(tmp_path: Path) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    publish(out, working, {"index.html": b"one"})
    (out / "notes").mkdir()
    (out / "notes" / "mine.txt").write_text("keep me")
    with pytest.raises(Trouble, match=r"notes/mine\.txt") as caught:
        tree.refuse_foreign(out)
    assert caught.value.code == "foreign-files"


def test_a_folder_without_a_list_is_all_foreign(tmp_path: Path) -> None:
    (tmp_path / "index.html").write_text("somebody's page")
    assert tree.foreign_files(tmp_path) == ["index.html"]


@pytest.mark.parametrize("damage", [b"", b"gramwright tree 1\nnot zlib", b"other 1\n"])
def test_a_damaged_list_owns_nothing(tmp_path: Path, damage: bytes) -> None:
    out = tmp_path / "out"
    publish(out, tmp_path / "working", {"index.html": b"one"})
    (out / tree.LIST).write_bytes(damage)
    assert tree.read_list(out) is None
    assert tree.foreign_files(out) == ["index.html"]


def test_keeping_a_file_that_is_gone_is_noticed(tmp_path: Path) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    publish(out, working, {"index.html": b"one"})
    with tree.NextTree(out, working) as next_tree, pytest.raises(tree.PublishedFileMissing):
        next_tree.keep(["gone.html"])


def test_the_tree_id_depends_on_paths_and_bytes_only() -> None:
    assert tree.tree_id({"a": "1", "b": "2"}) == tree.tree_id({"b": "2", "a": "1"})
    assert tree.tree_id({"a": "1"}) != tree.tree_id({"a": "2"})
    assert tree.tree_id({"a": "1"}) != tree.tree_id({"b": "1"})


def test_a_whole_tree_is_known_by_its_seal_and_a_part_taken_away_is_noticed(tmp_path: Path) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    outputs = publish(out, working, {"index.html": b"one", "a/b/page.html": b"two", "a/c/page.html": b"three"})
    sealed = tree.seal(out, outputs)
    assert tree.is_whole(out, sealed)
    (out / "a/b/note.txt").write_bytes(b"foreign")
    assert tree.is_whole(out, sealed), "a file more takes nothing away"
    (out / "a/b/page.html").unlink()
    assert not tree.is_whole(out, sealed)
    (out / "a/b/note.txt").unlink()
    (out / "a/b").rmdir()
    assert tree.seal(out, outputs) == ""
    assert not tree.is_whole(out, "")


def test_a_seal_tells_size_and_time_and_what_differs_is_found_by_reading(tmp_path: Path) -> None:
    out = tmp_path / "out"
    outputs = publish(out, tmp_path / "working", {"index.html": b"one", "a/page.html": b"two"})
    sealed = tree.seal(out, outputs)
    os.utime(out / "index.html", ns=(1, 1))
    assert not tree.is_whole(out, sealed)
    assert tree.edited(out, outputs) == frozenset()
    sealed = tree.seal(out, outputs)
    with (out / "a/page.html").open("r+b") as file:
        file.write(b"owt")
    assert not tree.is_whole(out, sealed)
    assert tree.edited(out, outputs) == {"a/page.html"}
    (out / "index.html").unlink()
    assert tree.edited(out, outputs) == {"a/page.html", "index.html"}


def test_the_list_names_tree_and_hub(tmp_path: Path) -> None:
    assert (tree.published_id(tmp_path), tree.published_mark(tmp_path)) == (None, "")
    tree.write_list(tmp_path, "a" * 32, ["b", "a"], "c" * 16)
    assert (tree.published_id(tmp_path), tree.published_mark(tmp_path)) == ("a" * 32, "c" * 16)
    assert tree.read_list(tmp_path) == ("a" * 32, frozenset({"a", "b"}))
    tree.write_list(tmp_path, "a" * 32, ["b"])
    assert (tree.published_id(tmp_path), tree.published_mark(tmp_path)) == ("a" * 32, "")


def test_a_seal_outlasts_the_next_publish_working_beside_it(tmp_path: Path) -> None:
    out, working = tmp_path / "out", tmp_path / "working"
    outputs = publish(out, working, {"index.html": b"one", "a/page.html": b"two"})
    sealed = tree.seal(out, outputs)
    with tree.NextTree(out, working) as next_tree:
        next_tree.put("a/page.html", b"other", None)
    assert tree.seal(out, outputs) == sealed
