"""Recipes in a list, as home, listings, bands and find show them. Takes cards, gives rows with a small drawing.

The portions of one list lie along one rule, so that they can be compared by
eye. Template `parts/dishes.html` gets `dishes`, a DishesView.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from gramwright.site.allergen_line import AllergenPart, allergen_parts, swap_parts
from gramwright.site.cards import Card
from gramwright.site.panel import Ruling, pieces_of, shared_ruling
from gramwright.site.panel_view import NumberView, SmallView, numbers, small_view
from gramwright.site.theme import safe_path
from gramwright.site.words import Words


class DishView(NamedTuple):
    """One recipe in a list."""

    title: str
    path: str
    """Of its page, from the top of the site; the template puts `shell.root` before it."""
    summary: str
    energy: str
    """'393', or '' when it is not known."""
    at_least: bool
    more: tuple[str, ...]
    """Short facts: protein, work, time in all."""
    drawing: SmallView
    allergens: tuple[AllergenPart, ...] = ()
    """As written."""
    swaps: tuple[AllergenPart, ...] = ()
    """What swaps and optional ingredients change of them."""


class DishesView(NamedTuple):
    """A list of recipes on one rule."""

    dishes: tuple[DishView, ...]
    textures: tuple[str, ...]
    """Piece keys whose textures the page must define once (`parts/textures.html`)."""
    numbers: tuple[NumberView, ...]
    scale: str
    """The shared rule in words."""


def duration(minutes: float, words: Words) -> str:
    """'45 min', '2 h', '1 h 10 min'."""
    hours, rest = divmod(round(minutes), 60)
    if not hours:
        return words("time.minutes", n=rest)
    return words("time.both", hours=hours, minutes=rest) if rest else words("time.hours", n=hours)


def dishes(
    cards: Sequence[Card],
    words: Words,
    names: Mapping[str, str],
    rule: Ruling | None = None,
    made: Mapping[str, DishView] | None = None,
) -> DishesView:
    """The cards in the order given. `names` has the allergens' names by id (allergen_line.allergen_names); `rule`
    replaces the list's own; `made` has views on that rule already, by slug."""
    shared = rule or shared_ruling(cards)
    ready = made or dish_views(cards, words, names, shared)
    return DishesView(
        dishes=tuple(ready[card.slug] for card in cards),
        textures=pieces_of(cards),
        numbers=numbers(shared, words),
        scale=words("recipes.scale", end=words.number(shared.end)),
    )


def dish_views(cards: Sequence[Card], words: Words, names: Mapping[str, str], rule: Ruling) -> dict[str, DishView]:
    """Slug -> its view on a rule that several lists share."""
    return {card.slug: _dish(card, words, names, rule) for card in cards}


def _dish(card: Card, words: Words, names: Mapping[str, str], rule: Ruling) -> DishView:
    return DishView(
        title=card.title,
        path=f"recipes/{safe_path(card.slug)}/index.html",
        summary=card.summary,
        energy="" if card.energy_kcal is None else words.number(card.energy_kcal),
        at_least="energy_kcal" in card.incomplete,
        more=tuple(_more(card, words)),
        drawing=small_view(card, rule, words),
        allergens=allergen_parts(card, words, names),
        swaps=swap_parts(card, words, names),
    )


def _more(card: Card, words: Words) -> list[str]:
    made = []
    if card.protein_g is not None:
        grams = words.number(card.protein_g)
        text = words("card.protein", grams=grams)
        made.append(f"{words('card.at_least')} {text}" if "protein_g" in card.incomplete else text)
    if card.hands_on_min is not None:
        made.append(words("card.hands_on", time=duration(card.hands_on_min, words)))
    if card.total_min is not None:
        made.append(words("card.total", time=duration(card.total_min, words)))
    return made
