"""Find's words beside a general-purpose search library of the browser: the same texts, the same words, the same page.

Takes a bare page with the finder's code and data (bench/find_bench.py), the UMD build of npm's minisearch, gives pairs
of figures. The library answers words alone; ours answers words with every filter, so its columns are told apart.
"""

from __future__ import annotations

import gzip
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from gramwright.site import search
from gramwright.site.cards import Card

ASKED = ("leek", "chick", "brocolli", "smoked barley", "soup", "c", "tomato onion", "pearl")
"""A word, a beginning, a slip, two words, a common word, one letter ..."""
ROUNDS = 20
TIMES = 5

PACK = """texts => {
  globalThis.options = {fields: ['title', 'tags', 'names']};
  const made = new MiniSearch(options);
  made.addAll(texts);
  return JSON.stringify(made);
}"""
THEIRS_READY = """text => {
  globalThis.options = {fields: ['title', 'tags', 'names']};
  const before = performance.now();
  globalThis.made = MiniSearch.loadJSON(text, options);
  return performance.now() - before;
}"""
THEIRS = """([asked, rounds]) => {
  const times = [];
  const search = word => made.search(word, {prefix: true, fuzzy: word.length > 4 ? 1 : 0, combineWith: 'AND'});
  for (let round = -2; round < rounds; round++) for (const words of asked) {
    const before = performance.now();
    search(words);
    if (round >= 0) times.push(performance.now() - before);
  }
  return [times, asked.map(words => search(words).length)];
}"""
OURS_READY = """text => {
  const find = GramwrightFind, index = find.unpacked.open(find.columns);
  const titles = find.match.openTitles(find.titles, index);
  const before = performance.now();
  (0, eval)(text);
  globalThis.words = find.match.openWords(find.words, index, titles);
  globalThis.find = find;
  globalThis.index = index;
  return performance.now() - before;
}"""
OURS = """([asked, rounds]) => {
  for (const _ of find.core.prepare(index));
  const times = [];
  const search = typed => {
    const state = find.state.read('?q=' + encodeURIComponent(typed));
    return find.core.query(index, state, find.match.match(words, state.text));
  };
  for (let round = -2; round < rounds; round++) for (const typed of asked) {
    const before = performance.now();
    search(typed);
    if (round >= 0) times.push(performance.now() - before);
  }
  return [times, asked.map(typed => search(typed).total)];
}"""


@dataclass(frozen=True, slots=True)
class Figures:
    """Of one of the two: milliseconds, and how many recipes each of ASKED gave."""

    ready: list[float]
    times: list[float]
    found: list[int]


def pages(folder: Path, path: Path) -> None:
    """Writes the library's page beside the bare one."""
    (folder / "library.js").write_bytes(path.read_bytes())
    text = '<!doctype html><meta charset="utf-8"><title>library</title><script src="library.js"></script>'
    (folder / "library.html").write_text(text, encoding="utf-8")


def packed(page: Page, folder: Path, cards: Sequence[Card]) -> str:
    """The library's index of the recipes as it would be published: a serialised object graph."""
    texts = [
        {"id": n, "title": card.title, "tags": " ".join((*card.meals, *card.tags)), "names": " ".join(card.ingredients)}
        for n, card in enumerate(cards)
    ]
    page.goto((folder / "library.html").as_uri())
    made: str = page.evaluate(PACK, texts)
    return made


def measured(open_page: Callable[[], Page], address: str, ready_by: str, index: str, search_by: str) -> Figures:
    ready: list[float] = []
    found: Any = [[], []]
    for _ in range(TIMES):
        page = open_page()
        page.goto(address)
        ready.append(page.evaluate(ready_by, index))
        found = page.evaluate(search_by, [list(ASKED), ROUNDS])
        page.context.close()
    return Figures(ready, found[0], found[1])


def beside(open_page: Callable[[], Page], folder: Path, files: dict[str, bytes], index: str) -> tuple[Figures, Figures]:
    """Ours and theirs, as `open_page` slows them down."""
    words = files[search.names(files).words].decode()
    ours = measured(open_page, (folder / "bare.html").as_uri(), OURS_READY, words, OURS)
    theirs = measured(open_page, (folder / "library.html").as_uri(), THEIRS_READY, index, THEIRS)
    return ours, theirs


def size(data: bytes) -> int:
    return len(gzip.compress(data, 9, mtime=0))
