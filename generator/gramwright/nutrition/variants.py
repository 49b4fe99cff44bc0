"""A reader's choice. Takes a computed dish and what is chosen of it, gives the dish that results.

A choice says, for an ingredient by its index, which option is taken: `LEFT_OUT`
(optional rows only), `ITSELF`, or the number of a swap, counted from 1. What is
not named stays as written.

The finished weight of a choice was never weighed. By a yield it follows from
the raw weight. Where the recipe as written was weighed, the batch is taken to
weigh as much more or less as its rows do; where that would leave less than a
fifth of what goes in, it keeps the recipe's own yield. Either way it is then
only as good as a yield factor, and its range says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from gramwright.model import Dish, Ingredient, Weight
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.dish import amounts
from gramwright.nutrition.parts import content_of, water_change, weight_ends
from gramwright.nutrition.ranges import totals

LEFT_OUT = -1
ITSELF = 0
LEAST_KEPT = 0.2
"""Share of the raw weight below which a batch taken to lose whole rows is not believed."""

Choice = Mapping[int, int]


def written(ingredient: Ingredient) -> int:
    """The option that the recipe as written takes."""
    return LEFT_OUT if ingredient.row.optional else ITSELF


def options(ingredient: Ingredient) -> tuple[int, ...]:
    """All options of a row; one only where there is nothing to choose."""
    swaps = range(1, len(ingredient.swaps) + 1)
    return (LEFT_OUT, ITSELF, *swaps) if ingredient.row.optional else (ITSELF, *swaps)


def taken(ingredient: Ingredient, option: int) -> Ingredient | None:
    """What an option puts into the dish; None for a row that is left out."""
    if option == LEFT_OUT:
        return None
    chosen = ingredient.swaps[option - 1] if option else ingredient
    return replace(chosen, row=replace(chosen.row, optional=False)) if chosen.row.optional else chosen


def finished_weight(dish: Dish, raw_g: float) -> tuple[float | None, Weight]:
    """Grams of the finished batch whose rows weigh `raw_g`, and how that is known."""
    if dish.finished_g is None or dish.finished_by is Weight.UNKNOWN:
        return None, Weight.UNKNOWN
    by_share = dish.finished_g * (raw_g / dish.raw_g)
    if dish.finished_by is not Weight.MEASURED:
        return by_share, dish.finished_by
    by_change = dish.finished_g + (raw_g - dish.raw_g)
    return (by_share if by_change < LEAST_KEPT * raw_g else by_change), Weight.FACTOR


def variant(dish: Dish, choice: Choice, books: NutritionBooks) -> Dish:
    """The dish as chosen; the same dish where nothing differs. Raises ValueError for a choice that weighs nothing."""
    if all(option == written(dish.ingredients[index]) for index, option in choice.items()):
        return dish
    rows: list[Ingredient] = []
    for index, ingredient in enumerate(dish.ingredients):
        option = choice.get(index, written(ingredient))
        rows.append(taken(ingredient, option) or ingredient)
    counted = [item for item in rows if not item.row.optional]
    raw_g = sum(item.grams for item in counted)
    if raw_g <= 0:
        raise ValueError("a choice that weighs nothing has no figures")
    finished_g, by = finished_weight(dish, raw_g)
    content = content_of(counted, books)
    ends = weight_ends(finished_g, by, dish.page.yield_name, books)
    water = water_change(content, raw_g, finished_g, ends, books)
    figures = totals(content, books, water)
    return Dish(dish.page, tuple(rows), raw_g, finished_g, by, figures, tuple(amounts(item, books) for item in rows))
