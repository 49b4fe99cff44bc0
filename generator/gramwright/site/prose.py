"""The author's Markdown. Takes a text and where it stands, gives safe HTML; what is unsafe is shown and reported.

CommonMark with tables. No raw HTML passes; links lead to https, http and
mailto addresses, within the page, or to recipes (`slug.md`, `recipe:slug`) and
foods (`food:id`) of the hub; no picture is loaded from elsewhere. Headings are
moved below the heading of the section that the text stands in.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterable, Iterator
from typing import NamedTuple
from urllib.parse import unquote

from markdown_it.token import Token
from markupsafe import Markup

from gramwright.problems import Place, ProblemLog
from gramwright.site import markdown
from gramwright.site.theme import safe_path

LOWEST_HEADING = 6

_RAW_HTML = re.compile(r"<(?:/?[A-Za-z][^<>]*|!--.*?--|[!?][^<>]*)>", re.DOTALL)
_SCHEME = re.compile(r"([A-Za-z][A-Za-z0-9+.-]*):")
_UNSEEN = re.compile(r"[\x00-\x20\x7f-\xa0\u200b-\u200f\u2028-\u202f\u2060-\u206f\ufeff]")
_ALIGNMENT = {"text-align:right": "at-end", "text-align:center": "at-middle"}
_OUTSIDE = frozenset({"http", "https", "mailto", "tel"})


class Prose(NamedTuple):
    """Rendered Markdown."""

    html: Markup
    steps: tuple[str, ...]
    """The text's list items and paragraphs without markup, in order, for structured data."""


EMPTY = Prose(Markup(""), ())


def _nothing_known(_slug: str) -> bool:
    return False


class _Walk:
    """One text on its way through: where it stands, what it may link to, what was found."""

    def __init__(
        self,
        file: str,
        first_line: int,
        root: str,
        known: Callable[[str], bool],
        foods: Container[str],
        log: ProblemLog,
    ) -> None:
        self.file = file
        self.first_line = first_line
        self.root = root
        self.known = known
        self.foods = foods
        self.log = log

    def warn(self, line: int, code: str, message: str, hint: str) -> None:
        self.log.warn(Place(self.file, self.first_line + line), code, message, hint)

    # ------------------------------------------------------------ links

    def target(self, href: str, line: int) -> str | None:
        """Where a link leads on this page, or None when it leads nowhere good (already reported)."""
        plain = _UNSEEN.sub("", unquote(href))
        if plain.startswith("#"):
            return href
        scheme = _SCHEME.match(plain)
        if scheme is None and not plain.startswith(("//", "\\")):
            return self._inside(plain, href, line)
        kind = scheme[1].lower() if scheme else ""
        if kind == "recipe":
            return self._recipe(plain[len("recipe:") :], line)
        if kind == "food":
            return self._food(plain[len("food:") :], line)
        if kind in _OUTSIDE:
            return href
        self.warn(
            line,
            "unsafe-link",
            f"expected a link to https:, http:, mailto: or a recipe, found '{_short(href)}'; it is shown as text",
            "write the whole address, or the recipe as [words](slug.md)",
        )
        return None

    def _inside(self, plain: str, href: str, line: int) -> str | None:
        path, _, fragment = plain.partition("#")
        if path.endswith(".md"):
            slug = path.rpartition("/")[2].removesuffix(".md")
            return self._recipe(f"{slug}#{fragment}" if fragment else slug, line)
        self.warn(
            line,
            "unknown-link",
            f"expected a recipe of this hub (slug.md) or a whole address, found '{_short(href)}'; it is shown as text",
            "write a recipe as [words](slug.md), a food as [words](food:its-id)",
        )
        return None

    def _recipe(self, asked: str, line: int) -> str | None:
        slug, _, fragment = asked.partition("#")
        if self.known(slug):
            return f"{self.root}recipes/{safe_path(slug)}/index.html" + (f"#{safe_path(fragment)}" if fragment else "")
        self._unknown("recipe", slug, "name the recipe by its file: [words](slug.md)", line)
        return None

    def _food(self, food: str, line: int) -> str | None:
        if food in self.foods:
            return f"{self.root}foods/{safe_path(food)}/index.html"
        self._unknown("food", food, "link to foods of this recipe, by their id: [words](food:its-id)", line)
        return None

    def _unknown(self, kind: str, name: str, hint: str, line: int) -> None:
        message = f"the text links to the {kind} '{_short(name)}', which this page cannot reach; it is shown as text"
        self.warn(line, "unknown-link", message, hint)

    # ------------------------------------------------------------ tokens

    def block(self, token: Token, line: int) -> None:
        """Cleans one block's inline content in place and reports what it held."""
        children = token.children or []
        self._report_raw_html(children, line)
        token.children = list(self._clean(children, line))

    def _report_raw_html(self, children: Iterable[Token], line: int) -> None:
        text = "".join(_as_text(child) for child in children)
        if "<" not in text:
            return
        for found in _RAW_HTML.finditer(text):
            self.warn(
                line + text.count("\n", 0, found.start()),
                "raw-html",
                f"expected Markdown, found HTML '{_short(found[0])}'; it is shown as text",
                "say it in Markdown, or put it between backticks if it is meant to be seen",
            )

    def _clean(self, children: Iterable[Token], line: int) -> Iterator[Token]:
        closing: list[str | None] = []
        for child in children:
            if child.type in ("softbreak", "hardbreak"):
                line += 1
                yield child
            elif child.type == "link_open":
                href = str(child.attrs["href"])
                target = self.target(href, line)
                closing.append(None if target is not None else f"]({href})")
                if target is None:
                    yield _text("[")
                else:
                    child.attrs["href"] = target
                    if target is href and not href.startswith("#"):
                        child.attrs["rel"] = "external noopener noreferrer"
                    yield child
            elif child.type == "link_close":
                shown = closing.pop()
                yield child if shown is None else _text(shown)
            elif child.type == "image":
                self.warn(
                    line,
                    "picture-in-text",
                    f"expected text, found the picture '{_short(str(child.attrs['src']))}'; its description is shown",
                    "give the page its photo with `photo:` in the front matter",
                )
                yield _text(child.content)
            else:
                yield child


def render(
    text: str,
    *,
    file: str,
    first_line: int,
    log: ProblemLog,
    root: str = "",
    known: Callable[[str], bool] = _nothing_known,
    foods: Container[str] = frozenset(),
    below: int = 2,
) -> Prose:
    """Takes Markdown that starts at `first_line` of `file`, gives HTML for a section whose heading has level `below`.

    `root` leads from the page to the top of the site; `known` says whether a
    slug can be linked to, `foods` holds the food ids that can. Problems (warnings): 'raw-html', 'unsafe-link',
    'unknown-link', 'picture-in-text'.
    """
    if not text.strip():
        return EMPTY
    parser = markdown.parser()
    tokens = parser.parse(text)
    walk = _Walk(file, first_line, root, known, foods, log)
    steps: list[str] = []
    levels = [int(token.tag[1]) for token in tokens if token.type == "heading_open"]
    shift = below + 1 - min(levels) if levels else 0
    in_heading = False
    line = 0
    for token in tokens:
        if token.map is not None:
            line = token.map[0]
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{min(int(token.tag[1]) + shift, LOWEST_HEADING)}"
            in_heading = token.type == "heading_open"
        elif token.type == "inline":
            walk.block(token, line)
            if not in_heading:
                steps.append(_plain(token))
        elif token.type in ("th_open", "td_open"):
            _align_by_class(token)
    html = parser.renderer.render(tokens, parser.options, {})
    return Prose(Markup(html), tuple(filter(None, steps)))


def _align_by_class(token: Token) -> None:
    """A table cell's alignment as a class: the pages' security policy allows no style in a tag."""
    style = token.attrs.pop("style", None)
    if style is not None:
        token.attrs["class"] = _ALIGNMENT.get(str(style), "at-start")


def _as_text(token: Token) -> str:
    if token.type == "text":
        return token.content
    return "\n" if token.type in ("softbreak", "hardbreak") else "\0"


def _plain(token: Token) -> str:
    parts = []
    for child in token.children or ():
        if child.type in ("text", "code_inline"):
            parts.append(child.content)
        elif child.type in ("softbreak", "hardbreak"):
            parts.append(" ")
    return "".join(parts).strip()


def _text(content: str) -> Token:
    return Token("text", "", 0, content=content)


def _short(text: str, most: int = 60) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"
