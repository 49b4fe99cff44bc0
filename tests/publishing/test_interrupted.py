"""A publish that is killed, or runs out of disk, leaves the old site or the new one, whole; never something between.

GRAMWRIGHT_KILLS sets how many publishes are killed.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from tests.publishing.hub_make import PORRIDGE, Hub, Run, files_in

from gramwright.publishing import build

pytestmark = pytest.mark.long

KILLS = int(os.environ.get("GRAMWRIGHT_KILLS", "15"))
TODAY = date(2026, 11, 25)


def publish_in_a_child(hub: Hub) -> int:
    """Starts a publish in a forked process; gives its id."""
    child = os.fork()
    if child == 0:
        code = 70
        try:
            build.publish(hub.root, TODAY, workers=1)
            code = 0
        finally:
            os._exit(code)
    return child


def settle(hub: Hub) -> dict[str, bytes]:
    build.publish(hub.root, TODAY, workers=1)
    return hub.published()


def test_a_killed_publish_leaves_a_whole_site(hub: Hub) -> None:
    for number in range(12):
        hub.write(f"recipes/more-{number}.md", PORRIDGE.replace("Porridge", f"Porridge {number}"))
    chance = random.Random(1)
    old = settle(hub)
    begun = time.perf_counter()
    hub.edit("foods/own.csv", ",12,7,1.2,", ",13,7,1.2,")
    new = settle(hub)
    usual = time.perf_counter() - begun
    states = {"old": 0, "new": 0}
    protein = 13
    for kill in range(KILLS):
        hub.edit("foods/own.csv", f",{protein},7,1.2,", f",{protein + 1},7,1.2,")
        protein += 1
        before = hub.published()
        child = publish_in_a_child(hub)
        time.sleep(chance.uniform(0, 1.3 * usual))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        found = hub.published()
        after = settle(hub)
        assert found in (before, after), f"kill {kill} left a mixed site"
        states["old" if found == before else "new"] += 1
    assert old != new
    assert states["old"] > 0
    leftovers = [path.name for path in (hub.root / ".gramwright").iterdir() if path.is_dir()]
    assert sorted(leftovers) == [".published.next", "templates"]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A filesystem of 2 MB of its own. Needs root; elsewhere the file size limit test below stands for it."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(folder)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.fail(f"cannot mount a small filesystem: {mounted.stderr.decode()}")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may mount a filesystem")
def test_a_full_disk_leaves_the_old_site(hub: Hub, run: Run, small_disk: Path) -> None:
    out = small_disk / "site"
    assert run("publish", hub.root, "--out", out)[0] == 0
    before = files_in(out)
    for number in range(40):
        hub.write(f"recipes/more-{number}.md", PORRIDGE.replace("Porridge", f"Porridge {number}"))
    code, data = run("publish", hub.root, "--out", out)
    assert code == 3
    assert data["problems"][0]["code"] == "machine"
    assert files_in(out) == before
    for number in range(40):
        (hub.root / f"recipes/more-{number}.md").unlink()
    assert run("publish", hub.root, "--out", out)[0] == 0
    assert files_in(out) == before


def test_a_folder_that_may_not_be_written_leaves_the_old_site(
    hub: Hub, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("publish", hub.root)[0] == 0
    before = hub.published()
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Porridge again")
    real = os.open

    def refuse(path: str, flags: int, *rest: int, **more: int) -> int:
        if flags & os.O_CREAT and str(path).endswith("facts.json"):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, flags, *rest, **more)

    monkeypatch.setattr(os, "open", refuse)
    code, data = run("publish", hub.root, "--workers", "1")
    monkeypatch.undo()
    assert code == 3
    assert "Permission denied" in data["problems"][0]["message"]
    assert hub.published() == before
    assert run("publish", hub.root)[0] == 0
