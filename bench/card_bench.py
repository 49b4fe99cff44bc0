"""Measures share cards: CPU time and bytes of each, every one with a title and figures of its own.

python bench/card_bench.py [COUNT]     CPU milliseconds, beside packing a million zero bytes in the same run
"""

from __future__ import annotations

import sys
import time
import zlib
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tests.site import sample

from gramwright.site import words
from gramwright.site.pictures import share_card
from gramwright.site.pictures.easel import Easel

ZEROS = bytes(1_000_000)


def cpu(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return (time.process_time() - begun) * 1000


def main(count: int) -> None:
    easel = Easel()
    dish = sample.dish()
    face = share_card.face(easel, dish, sample.label(dish), words.load("en", None), sample.SETTINGS.title)
    times: dict[str, list[float]] = {"a million zeros, packed": []}
    sizes: dict[str, int] = {}
    for number in range(count):
        times["a million zeros, packed"].append(cpu(lambda: zlib.compress(ZEROS, 6)))
        mine = face._replace(title=f"{face.title} {number}", energy=str(300 + number % 600))
        for shape in share_card.SIZES:
            times.setdefault(shape, []).append(cpu(lambda: share_card.paint(easel, mine, shape)))  # noqa: B023
            sizes[shape] = max(sizes.get(shape, 0), len(share_card.paint(easel, mine, shape)))
    for name, found in times.items():
        ordered = sorted(found)
        size = f"{sizes[name] / 1000:8.1f} kB at most" if name in sizes else ""
        print(f"{name:<26} least {ordered[0]:6.1f} ms, median {ordered[len(ordered) // 2]:6.1f} ms{size}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
