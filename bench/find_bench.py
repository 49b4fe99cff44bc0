"""The finder at size: how big its index is, how soon it is ready, how long a search and a keystroke take.

    python bench/find_bench.py [--recipes 10000] [--slow 4] [--library minisearch.js]

Makes invented recipes (tests/site/made_cards.py), builds the index and the
find page, and drives Chromium over them, at full speed and with the processor
slowed down. Times are milliseconds of the clock, so run it on a quiet machine;
the load is printed. `--library` is a general-purpose search library for the
browser (the UMD build of npm's minisearch, fetched by .ci/minisearch), asked
for the same words (bench/find_library.py).
"""

from __future__ import annotations

import argparse
import gzip
import json
import os
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "generator"), str(ROOT / "bench")]

import find_library  # noqa: E402
from playwright.sync_api import Browser, Page, sync_playwright  # noqa: E402
from tests.site.made_cards import made_cards  # noqa: E402

from gramwright.model import Settings  # noqa: E402
from gramwright.site import search  # noqa: E402
from gramwright.site.cards import Card  # noqa: E402
from gramwright.site.pages import find  # noqa: E402
from gramwright.site.theme import Theme  # noqa: E402

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
SCRIPTS = ("pack", "fold", "columns", "core", "match", "state", "swaps")

FIRST = """
(() => {
  const before = performance.now();
  const state = find.state.read('?kcal=300-450&protein=30-&without=milk&hands_on=-20&meal=lunch');
  find.core.query(index, state, []);
  return performance.now() - before;
})()
"""

QUERIES = """
(count => {
  const find = GramwrightFind, words = globalThis.words, vocabulary = words.vocabulary;
  let seed = 1;
  const random = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  const any = list => list[Math.floor(random() * list.length)];
  const times = [];
  for (let n = 0; n < count; n++) {
    const asked = new URLSearchParams();
    if (random() < 0.6) {
      const typed = [];
      for (let k = random() * 2; k > 0; k--) {
        let word = any(vocabulary);
        const how = random();
        if (how < 0.5) word = word.slice(0, 1 + Math.floor(random() * word.length));
        else if (how < 0.65 && word.length > 4) word = word.slice(0, 2) + 'x' + word.slice(3);
        typed.push(word);
      }
      asked.set('q', typed.join(' '));
    }
    if (random() < 0.5) { const low = Math.floor(random() * 600); asked.set('kcal', `${low}-${low + 150}`); }
    if (random() < 0.4) asked.set('protein', `${Math.floor(random() * 40)}-`);
    if (random() < 0.4) asked.set('hands_on', `-${10 + Math.floor(random() * 30)}`);
    if (random() < 0.3) asked.append('meal', any(index.names.meals));
    if (random() < 0.2) asked.append('tag', any(index.names.tags));
    for (const id of ['milk', 'nuts', 'gluten', 'eggs', 'fish']) if (random() < 0.2) asked.append('without', id);
    if (random() < 0.5) asked.set('sort', any(['energy', 'protein', 'ratio', 'time']));
    const before = performance.now();
    const state = find.state.read('?' + asked);
    find.core.query(index, state, find.match.match(words, state.text));
    times.push(performance.now() - before);
  }
  return times;
})(2000)
"""

SLIDER = """
new Promise(done => {
  const slider = document.querySelector('[data-field=kcal] .find-from');
  const times = [];
  let value = 0;
  const step = () => {
    if (value >= 800) return done(times);
    slider.value = String(value += 20);
    requestAnimationFrame(() => {
      const before = performance.now();
      slider.dispatchEvent(new Event('input', {bubbles: true}));
      document.getElementById('find-list').getBoundingClientRect();
      const worked = performance.now() - before;
      const channel = new MessageChannel();
      channel.port2.postMessage(0);
      channel.port1.onmessage = () => { times.push([worked, performance.now() - before]); setTimeout(step, 120); };
    });
  };
  step();
})
"""

TYPED = """
(text => new Promise(done => {
  const field = document.getElementById('find-text');
  const times = [];
  let length = 0;
  const step = () => {
    if (length >= text.length) return done(times);
    field.value = text.slice(0, ++length);
    requestAnimationFrame(() => {
      const before = performance.now();
      field.dispatchEvent(new Event('input', {bubbles: true}));
      document.getElementById('find-list').getBoundingClientRect();
      const worked = performance.now() - before;
      const channel = new MessageChannel();
      channel.port2.postMessage(0);
      channel.port1.onmessage = () => { times.push([worked, performance.now() - before]); setTimeout(step, 120); };
    });
  };
  step();
}))('smoked chicken soup with barley')
"""


def share(times: list[float], part: float) -> float:
    return sorted(times)[min(len(times) - 1, int(len(times) * part))]


def said(name: str, value: object, note: str = "") -> None:
    print(f"  {name:<44} {value!s:>12}  {note}")


def sizes(files: dict[str, bytes], count: int) -> None:
    names = search.names(files)
    packed = {path: len(gzip.compress(data, 9, mtime=0)) for path, data in files.items()}
    parts = {"columns": packed[names.columns], "titles": packed[names.titles], "words": packed[names.words]}
    parts["swaps"] = packed[names.swaps]
    print("size, gzip")
    for name, size in parts.items():
        said(name, f"{size:,} B", f"{size / count:.1f} B a recipe")
    said("filters usable after", f"{parts['columns'] + parts['titles']:,} B", "at 10,000 recipes at most 200,000")
    said("whole index", f"{sum(parts.values()):,} B", "at 10,000 recipes at most 480,000")
    lines = [size for path, size in packed.items() if "/lines-" in path]
    said("summaries, when seen", f"{len(lines)} files", f"of {sum(lines) // len(lines):,} B each")


def core(browser: Browser, folder: Path, rate: float) -> None:
    """The index without a page: ready, the first search, two thousand more."""
    ready: list[float] = []
    first: list[float] = []
    times: list[float] = []
    for _ in range(5):
        page = slowed(browser, rate)
        page.goto((folder / "bare.html").as_uri())
        opened = "(() => { const t = performance.now(); globalThis.find = GramwrightFind;"
        opened += " globalThis.index = find.unpacked.open(find.columns); return performance.now() - t; })()"
        ready.append(page.evaluate(opened))
        page.evaluate("globalThis.titles = find.match.openTitles(find.titles, index); 0")
        first.append(page.evaluate(FIRST))
        page.evaluate("globalThis.words = find.match.openWords(find.words, index, titles); 0")
        page.evaluate("for (const _ of find.core.prepare(index)); 0")
        page.evaluate(QUERIES)
        times = page.evaluate(QUERIES)
        page.context.close()
    said("index ready", f"{min(ready):.2f} ms", f"median {share(ready, 0.5):.2f}; at most 10")
    said("first search, nothing unpacked yet", f"{min(first):.2f} ms", f"median {share(first, 0.5):.2f}")
    said("search with filters, median of 2,000", f"{share(times, 0.5):.2f} ms")
    said("  95th percentile", f"{share(times, 0.95):.2f} ms", "at most 5")


def page_times(browser: Browser, folder: Path, rate: float) -> None:
    """The page: a slider's and a keystroke's way to the painted list."""
    page = slowed(browser, rate)
    page.goto((folder / "find" / "index.html").as_uri())
    for _ in range(400):
        if page.evaluate("!document.querySelector('.find-from').disabled"):
            break
        page.wait_for_timeout(50)
    page.focus("#find-text")
    for _ in range(100):
        if page.evaluate("Boolean(GramwrightFind.words)"):
            break
        page.wait_for_timeout(50)
    for name, script in (("slider step", SLIDER), ("keystroke", TYPED)):
        page.evaluate(script)
        pairs = page.evaluate(script)
        worked, painted = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
        said(f"{name} to laid-out list", f"{share(worked, 0.5):.1f} ms", f"95th percentile {share(worked, 0.95):.1f}")
        said(f"{name} to painted list", f"{share(painted, 0.5):.1f} ms", f"95th percentile {share(painted, 0.95):.1f}")
    page.context.close()


def slowed(browser: Browser, rate: float) -> Page:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": rate})
    return page


def library(
    browser: Browser, folder: Path, path: Path, cards: list[Card], files: dict[str, bytes], slow: float
) -> None:
    """Words alone, ours beside a general-purpose library's, at full speed and slowed down."""
    find_library.pages(folder, path)
    page = slowed(browser, 1)
    index = find_library.packed(page, folder, cards)
    page.context.close()
    names = search.names(files)
    print(f"words alone: ours, beside a general library ({path.parent.parent.parent.parent.name})")
    own, their = find_library.size(files[names.words]), find_library.size(index.encode())
    titles = find_library.size(files[names.titles])
    pair("index of words, gzip", f"{own:,} B", f"{their:,} B", f"{their / own:.1f} times")
    pair("  with titles and addresses", f"{own + titles:,} B", f"{their + titles:,} B")
    for rate in (1.0, slow):
        ours, theirs = find_library.beside(lambda rate=rate: slowed(browser, rate), folder, files, index)  # type: ignore[misc]
        print(f"  {rate:g} times slower" if rate > 1 else "  full speed")
        pair("ready, median", f"{share(ours.ready, 0.5):.1f} ms", f"{share(theirs.ready, 0.5):.1f} ms")
        for name, part in (("search, median", 0.5), ("  95th percentile", 0.95)):
            pair(name, f"{share(ours.times, part):.2f} ms", f"{share(theirs.times, part):.2f} ms")
        if rate == 1:
            for asked, own_count, their_count in zip(find_library.ASKED, ours.found, theirs.found, strict=True):
                pair(f"  found by '{asked}'", own_count, their_count)


def pair(name: str, ours: object, theirs: object, note: str = "") -> None:
    print(f"  {name:<44} {ours!s:>12} {theirs!s:>14}  {note}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--recipes", type=int, default=10_000)
    parser.add_argument("--slow", type=float, default=4.0, help="how many times slower the processor is made")
    parser.add_argument("--library", type=Path)
    given = parser.parse_args()
    cards = made_cards(given.recipes)
    theme = Theme(Settings(title="Benchmark", base_url=""))
    started = time.perf_counter()
    files = find.index(theme, cards)
    built = time.perf_counter() - started
    print(f"{given.recipes:,} invented recipes; load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    said("index built", f"{built:.2f} s")
    sizes(files, given.recipes)
    files |= find.render(theme, cards, files)
    html = files[find.PATH]
    own = sum(len(gzip.compress(theme.assets[name].data, 9)) for name in ("galley.css", "find.css", "find.js"))
    said("page, styles and script", f"{len(gzip.compress(html, 9)) + own:,} B", "without the index")
    files |= theme.asset_files()
    with tempfile.TemporaryDirectory() as made, sync_playwright() as playwright:
        folder = Path(made)
        for path, data in files.items():
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / path).write_bytes(data)
        bare(folder, files)
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        for rate in (1.0, given.slow):
            print(f"Chromium {browser.version}, {rate:g} times slower" if rate > 1 else f"Chromium {browser.version}")
            core(browser, folder, rate)
            page_times(browser, folder, rate)
        if given.library:
            library(browser, folder, given.library, search.in_order(cards), files, given.slow)
        browser.close()


def bare(folder: Path, files: dict[str, bytes]) -> None:
    """A page with the finder's code and data and nothing else."""
    names = search.names(files)
    code = ROOT / "themes" / "galley" / "browser"
    sources = [(code / f"find-{name}.js").as_uri() for name in SCRIPTS] + [names.columns, names.titles, names.words]
    tags = "".join(f"<script src={json.dumps(source)}></script>" for source in sources)
    text = f'<!doctype html><meta charset="utf-8"><title>bare</title>{tags}'
    (folder / "bare.html").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
