"""Measures publishing as ratios to a bare loop over the same files in the same run.

python bench/publish_bench.py [COUNT]     whole processes, fresh output folders, best of three each
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from generated import write_hub

HERE = Path(__file__).resolve().parent


def best(what: str, command: list[str], out: Path, hub: Path, rounds: int = 3) -> float:
    """Seconds of the fastest of some whole processes, each from nothing."""
    seconds = []
    for _ in range(rounds):
        shutil.rmtree(out, ignore_errors=True)
        shutil.rmtree(hub / ".gramwright", ignore_errors=True)
        begun = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        seconds.append(time.perf_counter() - begun)
    print(f"{what:<44} {min(seconds):8.2f} s")
    return min(seconds)


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        hub = write_hub(Path(folder) / "hub", count)
        out = Path(folder) / "out"
        print(f"{count} generated recipes of 12 rows")
        for workers in (1, 2):
            bare = best(
                f"bare loop, {workers} worker(s)",
                [sys.executable, str(HERE / "bare_loop.py"), str(hub), str(out), str(workers)],
                out,
                hub,
            )
            publish = [sys.executable, "-m", "gramwright", "publish", str(hub), "--out", str(out)]
            full = best(f"publish from nothing, {workers} worker(s)", [*publish, "--workers", str(workers)], out, hub)
            print(f"{'ratio':<44} {full / bare:8.2f}")
        again("publish, nothing changed", publish, lambda _: None)
        page = hub / "recipes" / "dish-00000.md"
        text = page.read_text(encoding="utf-8")

        def edit(words: str) -> Callable[[int], None]:
            def write(number: int) -> None:
                page.write_text(text.replace(words, f"{words} {number}"), encoding="utf-8")

            return write

        again("publish, the method of one page edited", publish, edit("Stir once"))
        again("publish, its summary edited: lists too", publish, edit("to measure with"))


def again(what: str, command: list[str], before: Callable[[int], None], rounds: int = 4) -> None:
    """The fastest of some publishes into a site that is there: seconds, and the processor's share of them.

    The first one is left out: it makes the tree that later ones begin with.
    """
    measured = []
    for number in range(rounds):
        before(number)
        spent, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        now = resource.getrusage(resource.RUSAGE_CHILDREN)
        cpu = now.ru_utime + now.ru_stime - spent.ru_utime - spent.ru_stime
        measured.append((time.perf_counter() - begun, cpu))
    seconds, cpu = min(measured[1:])
    print(f"{what:<44} {seconds:8.2f} s   ({cpu:.2f} s of a processor)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
