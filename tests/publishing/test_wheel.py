"""The built wheel carries its knowledge and its theme: a new hub publishes from it, away from the checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.long

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel's content, as an installer would lay it out."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder / "dist")]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    (wheel,) = (folder / "dist").glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


def run(unpacked: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(unpacked)}
    return subprocess.run(
        [sys.executable, "-m", "gramwright", *arguments],
        cwd=unpacked.parent,
        env=environment,
        check=False,
        capture_output=True,
        text=True,
    )


def test_the_wheel_is_found_and_used(unpacked: Path) -> None:
    where = "import gramwright.resources as r; print(r.content()); print(r.themes())"
    found = subprocess.run(
        [sys.executable, "-c", where],
        cwd=unpacked.parent,
        env={**os.environ, "PYTHONPATH": str(unpacked)},
        check=True,
        capture_output=True,
        text=True,
    ).stdout.splitlines()
    assert [Path(line).is_relative_to(unpacked) for line in found] == [True, True]


def test_a_new_hub_publishes_from_the_wheel(unpacked: Path) -> None:
    started = run(unpacked, "start", "fresh-hub")
    assert started.returncode == 0, started.stdout + started.stderr
    published = run(unpacked, "publish", "fresh-hub")
    assert published.returncode == 0, published.stdout + published.stderr
    assert (unpacked.parent / "fresh-hub" / "published" / "recipes" / "lentil-pot" / "facts.json").is_file()
