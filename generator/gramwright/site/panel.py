"""The graduated rule. Takes a dish and its label, gives the geometry that every drawing of the panel shares.

Lengths along the rule are shares of its length, 0 to 1; energy is in kcal a
portion. The drawing scales by percentages, never by a view box, so that its
lines and numbers keep their size on a phone. Nothing here formats a number or
knows a language: `panel_view` does.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from gramwright.model import Dish, Label
from gramwright.site.cards import Card, Piece

NAMED_INGREDIENTS = 5
"""Ingredients named in the strip; the others stand together."""
REST = "rest"
CLOSE = 0.01
"""A difference between the portion's energy and its pieces below this share is rounding, not something untold."""

SLIVER = 1e-6
"""A piece below this share of the portion is too thin to draw."""

_RULINGS = (
    (10.0, 0.2, 1.0, 2.0),
    (20.0, 1.0, 5.0, 5.0),
    (50.0, 1.0, 5.0, 10.0),
    (100.0, 2.0, 10.0, 20.0),
    (600.0, 10.0, 50.0, 100.0),
    (1200.0, 20.0, 100.0, 200.0),
    (3000.0, 50.0, 250.0, 500.0),
)
"""Longest rule in kcal, with its short, longer and numbered ticks; fits six numbers or fewer on a phone."""


class Ruling(NamedTuple):
    """A rule from 0 to `end` kcal: a tick every `minor`, a longer one every `middle`, a numbered one every `major`."""

    end: float
    minor: float
    middle: float
    major: float

    def at(self, kcal: float) -> float:
        """Where an energy lies along the rule, 0 to 1."""
        return min(max(kcal / self.end, 0.0), 1.0)

    @property
    def numbered(self) -> tuple[float, ...]:
        """The energies of the numbered ticks, 0 and `end` among them."""
        return tuple(step * self.major for step in range(round(self.end / self.major) + 1))

    @property
    def ticks(self) -> tuple[tuple[float, int], ...]:
        """(place 0 to 1, length 1 to 3) of every tick."""
        count = round(self.end / self.minor)
        middle, major = round(self.middle / self.minor), round(self.major / self.minor)
        return tuple((i / count, 3 if i % major == 0 else 2 if i % middle == 0 else 1) for i in range(count + 1))


@lru_cache(maxsize=256)
def ruling(top: float) -> Ruling:
    """The rule for energies up to `top` kcal: it runs to the next numbered tick above."""
    top = max(top, 1.0)
    for limit, minor, middle, major in _RULINGS:
        if top < limit:
            return Ruling(_next(top, major), minor, middle, major)
    major = 10.0 ** math.floor(math.log10(top))
    return Ruling(_next(top, major), major / 10, major / 2, major)


def _next(top: float, step: float) -> float:
    return (math.floor(top / step) + 1) * step


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece of the portion laid along the rule."""

    key: str
    """What gives the energy ('protein' ...), or a food id, 'recipe:slug'; REST for what is not told apart."""
    kcal: float
    """As laid along the rule: the pieces of a portion add up to its energy."""
    share: float
    """Of the portion's energy, 0 to 1."""
    start: float
    end: float
    """Places along the rule, 0 to 1."""
    name: str = ""
    """An ingredient's name; '' for what words name."""
    grams: float | None = None
    """Grams a portion, where that has a meaning."""


@dataclass(frozen=True, slots=True)
class Panel:
    """The whole drawing. `energy` None: nothing is known, and there is nothing to draw."""

    energy: float | None
    energy_kj: float | None
    low: float
    high: float
    complete: bool
    """False: the energy is known for a part of the eaten mass only ("at least")."""
    ruling: Ruling
    pieces: tuple[Cut, ...]
    """What the energy is, in the panel's order."""
    strip: tuple[Cut, ...]
    """Where it comes from, largest first, the rest last."""

    @property
    def spread(self) -> bool:
        """Whether the likely range is wide enough to be worth a bracket: 1 kcal or more."""
        return round(self.low) != round(self.high)


def draw(dish: Dish, label: Label) -> Panel:
    """Takes a dish and its label, gives the panel's geometry."""
    figure = label.per_portion.get("ENERC_kcal")
    kj = label.per_portion.get("ENERC_kJ")
    if figure is None:
        return Panel(None, None, 0.0, 0.0, False, ruling(0.0), (), ())
    rule = ruling(max(figure.amount, figure.high))
    grams = {part.key: part.grams for part in label.energy_parts}
    pieces = [(part.key, "", part.kcal) for part in label.energy_parts]
    strip = _by_ingredient(dish, label)
    weights = _grams_by_ingredient(dish)
    return Panel(
        energy=figure.amount,
        energy_kj=None if kj is None else kj.amount,
        low=figure.low,
        high=figure.high,
        complete=figure.coverage >= 1,
        ruling=rule,
        pieces=_laid(rule, figure.amount, pieces, grams),
        strip=_laid(rule, figure.amount, _named(strip), weights),
    )


def small(card: Card, rule: Ruling) -> tuple[Cut, ...]:
    """The portion of a card laid along a rule that a whole list shares."""
    if card.energy_kcal is None:
        return ()
    return _laid(rule, card.energy_kcal, [(piece.key, "", piece.kcal) for piece in card.pieces], {})


def shared_ruling(cards: Iterable[Card]) -> Ruling:
    """One rule for a list of cards, so that its portions can be compared by eye."""
    return ruling(max((card.energy_kcal for card in cards if card.energy_kcal is not None), default=0.0))


def pieces_of(cards: Iterable[Card]) -> tuple[str, ...]:
    """The piece keys that a list of cards draws, each once, in the order met."""
    return tuple(dict.fromkeys(piece.key for card in cards for piece in _known(card.pieces)))


def _known(pieces: Sequence[Piece]) -> list[Piece]:
    return [piece for piece in pieces if piece.kcal > 0]


def _by_ingredient(dish: Dish, label: Label) -> list[tuple[str, str, float]]:
    """(key, name, kcal a portion) of every counted ingredient, rows of one food together, largest first."""
    energy: dict[str, float] = {}
    names: dict[str, str] = {}
    for ingredient, kcal in zip(dish.ingredients, label.row_energy_kcal, strict=True):
        if not ingredient.row.optional:
            key = ingredient.key
            energy[key] = energy.get(key, 0.0) + (kcal or 0.0)
            names.setdefault(key, ingredient.name)
    return sorted(((key, names[key], kcal) for key, kcal in energy.items()), key=lambda item: (-item[2], item[0]))


def _grams_by_ingredient(dish: Dish) -> dict[str, float]:
    grams: dict[str, float] = {}
    for ingredient in dish.ingredients:
        if not ingredient.row.optional:
            grams[ingredient.key] = grams.get(ingredient.key, 0.0) + ingredient.grams / dish.page.portions
    return grams


def _named(strip: list[tuple[str, str, float]]) -> list[tuple[str, str, float]]:
    """The first five as they are, the others as one; a single other one keeps its name."""
    giving = [item for item in strip if item[2] > 0]
    if len(giving) <= NAMED_INGREDIENTS + 1:
        return giving
    others = sum(kcal for _, _, kcal in giving[NAMED_INGREDIENTS:])
    return [*giving[:NAMED_INGREDIENTS], (REST, "", others)]


def _laid(
    rule: Ruling, energy: float, parts: Sequence[tuple[str, str, float]], grams: dict[str, float]
) -> tuple[Cut, ...]:
    """Lays parts end to end so that they end at the portion's energy.

    What the parts leave untold stands at the end as a piece of its own; parts
    that tell more than the portion has (the energy is a table's, the parts are
    by factors) are drawn in proportion.
    """
    told = [(key, name, kcal) for key, name, kcal in parts if kcal > SLIVER * energy]
    total = sum(kcal for _, _, kcal in told)
    if energy <= 0 or total <= 0:
        return ()
    missing = energy - total
    if missing > CLOSE * energy:
        rest_told = sum(kcal for key, _, kcal in told if key == REST)
        told = [*(item for item in told if item[0] != REST), (REST, "", rest_told + missing)]
        factor = 1.0
    else:
        factor = energy / total
    cuts = []
    start = 0.0
    for key, name, kcal in told:
        laid = kcal * factor
        end = start + laid
        cuts.append(Cut(key, laid, laid / energy, rule.at(start), rule.at(end), name, grams.get(key)))
        start = end
    return tuple(cuts)
