"""Every food that counts in a dish, at any depth of sub-recipes. Takes ingredients, gives foods with their places.

counted_foods(ingredients) -> Iterator[(Food, Place)]     in the order of the rows; optional rows are left out
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from gramwright.model import Food, Ingredient
from gramwright.problems import Place


def counted_foods(ingredients: Iterable[Ingredient]) -> Iterator[tuple[Food, Place]]:
    """A recipe that is used more than once is opened once: a hub may nest them deeply."""
    return _below(ingredients, set())


def _below(ingredients: Iterable[Ingredient], opened: set[int]) -> Iterator[tuple[Food, Place]]:
    for ingredient in ingredients:
        if ingredient.row.optional:
            continue
        if ingredient.food is not None:
            yield ingredient.food, ingredient.row.place
        dish = ingredient.dish
        if dish is not None and id(dish) not in opened:
            opened.add(id(dish))
            yield from _below(dish.ingredients, opened)
