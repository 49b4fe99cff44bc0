"""A recipe as find and its bands list it. Takes a card, gives texts and the small drawing.

The page's script builds the same row from the index (themes/galley/browser/find-row.js),
so figures are rounded here as the index rounds them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from markupsafe import Markup

from gramwright.site.allergen_line import AllergenPart, allergen_parts, swap_parts
from gramwright.site.cards import Card
from gramwright.site.listing_view import duration
from gramwright.site.panel import Ruling, ruling
from gramwright.site.panel_view import PieceView, small_view, ticks_path
from gramwright.site.search.shown import half_up, tenths, whole_minutes
from gramwright.site.theme import Theme, safe_path
from gramwright.site.words import NARROW_SPACE, Words

TEXTURES = ("protein", "carbohydrate", "fat", "fibre", "alcohol", "polyols", "acids", "rest")
"""Piece keys that a row can draw."""
REACHED = 0.98
"""Share of the recipes that lie within the rule's length; the few above end with it."""


class FoundView(NamedTuple):
    """What the row macro of `parts/find_dish.html` gets."""

    title: str
    href: str
    energy: str
    """'393', or '' when it is not known."""
    at_least: bool
    pieces: tuple[PieceView, ...]
    described: str
    more: str
    """Short facts: protein, protein in 100 kcal, work, time in all."""
    allergens: tuple[AllergenPart, ...]
    summary: str
    swaps: tuple[AllergenPart, ...] = ()
    """What swaps and optional ingredients change of the allergens."""


BLANK = FoundView("", "", "", False, (), "", "", (), "")
"""The row that the page's script fills."""


class Drawn(NamedTuple):
    """What `parts/list_defs.html` gets: the textures, and one drawing that has the rule's ticks."""

    textures: tuple[str, ...]
    dishes: tuple[Drawing, ...]


class Ticks(NamedTuple):
    ticks: str


class Drawing(NamedTuple):
    drawing: Ticks


def drawn(rule: Ruling) -> Drawn:
    return Drawn(TEXTURES, (Drawing(Ticks(ticks_path(rule))),))


def hub_ruling(cards: Sequence[Card]) -> Ruling:
    """One rule for a whole hub, long enough for nearly all of its recipes."""
    energies = sorted(card.energy_kcal for card in cards if card.energy_kcal is not None)
    return ruling(energies[min(len(energies) - 1, int(len(energies) * REACHED))] if energies else 0.0)


def found_view(card: Card, words: Words, names: Mapping[str, str], root: str, rule: Ruling) -> FoundView:
    """Takes a card, gives its row; `names` has the allergens' names by id, `root` leads to the top of the site."""
    drawing = small_view(card, rule, words)
    return FoundView(
        title=card.title,
        href=f"{root}recipes/{safe_path(card.slug)}/index.html",
        energy="" if card.energy_kcal is None else words.number(half_up(card.energy_kcal)),
        at_least="energy_kcal" in card.incomplete,
        pieces=drawing.pieces,
        described=drawing.described if card.energy_kcal is not None else words("card.unknown_energy"),
        more=" · ".join(_more(card, words)),
        allergens=allergen_parts(card, words, names),
        summary=" ".join(card.summary.split()),
        swaps=swap_parts(card, words, names),
    )


def ratio(card: Card) -> float | None:
    """Grams of protein for every 100 kcal, to 0.01 g, from the figures as the index keeps them.

    None where a figure is missing, or the energy is only known as "at least".
    """
    if card.protein_g is None or card.energy_kcal is None or "energy_kcal" in card.incomplete:
        return None
    kcal = half_up(card.energy_kcal)
    return half_up(tenths(card.protein_g) * 1000 / kcal) / 100 if kcal else None


def grams(amount: float, words: Words) -> str:
    """'31' or '9.4': whole from 10 g on."""
    steps = tenths(amount)
    return words.plain(steps / 10 if steps < 100 else (steps + 5) // 10)


def _more(card: Card, words: Words) -> Iterable[str]:
    if card.protein_g is not None:
        text = words("card.protein", grams=grams(card.protein_g, words))
        share = ratio(card)
        if "protein_g" in card.incomplete:
            yield f"{words('card.at_least')} {text}"
        elif share is None:
            yield text
        else:
            yield words("find.per_100", protein=text, grams=words.plain(half_up(share, 10) / 10))
    if card.hands_on_min is not None:
        yield words("card.hands_on", time=duration(whole_minutes(card.hands_on_min), words))
    if card.total_min is not None:
        yield words("card.total", time=duration(whole_minutes(card.total_min), words))


def rows(theme: Theme, views: Iterable[FoundView]) -> list[Markup]:
    """The rows as HTML, by the theme's macro."""
    macro = theme.environment.get_template("parts/find_dish.html").make_module().row  # type: ignore[attr-defined]
    return [macro(view) for view in views]


def unit(name: str, words: Words) -> str:
    return f"{NARROW_SPACE}{words(f'find.units.{name}')}"
