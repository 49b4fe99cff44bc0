"""What a published page says. Takes HTML, gives its texts and attributes that are read, each with its language."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from typing import NamedTuple

HUBS = Path(__file__).parent / "languages"
"""A whole hub in each language: no English word is its author's."""

SPOKEN = ("alt", "title", "aria-label", "placeholder", "content", "data-say", "data-start", "data-name")
VOID = {"meta", "link", "br", "input", "img", "hr", "source", "line", "rect", "path", "use", "col"}
METAS = {"description", "og:title", "og:description", "og:site_name", "og:image:alt"}


class Text(NamedTuple):
    text: str
    lang: str


class Reader(HTMLParser):
    """Collects texts; what scripts and styles hold is none."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[Text] = []
        self._open: list[tuple[str, str]] = []
        self._code = False

    @property
    def lang(self) -> str:
        return self._open[-1][1] if self._open else ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        lang = given.get("lang", self.lang)
        self._code = tag in ("script", "style")
        if tag != "meta" or given.get("name", given.get("property")) in METAS:
            self.found += [Text(given[name], lang) for name in SPOKEN if given.get(name)]
        if tag not in VOID:
            self._open.append((tag, lang))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self._open.pop()

    def handle_endtag(self, tag: str) -> None:
        self._code = False
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if data.strip() and not self._code:
            self.found.append(Text(re.sub(r"\s+", " ", data.strip()), self.lang))


def texts(html: str) -> list[Text]:
    reader = Reader()
    reader.feed(html)
    return reader.found
