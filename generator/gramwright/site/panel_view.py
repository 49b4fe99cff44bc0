"""The panel as a template shows it. Takes the geometry and the words, gives texts and SVG lengths.

Lengths are percentages of the rule (`x`, `width`: '12.3%') or, in the paths of
ticks and bracket, thousandths of it; templates only place them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from gramwright.labelling.rounding import NUDGE
from gramwright.model import Dish, Label
from gramwright.site.cards import Card
from gramwright.site.panel import REST, Cut, Panel, Ruling, draw, small
from gramwright.site.words import Words

TICK_LENGTHS = {1: 5, 2: 8, 3: 12}
"""Pixels of a tick by its rank."""
PIECE_KEYS = ("protein", "carbohydrate", "fat", "fibre", "alcohol", "polyols", "acids", "rest")
"""Pieces that the theme has a texture for, as `piece-<key>`."""
SHADES = 6
"""Shades of the ingredient strip, `shade-1` the darkest."""


class PieceView(NamedTuple):
    """One piece: where it lies, its look, and what the list beneath says of it."""

    fill: str
    """'carbohydrate' or 'shade-2': names the texture and the swatch."""
    x: str
    width: str
    name: str
    grams: str
    """'58 g', or '' where grams have no meaning."""
    share: str
    href: str = ""


class NumberView(NamedTuple):
    x: str
    text: str


class PanelView(NamedTuple):
    """What `parts/panel.html` gets."""

    known: bool
    energy: str
    at_least: bool
    energy_kj: str
    portion: str
    """'370 g', or '' when the portion's weight is not known."""
    likely: str
    """'likely 371 to 415', or ''."""
    described: str
    """The drawing in words."""
    ticks: str
    bracket: str
    """Path of the likely range; '' for none."""
    numbers: tuple[NumberView, ...]
    what: str
    """Over the list of `pieces`: what gives the energy; of the known energy, where it is not known for every row."""
    where: str
    """Over the list of the `strip`: where it comes from."""
    of_what: str
    """What the shares in both are shares of."""
    pieces: tuple[PieceView, ...]
    strip: tuple[PieceView, ...]


class SmallView(NamedTuple):
    """The rule and the portion alone, for lists: what `parts/rows.html` draws."""

    ticks: str
    pieces: tuple[PieceView, ...]
    described: str


@lru_cache(maxsize=256)
def ticks_path(rule: Ruling) -> str:
    """The path of a rule's ticks, hanging down from 0; 1000 wide."""
    return "".join(f"M{_thousandth(at)} 0V{TICK_LENGTHS[rank]}" for at, rank in rule.ticks)


def view(dish: Dish, label: Label, words: Words, root: str) -> PanelView:
    """Takes a dish and its label, gives the whole panel; `root` leads to the top of the site."""
    panel = draw(dish, label)
    grams = "" if dish.portion_g is None else words.grams(dish.portion_g)
    if panel.energy is None:
        return PanelView(False, "", False, "", grams, "", words("panel.unknown"), "", "", (), "", "", "", (), ())
    low, high = words.number(panel.low), words.number(panel.high)
    pieces = tuple(_piece(cut, words) for cut in panel.pieces)
    strip = tuple(_ingredient(cut, at, words, root) for at, cut in enumerate(panel.strip, 1))
    likely = words("panel.drawing_likely", low=low, high=high) if panel.spread else ""
    energy = words.number(panel.energy)
    end = words.number(panel.ruling.end)
    known = "" if panel.complete else "_known"
    described = [words("panel.drawing", end=end, energy=energy, likely=likely)]
    if pieces:
        described.append(words(f"panel.drawing_what{known}", pieces=_listed(pieces, words)))
    if strip:
        described.append(words(f"panel.drawing_where{known}", pieces=_listed(strip, words)))
    return PanelView(
        known=True,
        energy=energy,
        at_least=not panel.complete,
        energy_kj="" if panel.energy_kj is None else f"{words.number(panel.energy_kj)}\u202fkJ",
        portion=grams,
        likely=words("panel.likely", low=low, high=high) if panel.spread else "",
        described=" ".join(described),
        ticks=ticks_path(panel.ruling),
        bracket=_bracket(panel),
        numbers=numbers(panel.ruling, words),
        what=words(f"panel.what{known}"),
        where=words(f"panel.where{known}"),
        of_what=words(f"panel.column_share{known}"),
        pieces=pieces,
        strip=strip,
    )


def numbers(rule: Ruling, words: Words) -> tuple[NumberView, ...]:
    """The rule's numbered ticks."""
    return tuple(NumberView(_percent(rule.at(kcal)), words.number(kcal)) for kcal in rule.numbered)


def small_view(card: Card, rule: Ruling, words: Words) -> SmallView:
    """A card's portion along a rule that its whole list shares."""
    pieces = tuple(_piece(cut, words) for cut in small(card, rule))
    energy = "" if card.energy_kcal is None else words.number(card.energy_kcal)
    return SmallView(ticks_path(rule), pieces, words("card.drawing", energy=energy, pieces=_listed(pieces, words)))


def _piece(cut: Cut, words: Words) -> PieceView:
    key = cut.key if cut.key in PIECE_KEYS else REST
    return PieceView(
        fill=key,
        x=_percent(cut.start),
        width=_percent(cut.end - cut.start),
        name=words(f"pieces.{key}"),
        grams="" if cut.grams is None else words.grams(cut.grams),
        share=words.percent(cut.share),
    )


def _ingredient(cut: Cut, at: int, words: Words, root: str) -> PieceView:
    name, href = cut.name, ""
    if cut.key == REST:
        name = words("panel.rest")
    elif cut.key.startswith("recipe:"):
        href = f"{root}recipes/{cut.key.removeprefix('recipe:')}/index.html"
    else:
        href = f"{root}foods/{cut.key}/index.html"
    return PieceView(
        fill=f"shade-{min(at, SHADES)}",
        x=_percent(cut.start),
        width=_percent(cut.end - cut.start),
        name=name,
        grams="" if cut.grams is None else words.grams(cut.grams),
        share=words.percent(cut.share),
        href=href,
    )


def _listed(pieces: Sequence[PieceView], words: Words) -> str:
    return ", ".join(words("panel.piece", name=piece.name, share=piece.share) for piece in pieces)


def _bracket(panel: Panel) -> str:
    """An open bracket over the likely range, its ends pointing down at the rule."""
    if not panel.spread:
        return ""
    low, high = _thousandth(panel.ruling.at(panel.low)), _thousandth(panel.ruling.at(panel.high))
    return f"M{low} 8V1H{high}V8"


def _percent(share: float) -> str:
    return f"{share * 100 * NUDGE:.2f}%"


def _thousandth(share: float) -> str:
    return f"{share * 1000 * NUDGE:.1f}".removesuffix(".0")
