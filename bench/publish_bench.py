"""Measures publishing as ratios to a bare loop over the same files in the same run.

python bench/publish_bench.py [COUNT]     whole processes, fresh output folders, best of three each
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import time
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
        begun = time.perf_counter()
        subprocess.run(publish, check=True, stdout=subprocess.DEVNULL)
        print(f"{'publish, nothing changed':<44} {time.perf_counter() - begun:8.2f} s")
        page = hub / "recipes" / "dish-00000.md"
        page.write_text(page.read_text(encoding="utf-8").replace("to measure with", "edited"), encoding="utf-8")
        begun = time.perf_counter()
        subprocess.run(publish, check=True, stdout=subprocess.DEVNULL)
        print(f"{'publish, one page edited':<44} {time.perf_counter() - begun:8.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
