"""How long from a save until the open page in the browser shows it, in a preview of many recipes.

    python bench/preview_bench.py [COUNT] [--saves N] [--pause SECONDS]

Makes a generated hub, previews it, opens one recipe in Chromium and saves it again and again with another text. A time
runs from the end of the write to the moment at which the text is in the page's document. Times are of the clock, so
run it on a quiet machine; the load is printed. `--pause` is what an author takes between two saves.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "generator"), str(ROOT / "bench")]

from generated import write_hub  # noqa: E402
from playwright.sync_api import Error, Page, sync_playwright  # noqa: E402

from gramwright.publishing.preview import Preview  # noqa: E402

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
RECIPE = "dish-00007"
EDITS = {"method": "Stir once, taste", "summary": "to measure with"}
"""What is edited -> the words in the generated page that the new text follows."""


def save(page: Path, what: str, number: int) -> str:
    """Writes the recipe with another text in one place; gives the text."""
    said = f"saved {what} {number}"
    text = page.read_text(encoding="utf-8")
    head, words, tail = text.partition(EDITS[what])
    if tail.startswith(" (saved"):
        tail = tail.partition(")")[2]
    page.write_text(f"{head}{words} ({said}){tail}", encoding="utf-8")
    return said


def shown_after(page: Page, text: str) -> float:
    """Seconds until the document says a text; the page may be loaded anew meanwhile."""
    begun = time.perf_counter()
    while time.perf_counter() - begun < 60:
        try:
            if page.evaluate("text => document.body.innerText.includes(text)", text):
                return time.perf_counter() - begun
        except Error:
            continue
    raise SystemExit(f"the page never said {text!r}")


def main(count: int, saves: int, pause: float) -> None:
    with tempfile.TemporaryDirectory() as folder:
        hub = write_hub(Path(folder) / "hub", count)
        begun = time.perf_counter()
        with Preview(hub, 0) as preview, sync_playwright() as playwright:
            print(f"{count} generated recipes; first build {time.perf_counter() - begun:.1f} s")
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
            page = browser.new_page()
            page.goto(f"{preview.address}recipes/{RECIPE}/")
            for what in EDITS:
                times = []
                for number in range(saves):
                    time.sleep(pause)
                    text = save(hub / "recipes" / f"{RECIPE}.md", what, number)
                    times.append(shown_after(page, text) * 1000)
                times.sort()
                print(
                    f"from a save of the {what:<8} to the page: least {times[0]:5.0f} ms, "
                    f"median {times[len(times) // 2]:5.0f} ms, most {times[-1]:5.0f} ms"
                )
            print(f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
            browser.close()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("count", type=int, nargs="?", default=1000)
    parser.add_argument("--saves", type=int, default=12)
    parser.add_argument("--pause", type=float, default=2.0)
    options = parser.parse_args()
    main(options.count, options.saves, options.pause)
