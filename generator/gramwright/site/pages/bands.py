"""The find page's shelves, for readers without JavaScript. Takes cards, gives lists by energy, by protein and by tag.

    find/energy/<from>-<to>/index.html     bands of 100 kcal a portion, lowest first
    find/energy/unknown/index.html         recipes whose energy is not known
    find/protein/index.html                by grams of protein in 100 kcal, highest first
    find/tag/<tag>/index.html              by name

(Lists by meal are meals/<meal>/, see listing.) A long list goes on at
<folder>/2/index.html. Template `band.html` gets `shell`, `list` (textures and
ticks) and `band`, a BandView.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from markupsafe import Markup

from gramwright.site import found_view, search
from gramwright.site.allergen_line import allergen_names
from gramwright.site.cards import Card
from gramwright.site.pages import listing
from gramwright.site.pages.listing import PAGE_LENGTH, PageLink
from gramwright.site.panel import Ruling
from gramwright.site.search.shown import half_up
from gramwright.site.standing import Standing
from gramwright.site.theme import Theme
from gramwright.site.words import Words

WIDTH = 100
"""kcal a band."""
TOP = 1200
"""From here on one band has everything."""
_DEEP = "../../../"


@dataclass(frozen=True, slots=True)
class BandView:
    """What `band.html` gets."""

    title: str
    text: str
    count: str
    near_name: str
    near: tuple[PageLink, ...]
    """The other bands of the same kind."""
    pages: tuple[PageLink, ...]
    """Every page of a long list; empty when there is one."""
    rows: Markup
    scale: str


@dataclass(frozen=True, slots=True)
class ShelfLink:
    text: str
    href: str
    count: str


class Shelf(NamedTuple):
    """A kind of lists with its links."""

    name: str
    links: tuple[ShelfLink, ...]


class Band(NamedTuple):
    """One list: its first page's path, its texts, and its recipes in order."""

    path: str
    name: str
    title: str
    text: str
    cards: tuple[Card, ...]


def render(theme: Theme, cards: Sequence[Card], standing: Standing | None = None) -> dict[str, bytes]:
    """Every page of every list but those that stay as they are."""
    words = theme.words
    cards = search.in_order(cards)
    rows = _Rows(theme, found_view.hub_ruling(cards), standing or Standing())
    files: dict[str, bytes] = {}
    energy = energy_bands(cards, words)
    for band in energy:
        files.update(_pages(theme, band, energy, words("find.by_energy"), rows))
    for band in [protein_band(cards, words), *tag_bands(cards, words)]:
        files.update(_pages(theme, band, (), "", rows))
    return files


def shelves(theme: Theme, cards: Sequence[Card], root: str) -> tuple[Shelf, ...]:
    """Links to every list, for the find page; `root` leads to the top of the site."""
    words = theme.words
    cards = search.in_order(cards)
    protein = protein_band(cards, words)
    kinds = [
        (words("find.by_energy"), energy_bands(cards, words)),
        (words("find.by_protein"), [protein] if protein.cards else []),
        (words("find.by_meal"), [Band(m.path, m.name, "", "", m.cards) for m in listing.meals(cards, words)]),
        (words("find.by_tag"), tag_bands(cards, words)),
    ]
    return tuple(
        Shelf(name, tuple(ShelfLink(b.name, root + b.path, words.number(len(b.cards))) for b in listed))
        for name, listed in kinds
        if listed
    )


def energy_bands(cards: Sequence[Card], words: Words) -> list[Band]:
    """Takes cards by title. Bands of WIDTH kcal, lowest first; then the recipes whose energy is not known."""
    found: dict[int, list[Card]] = {}
    unknown = [card for card in cards if card.energy_kcal is None]
    for card in cards:
        if card.energy_kcal is not None:
            found.setdefault(min(half_up(card.energy_kcal) // WIDTH * WIDTH, TOP), []).append(card)
    made = []
    for low in sorted(found):
        top = low + WIDTH - 1
        name = (
            words("find.band_top", low=words.number(low))
            if low == TOP
            else words("find.band", low=words.number(low), high=words.number(top))
        )
        path = f"find/energy/{low}-{'' if low == TOP else top}".rstrip("-") + "/index.html"
        inside = tuple(sorted(found[low], key=_by_energy))
        made.append(Band(path, name, words("find.energy_title", band=name), words("find.energy_text"), inside))
    if unknown:
        name = words("card.unknown_energy")
        made.append(Band("find/energy/unknown/index.html", name, name, "", tuple(unknown)))
    return made


def _by_energy(card: Card) -> tuple[bool, int]:
    return "energy_kcal" in card.incomplete, half_up(card.energy_kcal or 0.0)


def protein_band(cards: Sequence[Card], words: Words) -> Band:
    """Takes cards by title. Every recipe whose protein in 100 kcal is known, highest first."""
    ratios = [(found_view.ratio(card), card) for card in cards]
    known = sorted(((share, card) for share, card in ratios if share is not None), key=lambda pair: -pair[0])
    title = words("find.protein_title")
    return Band("find/protein/index.html", title, title, words("find.protein_text"), tuple(card for _, card in known))


def tag_bands(cards: Sequence[Card], words: Words) -> list[Band]:
    """Takes cards by title. One list a tag, by the tag's name; a tag is called as it was first written."""
    found: dict[str, list[Card]] = {}
    called: dict[str, str] = {}
    for card in cards:
        for name in card.tags:
            called.setdefault(search.key(name), name)
        for tag in search.keys(card.tags):
            found.setdefault(tag, []).append(card)
    return [
        Band(f"find/tag/{tag}/index.html", called[tag], words("find.tag_title", tag=called[tag]), "", tuple(found[tag]))
        for tag in sorted(found)
    ]


@dataclass(slots=True)
class _Rows:
    """The recipes' rows as HTML, each made when it is first wanted; their links lead up three folders."""

    theme: Theme
    rule: Ruling
    standing: Standing
    made: dict[str, str] = field(default_factory=dict)
    """By slug."""

    def of(self, cards: Sequence[Card]) -> str:
        wanted = [card for card in cards if card.slug not in self.made]
        if wanted:
            names = allergen_names(self.theme.settings)
            views = [found_view.found_view(card, self.theme.words, names, _DEEP, self.rule) for card in wanted]
            rows = found_view.rows(self.theme, views)
            self.made.update((card.slug, str(row)) for card, row in zip(wanted, rows, strict=True))
        return "".join(self.made[card.slug] for card in cards)


def _pages(theme: Theme, band: Band, near: Sequence[Band], near_name: str, rows: _Rows) -> dict[str, bytes]:
    words = theme.words
    chunks = [band.cards[at : at + PAGE_LENGTH] for at in range(0, len(band.cards), PAGE_LENGTH)] or [()]
    folder = band.path.removesuffix("index.html")
    paths = [band.path, *(f"{folder}{number}/index.html" for number in range(2, len(chunks) + 1))]
    links = tuple((other.name, other.path) for other in near)
    files = {}
    for path, chunk in zip(paths, chunks, strict=True):
        if rows.standing.stays(path, chunk, band.title, band.text, len(band.cards), links, rows.rule):
            continue
        root = theme.root(path)
        made = rows.of(chunk)
        if root != _DEEP:
            made = made.replace(f'href="{_DEEP}', f'href="{root}')
        view = BandView(
            title=band.title,
            text=band.text,
            count=words("find.count", n=len(band.cards)),
            near_name=near_name,
            near=tuple(PageLink(other.name, root + other.path, other.path == band.path) for other in near),
            pages=tuple(
                PageLink(words("find.page", n=number), root + other, other == path)
                for number, other in enumerate(paths, 1)
            )
            if len(paths) > 1
            else (),
            rows=Markup(made),
            scale=words("find.scale", end=words.number(rows.rule.end)),
        )
        shell = theme.shell(
            path, kind="band", title=band.title, description=view.count, styles=("find.css",), section="find"
        )
        files[path] = theme.render("band.html", shell, band=view, list=found_view.drawn(rows.rule))
    return files
