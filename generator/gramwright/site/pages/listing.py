"""All recipes by name, and those of each meal. Takes cards, gives recipes/index.html, all/2/ ... and meals/<meal>/.

Template `listing.html` gets `shell`, `list` (a DishesView) and `listing`, a ListingView.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from gramwright.site.allergen_line import allergen_names
from gramwright.site.cards import Card
from gramwright.site.listing_view import DishesView, DishView, dish_views, dishes
from gramwright.site.panel import Ruling, shared_ruling
from gramwright.site.standing import Standing
from gramwright.site.theme import Theme
from gramwright.site.words import Words

PAGE_LENGTH = 120
"""Recipes on one page; a longer list goes on at the next."""
MEAL_ORDER = ("breakfast", "lunch", "dinner", "soup", "side", "snack", "bake", "dessert", "drink")


class PageLink(NamedTuple):
    text: str
    href: str
    current: bool


@dataclass(frozen=True, slots=True)
class ListingView:
    """What `listing.html` gets beside the list."""

    title: str
    count: str
    pages: tuple[PageLink, ...]
    """Every page of the list with the names it runs between; empty when there is one."""
    meals: tuple[PageLink, ...]


class Meal(NamedTuple):
    """A meal and its recipes, in the order given."""

    name: str
    path: str
    cards: tuple[Card, ...]


def render(theme: Theme, cards: Sequence[Card], standing: Standing | None = None) -> dict[str, bytes]:
    """Every listing page but those that stay as they are."""
    by_name = sorted(cards, key=by_title)
    drawn = _Drawn(
        shared_ruling(by_name),
        meals(by_name, theme.words),
        allergen_names(theme.settings),
        standing or Standing(),
    )
    files = _pages(theme, theme.words("recipes.title"), by_name, "recipes/index.html", "all", drawn)
    for meal in drawn.meals:
        folder = meal.path.removesuffix("/index.html")
        files.update(_pages(theme, meal.name, meal.cards, meal.path, folder, drawn))
    return files


@dataclass(frozen=True, slots=True)
class _Drawn:
    """What every listing page shares: the recipes drawn on one rule, each when it is first wanted, and the meals."""

    rule: Ruling
    meals: Sequence[Meal]
    allergens: Mapping[str, str]
    """Names by id."""
    standing: Standing
    views: dict[str, DishView] = field(default_factory=dict)

    def of(self, cards: Sequence[Card], words: Words) -> DishesView:
        wanted = [card for card in cards if card.slug not in self.views]
        self.views.update(dish_views(wanted, words, self.allergens, self.rule))
        return dishes(cards, words, self.allergens, self.rule, self.views)


def by_title(card: Card) -> tuple[str, str]:
    """Sorts by title, accents and case set aside."""
    plain = unicodedata.normalize("NFKD", card.title.casefold())
    return ("".join(c for c in plain if not unicodedata.combining(c)), card.slug)


def meals(cards: Sequence[Card], words: Words) -> list[Meal]:
    """The meals that the recipes name, the usual ones in the order of a day, then others by name."""
    found: dict[str, list[Card]] = {}
    for card in cards:
        for key in dict.fromkeys(path_name(meal) for meal in card.meals):
            found.setdefault(key, []).append(card)
    found.pop("", None)
    place = {meal: at for at, meal in enumerate(MEAL_ORDER)}
    ordered = sorted(found, key=lambda key: (place.get(key, len(place)), key))
    return [Meal(meal_name(key, words), f"meals/{key}/index.html", tuple(found[key])) for key in ordered]


def meal_name(meal: str, words: Words) -> str:
    """The heading of a meal: the theme's word for it, or the author's own."""
    key = path_name(meal)
    return words.get(f"meals.{key}", key.replace("-", " ").capitalize())


def path_name(text: str) -> str:
    """A name as part of an address: 'Packed lunch' gives 'packed-lunch'."""
    return re.sub(r"[\W_]+", "-", text.casefold()).strip("-")


def _pages(theme: Theme, title: str, cards: Sequence[Card], first: str, folder: str, drawn: _Drawn) -> dict[str, bytes]:
    words = theme.words
    chunks = [cards[at : at + PAGE_LENGTH] for at in range(0, len(cards), PAGE_LENGTH)] or [cards]
    paths = [first, *(f"{folder}/{number}/index.html" for number in range(2, len(chunks) + 1))]
    spans = _spans(chunks)
    links = tuple((meal.name, meal.path) for meal in drawn.meals)
    files = {}
    for path, chunk in zip(paths, chunks, strict=True):
        if drawn.standing.stays(path, chunk, title, len(cards), spans, links, drawn.rule):
            continue
        root = theme.root(path)
        view = ListingView(
            title=title,
            count=words("home.more", n=len(cards)),
            pages=tuple(PageLink(span, root + other, other == path) for other, span in zip(paths, spans, strict=True))
            if len(chunks) > 1
            else (),
            meals=tuple(PageLink(meal.name, root + meal.path, meal.path == first) for meal in drawn.meals),
        )
        shell = theme.shell(
            path,
            kind="listing",
            title=title,
            description=words("recipes.description", n=len(cards)),
            section="recipes",
        )
        files[path] = theme.render("listing.html", shell, listing=view, list=drawn.of(chunk, words))
    return files


def _spans(chunks: Sequence[Sequence[Card]]) -> list[str]:
    """'A–Ba', 'Be–Ch': the first letters of each page, as many as tell it from its neighbours."""
    edges = [(chunk[0].title, chunk[-1].title) for chunk in chunks if chunk]
    lengths = [1] * len(edges)
    for at, ((_, end), (start, _)) in enumerate(pairwise(edges)):
        length = next((n for n in range(1, 4) if end[:n].casefold() != start[:n].casefold()), 3)
        lengths[at] = max(lengths[at], length)
        lengths[at + 1] = max(lengths[at + 1], length)
    return [f"{start[:n].strip()}–{end[:n].strip()}" for (start, end), n in zip(edges, lengths, strict=True)]
