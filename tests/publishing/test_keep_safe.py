"""An author's file is replaced whole or not at all, where it is, with the permissions it had."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from gramwright.publishing.keep_safe import replace_text


def test_permissions_stay_and_nothing_is_left_beside(tmp_path: Path) -> None:
    file = tmp_path / "own.csv"
    file.write_text("old", encoding="utf-8")
    file.chmod(0o640)
    replace_text(file, "new")
    assert file.read_text(encoding="utf-8") == "new"
    assert file.stat().st_mode & 0o7777 == 0o640
    assert [path.name for path in tmp_path.iterdir()] == ["own.csv"]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real = tmp_path / "elsewhere" / "own.csv"
    real.parent.mkdir()
    real.write_text("old", encoding="utf-8")
    link = tmp_path / "own.csv"
    link.symlink_to(real)
    replace_text(link, "new")
    assert link.is_symlink()
    assert real.read_text(encoding="utf-8") == "new"


def test_a_disk_that_refuses_leaves_the_old_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "own.csv"
    file.write_text("old", encoding="utf-8")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        replace_text(file, "new")
    assert file.read_text(encoding="utf-8") == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["own.csv"]
