"""Figures that labels ask for. Takes a computed dish, gives combinations of components with range and coverage.

combine(dish, books, weights, required)    e.g. {"NA_mg": 0.0025} for salt in grams, over the whole batch
uncertain(dish, books, weights)            which rows make a figure loose, largest first
per_100g(dish, books, figure)              a batch figure per 100 g of the dish, its weight's looseness included
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from gramwright.model import Dish, Figure, Tag
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.parts import Content, content_of, finished_ends
from gramwright.nutrition.ranges import half_of_load, mixture

COUNTED_AS_NONE: frozenset[Tag] = frozenset({"ALC_g", "POLYL_g", "ERYTHL_g", "OA_g"})
"""Components that tables leave empty where a food has none: not needed for a combination unless asked for."""


def combine(dish: Dish, books: NutritionBooks, weights: Mapping[Tag, float], required: Iterable[Tag]) -> Figure:
    """A linear combination of components over the whole batch, in the combination's unit.

    A row is covered when all `required` tags are known for its food; an unknown
    required tag widens the range by the most that is plausible. An unknown tag
    that is not required counts as none, and widens the range only in groups
    where it is to be expected (alcohol of an alcoholic drink). The parts of one food err independently
    of each other; a gram of food never comes to more than the largest weight.
    """
    mix = books.shelf.mix(weights, required)  # first: it may meet a tag for the first time
    return mixture(_content(dish, books), mix)


def uncertain(
    dish: Dish, books: NutritionBooks, weights: Mapping[Tag, float], required: Iterable[Tag] | None = None
) -> tuple[tuple[int, float], ...]:
    """(index in Dish.ingredients, half-width over the batch) of every counted row that is loose, largest first.

    The half-width is half of what the row alone leaves open. `required` None:
    every tag of the combination that tables do not leave out for being none.
    """
    asked = [tag for tag in weights if tag not in COUNTED_AS_NONE] if required is None else required
    mix = books.shelf.mix(weights, asked)
    rows = [(index, item) for index, item in enumerate(dish.ingredients) if item.grams > 0 and not item.row.optional]
    content = _content(dish, books)
    found: list[tuple[int, float]] = []
    for place, (index, item) in enumerate(rows):
        if content.row_by_row:  # no food is in two rows
            half = half_of_load(content.loads[place], mix)
        else:
            figure = mixture(content_of((item,), books), mix)
            half = (figure.high - figure.low) / 2
        if half > 0:
            found.append((index, half))
    return tuple(sorted(found, key=lambda entry: (-entry[1], entry[0])))


def per_100g(dish: Dish, books: NutritionBooks, figure: Figure) -> Figure:
    """A figure of the whole batch per 100 g of the dish (of its raw weight where the finished one is unknown).

    The ends of the weight are taken together with the ends of the figure, so
    that a wider figure or an unknown value can only widen it. Raises ValueError
    for a dish that weighs nothing (`compute` gives none).
    """
    basis = dish.basis_g
    if basis <= 0:
        raise ValueError("a dish that weighs nothing has no figures per 100 g")
    low, high = finished_ends(dish, books)
    factor = 100 / basis
    return Figure(figure.amount * factor, figure.low * factor / high, figure.high * factor / low, figure.coverage)


def _content(dish: Dish, books: NutritionBooks) -> Content:
    """The dish's content; the last one is kept, since a label asks for several combinations of one dish."""
    kept = books.last_content
    if kept is not None and kept[0] is dish and kept[1].version == books.shelf.version:
        return kept[1]
    content = content_of(dish.counted, books)
    books.last_content = (dish, content)
    return content
