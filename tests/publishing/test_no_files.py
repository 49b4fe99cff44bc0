"""What lies in a hub under the name of a file and is none: told at its place, never passed over in silence."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from tests.publishing.hub_make import Hub, Run

from gramwright.publishing.hub import scan


def gone(path: Path) -> None:
    path.symlink_to(path.parent / "nowhere")


def circle(path: Path) -> None:
    path.symlink_to(path)


@pytest.mark.parametrize("make", [gone, circle, os.mkfifo])
@pytest.mark.parametrize(("name", "severity"), [("recipes/x.md", "error"), ("foods/x.csv", "warning")])
def test_what_is_no_file_is_told(hub: Hub, make: object, name: str, severity: str) -> None:
    assert callable(make)
    make(hub.root / name)
    files = scan(hub.root)
    assert name not in files.stamps
    assert [(one.severity, one.code, one.place.file) for one in files.problems] == [(severity, "not-a-file", name)]


def test_a_linked_folder_is_told_and_the_hub_is_sound(hub: Hub, run: Run, tmp_path: Path) -> None:
    before = scan(hub.root)
    assert before.problems == ()
    (tmp_path / "elsewhere").mkdir()
    (hub.root / "recipes" / "linked").symlink_to(tmp_path / "elsewhere")
    assert scan(hub.root).digest() != before.digest()
    code, data = run("proof", hub.root)
    assert code == 0
    found = [(one["severity"], one["code"], one["file"]) for one in data["problems"]]
    assert found == [("warning", "not-a-file", "recipes/linked")]
    assert "copy the folder" in data["problems"][0]["hint"]


def test_a_link_that_leads_nowhere_stops_the_publish(hub: Hub, run: Run) -> None:
    gone(hub.root / "recipes" / "x.md")
    code, data = run("publish", hub.root)
    assert code != 0
    assert [(one["code"], one["file"]) for one in data["problems"]] == [("not-a-file", "recipes/x.md")]


def test_a_link_to_a_file_is_a_file(hub: Hub, tmp_path: Path) -> None:
    (tmp_path / "real.md").write_text("---\n", encoding="utf-8")
    (hub.root / "recipes" / "y.md").symlink_to(tmp_path / "real.md")
    files = scan(hub.root)
    assert "recipes/y.md" in files.stamps
    assert files.problems == ()
