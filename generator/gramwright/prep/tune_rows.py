"""Which rows of a recipe may change, by how much, in which steps. Takes a computed dish, gives Levers.

parse_asked('oats=40-80/5') -> Asked
parse_finished('1200..1500 g') -> Span
levers(dish, asked) -> tuple[Lever, ...]
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from gramwright.model import Dish, Ingredient, Scale
from gramwright.problems import Trouble, either, near
from gramwright.reading.amounts import parse_number
from gramwright.reading.fold import fold
from gramwright.reading.quantities import parse_grams

LEAST, MOST = 0.5, 2.0
"""Limits of a row as shares of its amount, where none are asked for (ours, no source)."""
STEPS: Mapping[str, float] = {
    "g": 5.0, "kg": 0.005, "mg": 50.0, "oz": 0.25, "lb": 0.01, "ml": 5.0, "cl": 0.5, "dl": 0.05, "l": 0.005,
}  # fmt: skip
"""Unit -> step in that unit (what a kitchen scale and jug can show; common practice, no source)."""
SMALL_G = 20.0
"""A row of fewer grams moves in steps of 1 g."""
SPOON_STEP = 0.5
_NUMBER = r"[\d.,/ ½¼¾]+?"
_ASKED = re.compile(rf"([^=]+?)(?:\s*=\s*({_NUMBER})\s*-\s*({_NUMBER})(?:\s*/\s*([\d.,½¼¾]+))?)?\s*")


class Span(NamedTuple):
    """Grams from, to, or both."""

    low: float | None
    high: float | None

    def holds(self, grams: float) -> bool:
        return (self.low is None or grams >= self.low - 1e-6) and (self.high is None or grams <= self.high + 1e-6)

    def __str__(self) -> str:
        return f"{'' if self.low is None else f'{self.low:g}'}..{'' if self.high is None else f'{self.high:g}'} g"


class Asked(NamedTuple):
    """A row that may change, as asked for: 'oats=40-80/5'. Limits and step are in the row's own unit."""

    food: str
    low: float | None = None
    high: float | None = None
    step: float | None = None


@dataclass(frozen=True, slots=True)
class Lever:
    """One row that may change: amounts in its own unit, from `low` to `high` in steps from where it is."""

    index: int
    """In Dish.ingredients."""
    name: str
    unit: str
    amount: float
    low: float
    high: float
    step: float
    grams: float
    """Eaten grams of one unit."""


def parse_asked(text: str) -> Asked:
    """'eggs=2-4/1', 'oats=40-80', 'oats'. Raises Trouble 'bad-rows'."""
    found = _ASKED.fullmatch(text) if len(text) <= 200 else None
    hint = "write FOOD, FOOD=MIN-MAX or FOOD=MIN-MAX/STEP in the row's own unit, as in 'rolled oats=40-80/5'"
    if found is None:
        raise Trouble("bad-rows", f"expected a row that may change, found '{text[:60]}'", hint)
    low, high, step = (None if piece is None else parse_number(piece) for piece in found.groups()[1:])
    if low is not None and high is not None and not 0 < low <= high:
        raise Trouble("bad-rows", f"expected limits above 0, the lower one first, found '{text}'", hint)
    if step is not None and step <= 0:
        raise Trouble("bad-rows", f"expected a step above 0, found '{text}'", hint)
    return Asked(found[1].strip(), low, high, step)


def parse_finished(text: str) -> Span:
    """'1200..1500 g', '..1.5 kg', '1400 g..'; a number without its unit is grams. Raises Trouble 'bad-weight'."""
    hint = "write a least ('1400 g..'), a most ('..1.5 kg') or both ('1200..1500 g')"
    first, dots, second = text.partition("..")
    if not dots or len(text) > 60:
        raise Trouble("bad-weight", f"expected a finished weight from, to or both, found '{text[:60]}'", hint)
    unit = "kg" if second.strip().lower().endswith("kg") else "g"
    try:
        ends = [_grams(end.strip(), unit) if end.strip() else None for end in (first, second)]
    except Trouble as trouble:
        raise Trouble("bad-weight", trouble.message, hint) from trouble
    low, high = ends
    if (low is None and high is None) or (low is not None and high is not None and low > high):
        raise Trouble("bad-weight", f"expected a finished weight, the lower end first, found '{text}'", hint)
    return Span(low, high)


def _grams(text: str, unit: str) -> float:
    return parse_grams(text if any(letter.isalpha() for letter in text) else f"{text} {unit}")


def levers(dish: Dish, asked: Sequence[Asked] = ()) -> tuple[Lever, ...]:
    """The rows that may change: those asked for, or every row that counts and has an amount.

    Raises Trouble 'unknown-row', 'bad-rows'.
    """
    able = [(index, item) for index, item in enumerate(dish.ingredients) if _able(item)]
    if not asked:
        return tuple(_lever(index, item, Asked("")) for index, item in able)
    chosen: dict[int, Lever] = {}
    for one in asked:
        wanted = fold(one.food)
        rows = [(index, item) for index, item in able if wanted in _names(item)]
        if not rows:
            known = {other: item.name for _, item in able for other in _names(item)}
            close = list(dict.fromkeys(known[other] for other in near(wanted, known)))
            listed = ", ".join(dict.fromkeys(item.name for _, item in able))
            raise Trouble(
                "unknown-row",
                f"expected a row of '{dish.page.slug}' that counts and has an amount, found '{one.food}'",
                f"did you mean {either(close)}?" if close else f"rows are: {listed}",
            )
        for index, item in rows:
            chosen[index] = _lever(index, item, one)
    return tuple(chosen[index] for index in sorted(chosen))


def _able(item: Ingredient) -> bool:
    return item.row.quantity is not None and not item.row.optional and item.grams > 0 and item.row.quantity.middle > 0


def _names(item: Ingredient) -> set[str]:
    names = [item.name, item.key, item.row.food or "", item.row.recipe or "", item.row.words]
    if item.food is not None:
        names += item.food.aliases
    return {folded for name in names if (folded := fold(name))}


def _lever(index: int, item: Ingredient, asked: Asked) -> Lever:
    quantity = item.row.quantity
    amount = 0.0 if quantity is None else quantity.middle
    step = asked.step if asked.step is not None else _step(item, amount)
    low = asked.low if asked.low is not None else amount * LEAST
    high = asked.high if asked.high is not None else amount * MOST
    if not low <= amount <= high:
        raise Trouble(
            "bad-rows",
            f"expected limits around what '{item.name}' has ({amount:g} {item.measure}), found {low:g} to {high:g}",
            "let the limits hold the amount that is there",
        )
    return Lever(index, item.name, item.measure, amount, low, high, step, item.grams / amount)


def _step(item: Ingredient, amount: float) -> float:
    """Whole pieces (halves where there is a half), half spoons, 5 g; 1 g for what is little."""
    if item.scale in (Scale.COUNT, Scale.PORTIONS):
        return 1.0 if amount == int(amount) else 0.5
    unit = item.measure.casefold()
    step = STEPS.get(unit, SPOON_STEP)
    if unit in ("g", "ml") and item.grams < SMALL_G:
        return 1.0
    return step
