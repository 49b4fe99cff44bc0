"""The ingredient list as a page shows it. Takes labelling's list, gives pieces of text for the template.

An allergen is set in capitals and in bold, so that it stands out on paper, in
plain text and without colour. A food that leaves allergens not known says so.
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from gramwright.labelling.ingredient_list import Entry, build
from gramwright.model import Dish, Settings
from gramwright.site.words import Words


class PieceView(NamedTuple):
    """A piece of an entry's text."""

    text: str
    allergen: bool


class EntryView(NamedTuple):
    """One ingredient, a recipe used as one with its own in brackets."""

    pieces: tuple[PieceView, ...]
    unknown: bool
    """Some listed allergen is not known for it."""


class IngredientListView(NamedTuple):
    """What `parts/ingredient_list.html` gets."""

    entries: tuple[EntryView, ...]
    shares: bool
    """Whether any ingredient has its share of the weight."""


def view(dish: Dish, rules_id: str, settings: Settings, today: date, words: Words) -> IngredientListView:
    """Takes a dish and its rule set, gives its list by weight. Raises Trouble 'unknown-rule-set'."""
    entries = build(dish, rules_id, settings, today).entries
    return IngredientListView(
        entries=tuple(_entry(entry, words) for entry in entries),
        shares=any(entry.share is not None for entry in entries),
    )


def _entry(entry: Entry, words: Words) -> EntryView:
    pieces = (
        PieceView(segment.text.upper() if segment.emphasised else words.joined(segment.text), segment.emphasised)
        for segment in entry.segments
    )
    return EntryView(tuple(pieces), entry.unknown)
