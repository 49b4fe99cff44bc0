"""What a list says of a recipe's allergens. Takes a card, gives the parts of two lines: as written, and by a change.

The page's script says the same from the index (themes/galley/browser/find-row.js).
Template `parts/allergen_line.html` has a macro that writes the parts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from gramwright.labelling import allergen_rules
from gramwright.model import Settings
from gramwright.site.cards import Card
from gramwright.site.words import Words

NAMED_UNKNOWN = 4
"""Allergens not known that are named in a row; more are counted."""
_HERE = "\n"
"""Where the names go in a text; no text of a theme has it in it."""


class AllergenPart(NamedTuple):
    """'Contains milk, wheat': what is said (`contains`, `may`, `unknown`, `none`, or one of allergen_swaps.WHATS)."""

    state: str
    text: str
    names: tuple[str, ...]
    after: str = ""
    """What follows the names."""


def allergen_names(settings: Settings) -> Mapping[str, str]:
    """Every allergen id that a card can carry, with the law's name in the hub's language."""
    return allergen_rules.load(settings.rule_set).names(settings.language.split("-")[0].lower())


def allergen_parts(card: Card, words: Words, names: Mapping[str, str]) -> tuple[AllergenPart, ...]:
    """What is said of a card's allergens as written; never nothing at all."""
    contains, may = _named(card.contains, names), _named(card.may_contain, names)
    unknown = _named([name for name in card.unknown if name not in card.contains], names)
    parts = []
    if contains:
        parts.append(AllergenPart("contains", words("allergens.contains") + " ", contains))
    if may:
        parts.append(AllergenPart("may", words("allergens.may_contain") + " ", may))
    if len(unknown) > NAMED_UNKNOWN:
        parts.append(AllergenPart("unknown", words("find.allergens_unknown", n=len(unknown)), ()))
    elif unknown:
        parts.append(AllergenPart("unknown", words("allergens.unknown") + " ", unknown))
    if not parts:
        parts.append(AllergenPart("none", words("find.allergens_none"), ()))
    return tuple(parts)


def swap_parts(card: Card, words: Words, names: Mapping[str, str]) -> tuple[AllergenPart, ...]:
    """What a card's swaps and optional rows change of its allergens; () where they change nothing."""
    parts = []
    for what, ids in card.swaps.told:
        if len(ids) > NAMED_UNKNOWN and what.endswith("_opens"):
            parts.append(AllergenPart(what, words(f"card.{what}_many", n=len(ids)), ()))
            continue
        before, _, after = words(f"card.{what}", names=_HERE).partition(_HERE)
        parts.append(AllergenPart(what, before, _named(ids, names), after))
    return tuple(parts)


def _named(ids: Iterable[str], names: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(names.get(name, name) for name in ids)
