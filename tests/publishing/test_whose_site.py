"""Whose site lies in the output folder, and what somebody wrote into it by hand."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from tests.publishing.hub_make import HUB, Hub, Run, files_in

from gramwright.publishing.build import publish

TODAY = date(2026, 11, 25)


@pytest.fixture
def other(hub: Hub, tmp_path: Path) -> Hub:
    """Another hub with the same recipes."""
    shutil.copytree(hub.root, tmp_path / "other")
    made = Hub(tmp_path / "other")
    made.write("hub.yaml", HUB.replace("Test hub", "Another hub"))
    return made


def test_another_hubs_site_is_not_replaced(hub: Hub, other: Hub, run: Run, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("publish", hub.root, "--out", out)[0] == 0
    before = files_in(out)
    code, data = run("publish", other.root, "--out", out)
    (problem,) = data["problems"]
    assert (code, problem["code"]) == (1, "other-hub")
    assert str(out) in problem["message"]
    assert "--out" in problem["hint"]
    assert "delete it" in problem["hint"]
    assert files_in(out) == before
    assert run("publish", other.root, "--out", out, "--all")[1]["problems"][0]["code"] == "other-hub"
    shutil.rmtree(out)
    assert run("publish", other.root, "--out", out)[0] == 0, "the way out is one"


def test_another_hubs_own_published_folder_is_not_replaced(hub: Hub, other: Hub, run: Run) -> None:
    assert run("publish", hub.root)[0] == 0
    before = files_in(hub.site)
    assert run("publish", other.root, "--out", hub.site)[1]["problems"][0]["code"] == "other-hub"
    assert files_in(hub.site) == before


def test_two_new_hubs_are_not_each_others(run: Run, tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert run("start", tmp_path / name)[0] == 0
    assert run("publish", tmp_path / "one", "--out", tmp_path / "out")[0] == 0
    code, data = run("publish", tmp_path / "two", "--out", tmp_path / "out")
    assert (code, data["problems"][0]["code"]) == (1, "other-hub")


@pytest.mark.parametrize("forgotten", [False, True])
def test_a_moved_hub_keeps_its_site(hub: Hub, run: Run, tmp_path: Path, forgotten: bool) -> None:
    out = tmp_path / "out"
    assert run("publish", hub.root, "--out", out)[0] == 0
    moved = tmp_path / "elsewhere" / "hub"
    moved.parent.mkdir()
    hub.root.rename(moved)
    if forgotten:
        shutil.rmtree(moved / ".gramwright")
    hub = Hub(moved)
    hub.edit("recipes/porridge.md", "Warm and plain.", "Warm.")
    assert run("publish", moved, "--out", out)[0] == 0
    assert b"Warm and plain" not in (out / "recipes/porridge/index.html").read_bytes()


def test_another_title_keeps_the_site_that_the_working_state_knows(hub: Hub, run: Run, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("publish", hub.root, "--out", out)[0] == 0
    hub.edit("hub.yaml", "Test hub", "Renamed hub")
    assert run("publish", hub.root, "--out", out)[0] == 0
    shutil.rmtree(hub.root / ".gramwright")
    assert run("publish", hub.root, "--out", out)[0] == 0, "and the list names the new title"


def test_a_hub_with_an_id_keeps_its_site_under_any_title(hub: Hub, run: Run, tmp_path: Path) -> None:
    out = tmp_path / "out"
    hub.write("hub.yaml", HUB + "id: our-kitchen\n")
    assert run("publish", hub.root, "--out", out)[0] == 0
    shutil.rmtree(hub.root / ".gramwright")
    hub.edit("hub.yaml", "Test hub", "Renamed hub")
    assert run("publish", hub.root, "--out", out)[0] == 0
    hub.edit("hub.yaml", "id: our-kitchen", "id: Our kitchen")
    assert {p["code"] for p in run("proof", hub.root)[1]["problems"]} == {"bad-id"}


def test_the_hubs_own_folder_is_its_own_whatever_is_forgotten(hub: Hub, run: Run) -> None:
    assert run("publish", hub.root)[0] == 0
    shutil.rmtree(hub.root / ".gramwright")
    hub.edit("hub.yaml", "Test hub", "Renamed hub")
    assert run("publish", hub.root)[0] == 0


def test_a_copy_of_a_hub_gives_the_same_bytes(hub: Hub, tmp_path: Path) -> None:
    shutil.copytree(hub.root, tmp_path / "copy")
    assert not publish(hub.root, TODAY).has_errors
    assert not publish(tmp_path / "copy", TODAY, out=tmp_path / "out").has_errors
    assert files_in(tmp_path / "out") == hub.published()


# ---------------------------------------------------------------- edited by hand


def in_place(path: Path) -> None:
    """The same file, written into: nothing of its folder changes."""
    with path.open("r+b") as file:
        file.write(b"hand!")


def beside(path: Path) -> None:
    """As most editors do: another file put in its place."""
    path.with_suffix(".new").write_bytes(b"by hand")
    path.with_suffix(".new").replace(path)


def same_size_and_name(path: Path) -> None:
    data = path.read_bytes()
    path.write_bytes(bytes([data[0] ^ 1]) + data[1:])


@pytest.mark.parametrize("edit", [in_place, beside, same_size_and_name])
@pytest.mark.parametrize(
    "path",
    ["recipes/porridge/index.html", "recipes/porridge/card.png", "index.html", "service-worker.js", "robots.txt"],
)
@pytest.mark.parametrize("changed", [False, True])
def test_what_somebody_edited_is_made_again(hub: Hub, edit: Callable[[Path], None], path: str, changed: bool) -> None:
    """With nothing else changed, and beside a change of another page."""
    publish(hub.root, TODAY, workers=1)
    if changed:
        hub.edit("recipes/snacks/fruit-bowl.md", "1. Put it", "1. Put all")
        copied = hub.root.parent / "copy"
        shutil.copytree(hub.root, copied, ignore=shutil.ignore_patterns("published", ".gramwright"))
        publish(copied, TODAY, workers=1)
        whole = files_in(copied / "published")
    else:
        whole = hub.published()
    times = {p: (hub.site / p).stat().st_mtime_ns for p in ("recipes/porridge/facts.json", "feed.xml")}
    edit(hub.site / path)
    assert hub.published() != whole
    result = publish(hub.root, TODAY, workers=1)
    assert not result.has_errors
    assert hub.published() == whole
    assert times == {p: (hub.site / p).stat().st_mtime_ns for p in times}, "what nobody touched keeps its times"
    again = publish(hub.root, TODAY, workers=1)
    assert (again.written, hub.published()) == (0, whole)


def test_only_pages_of_what_was_edited_are_written(hub: Hub) -> None:
    publish(hub.root, TODAY, workers=1)
    in_place(hub.site / "recipes/porridge/index.html")
    assert publish(hub.root, TODAY, workers=1).written == 1
    in_place(hub.site / "recipes/porridge/facts.json")
    assert publish(hub.root, TODAY, workers=1).written == 0


def test_other_times_alone_make_nothing(hub: Hub) -> None:
    """As after a copy that keeps no times."""
    publish(hub.root, TODAY, workers=1)
    for path in hub.site.rglob("*"):
        os.utime(path, ns=(10**18, 10**18))
    assert publish(hub.root, TODAY, workers=1).written == 0
    kept = (hub.root / ".gramwright/state.json").stat().st_mtime_ns
    assert publish(hub.root, TODAY, workers=1).written == 0
    assert (hub.root / ".gramwright/state.json").stat().st_mtime_ns == kept, "sealed anew"
