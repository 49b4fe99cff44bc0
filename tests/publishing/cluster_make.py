"""A Dask scheduler and its workers on the loopback address, as processes of their own."""

from __future__ import annotations

import ctypes
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

GENERATOR = Path(__file__).resolve().parents[2] / "generator"
WAIT = 60.0


def _with_the_tests() -> None:
    """Ends a process when the one that started it is gone, however it went (Linux prctl, PR_SET_PDEATHSIG)."""
    ctypes.CDLL(None).prctl(1, signal.SIGKILL)


@dataclass
class Processes:
    """A scheduler, and workers that can be added and killed."""

    folder: Path
    address: str = ""
    running: list[subprocess.Popen[bytes]] = field(default_factory=list)
    workers: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def start(self, module: str, *arguments: str, generator: Path = GENERATOR) -> subprocess.Popen[bytes]:
        """A process in a folder of its own, that knows the product but not the hub."""
        home = self.folder / f"process-{len(self.running)}"
        home.mkdir(parents=True)
        with (self.folder / f"{home.name}.log").open("wb") as log:
            process = subprocess.Popen(
                [sys.executable, "-W", "ignore", "-m", module, *arguments],
                cwd=home,
                env={**os.environ, "PYTHONPATH": str(generator), "TMPDIR": str(home)},
                stdout=log,
                stderr=log,
                preexec_fn=_with_the_tests,
            )
        self.running.append(process)
        return process

    def scheduler(self) -> None:
        file = self.folder / "scheduler.json"
        options = ("--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(file))
        self.start("distributed.cli.dask_scheduler", *options)
        until = time.monotonic() + WAIT
        while not self.address:
            assert time.monotonic() < until, "the scheduler did not start"
            time.sleep(0.05)
            try:
                self.address = json.loads(file.read_text())["address"]
            except (FileNotFoundError, ValueError):
                continue

    def worker(self, generator: Path = GENERATOR) -> subprocess.Popen[bytes]:
        options = (self.address, "--nthreads", "1", "--no-nanny", "--no-dashboard", "--host", "127.0.0.1")
        process = self.start("distributed.cli.dask_worker", *options, generator=generator)
        self.workers.append(process)
        return process

    def end(self) -> None:
        for process in reversed(self.running):
            if process.poll() is None:
                process.send_signal(signal.SIGKILL)
            process.wait()
            assert process.returncode is not None


@pytest.fixture
def processes(tmp_path: Path) -> Iterator[Processes]:
    """A scheduler without workers."""
    made = Processes(tmp_path / "cluster")
    made.folder.mkdir()
    try:
        made.scheduler()
        yield made
    finally:
        made.end()
