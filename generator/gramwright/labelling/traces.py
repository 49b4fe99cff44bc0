"""Of which foods traces ("may contain") are recorded. Takes ingredients, gives the foods of which not.

A table's food is checked as such: what one maker's flour, ground nuts or spices
bring in from the mill stands on the pack and in no table. Only of a bought
product whose whole list was read does a "may contain" that is not there mean
that the pack names none.

    recorded(food) -> bool
    not_recorded(ingredients) -> tuple[str, ...]      ids of counted foods, at any depth, in the order of the rows
"""

from __future__ import annotations

from collections.abc import Iterable

from gramwright.labelling.counted import counted_foods
from gramwright.model import Food, Ingredient, Quality


def recorded(food: Food) -> bool:
    """Whether the food is a bought product of which the whole list was read."""
    return food.quality is Quality.DECLARED and food.allergens.checked


def not_recorded(ingredients: Iterable[Ingredient]) -> tuple[str, ...]:
    """Ids of the foods of which no traces are recorded, each once; optional rows are left out."""
    return tuple(dict.fromkeys(food.id for food, _ in counted_foods(ingredients) if not recorded(food)))
