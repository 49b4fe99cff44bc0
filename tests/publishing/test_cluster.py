"""Pages made on other machines: a real scheduler and real workers, one of them killed; and everything that is refused.

The workers run in folders of their own and never see the hub's: what they know of it came over the network.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from datetime import date
from importlib import util
from pathlib import Path

import pytest
from tests.publishing.cluster_make import GENERATOR, Processes, processes
from tests.publishing.hub_make import PORRIDGE, Hub, files_in

from gramwright.publishing import cluster
from gramwright.publishing.build import publish

__all__ = ["processes"]
pytestmark = pytest.mark.long

TODAY = date(2026, 11, 25)
PIXEL_HUB = 60


@pytest.fixture
def large(hub: Hub) -> Hub:
    """Enough recipes to hand out, with a photo, an own food, an own theme and a recipe inside another."""
    from PIL import Image

    for number in range(PIXEL_HUB):
        text = PORRIDGE.replace("Porridge", f"Porridge {number}").replace("80 g", f"{60 + number} g")
        hub.write(f"recipes/more-{number}.md", text)
    (hub.root / "photos").mkdir()
    Image.new("RGB", (900, 600), (120, 90, 40)).save(hub.root / "photos/bowl.jpg")
    hub.edit("recipes/snacks/fruit-bowl.md", "portions: 1", "portions: 1\nphoto: photos/bowl.jpg")
    hub.write("theme/words/en.yaml", "recipe:\n  method: The way\n")
    hub.write("recipes/odd.md", PORRIDGE.replace("portions: 2", '"photo": photos/bowl.jpg\nportions: 2'))
    return hub


def command(hub: Hub, *arguments: str, generator: Path = GENERATOR) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, as a user meets it."""
    return subprocess.run(
        [sys.executable, "-m", "gramwright", "publish", str(hub.root), *arguments],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(generator)},
        check=False,
    )


def plain(hub: Hub, folder: Path) -> dict[str, bytes]:
    """What a plain publish of the same hub gives."""
    shutil.copytree(hub.root, folder / "plain", ignore=shutil.ignore_patterns("published", ".gramwright"))
    for path in (hub.root).rglob("*"):
        if path.is_file() and "published" not in path.parts:
            copy = folder / "plain" / path.relative_to(hub.root)
            if copy.exists():
                os.utime(copy, ns=(path.stat().st_atime_ns, path.stat().st_mtime_ns))
    assert not publish(folder / "plain", TODAY, workers=1).has_errors
    return files_in(folder / "plain" / "published")


def test_two_workers_give_the_bytes_of_a_plain_publish(large: Hub, processes: Processes, tmp_path: Path) -> None:
    processes.worker()
    processes.worker()
    done = command(large, "--scheduler", processes.address)
    assert (done.returncode, done.stderr) == (0, "")
    assert large.published() == plain(large, tmp_path)
    assert b"The way" in large.published()["recipes/more-1/index.html"]


def test_a_worker_killed_on_the_way_loses_nothing(large: Hub, processes: Processes, tmp_path: Path) -> None:
    for number in range(PIXEL_HUB, 4 * PIXEL_HUB):
        large.write(f"recipes/more-{number}.md", PORRIDGE.replace("Porridge", f"Porridge {number}"))
    first, _ = processes.worker(), processes.worker()
    publishing = subprocess.Popen(
        [sys.executable, "-m", "gramwright", "publish", str(large.root), "--scheduler", processes.address],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(GENERATOR)},
    )
    folder = large.root / ".gramwright" / ".published.next" / "recipes"
    until = time.monotonic() + 120
    while not (folder.is_dir() and len(list(folder.iterdir())) >= 20):
        assert publishing.poll() is None, publishing.communicate()
        assert time.monotonic() < until
        time.sleep(0.02)
    made = len(list(folder.iterdir()))
    first.send_signal(signal.SIGKILL)
    out, errors = publishing.communicate(timeout=300)
    assert made < 4 * PIXEL_HUB, "the worker was killed too late to matter"
    assert (publishing.returncode, errors) == (0, ""), out
    assert large.published() == plain(large, tmp_path)


def test_all_workers_killed_leave_the_old_site(
    large: Hub, processes: Processes, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert command(large, "--workers", "1").returncode == 0
    before = large.published()
    processes.worker()
    large.write("hub.yaml", "title: Another title\n")
    publishing = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "import sys; from gramwright.publishing import cluster; cluster.LOST = 2.0;"
            "from gramwright.cli import main; sys.exit(main(sys.argv[1:]))",
            "publish",
            str(large.root),
            "--scheduler",
            processes.address,
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(GENERATOR)},
    )
    until = time.monotonic() + 60
    while not list(processes.folder.glob("process-*/gramwright-*")):
        assert time.monotonic() < until
        time.sleep(0.02)
    processes.workers[0].send_signal(signal.SIGKILL)
    out, errors = publishing.communicate(timeout=120)
    assert publishing.returncode == 3, (out, errors)
    assert "[workers-lost]" in out
    assert "Traceback" not in out + errors
    assert large.published() == before


def test_few_recipes_are_made_here_without_asking_anybody(hub: Hub) -> None:
    assert command(hub, "--scheduler", "tcp://127.0.0.1:9").returncode == 0


def refused(done: subprocess.CompletedProcess[str], code: int, name: str) -> None:
    assert done.returncode == code, done
    assert f"[{name}]" in done.stdout
    assert "way out:" in done.stdout
    assert "Traceback" not in done.stdout + done.stderr


@pytest.mark.parametrize(
    "address", ["tcp://127.0.0.1:9", "nonsense", "tcp://127.0.0.1", "http://127.0.0.1:9", "tcp://127.0.0.1:99999", ""]
)
def test_an_address_that_does_not_answer(large: Hub, address: str) -> None:
    begun = time.monotonic()
    refused(command(large, "--scheduler", address), 3, "no-scheduler")
    assert time.monotonic() - begun < 3 * cluster.TIMEOUT
    assert not large.site.exists()


def test_something_else_at_the_address(large: Hub) -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        refused(command(large, "--scheduler", f"tcp://127.0.0.1:{server.getsockname()[1]}"), 3, "no-scheduler")
    assert not large.site.exists()


def test_a_scheduler_without_workers(large: Hub, processes: Processes) -> None:
    refused(command(large, "--scheduler", processes.address), 3, "no-workers")


@pytest.mark.parametrize("how", ["changed", "without"])
def test_a_worker_of_another_version(large: Hub, processes: Processes, tmp_path: Path, how: str) -> None:
    other = tmp_path / "other"
    other.mkdir()
    ignored = shutil.ignore_patterns("__pycache__", "node_modules")
    shutil.copytree(GENERATOR, other / "generator", ignore=ignored)
    for name in ("content", "themes"):
        shutil.copytree(GENERATOR.parent / name, other / name, ignore=ignored)
    if how == "changed":
        table = next((other / "content" / "foods").glob("*.csv"))
        table.write_text(table.read_text(encoding="utf-8") + "# another line\n", encoding="utf-8")
    else:
        (other / "generator" / "gramwright" / "publishing" / "product.py").unlink()
    processes.worker()
    processes.worker(other / "generator")
    done = command(large, "--scheduler", processes.address)
    until = time.monotonic() + 30
    while done.returncode == 0 and time.monotonic() < until:  # the other worker was not there yet
        shutil.rmtree(large.site)
        done = command(large, "--scheduler", processes.address)
    refused(done, 2, "other-product")
    assert "tcp://127.0.0.1:" in done.stdout


def test_without_the_library(large: Hub, monkeypatch: pytest.MonkeyPatch) -> None:
    real = util.find_spec
    monkeypatch.setattr(util, "find_spec", lambda name, *rest: None if name == "distributed" else real(name, *rest))
    from gramwright.problems import Trouble

    with pytest.raises(Trouble, match="not installed") as caught:
        publish(large.root, TODAY, workers=cluster.Cluster("tcp://127.0.0.1:9"))
    assert caught.value.code == "no-cluster-extra"
    assert not large.site.exists()
