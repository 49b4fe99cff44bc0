"""What a dish takes from the shop. Takes a computed dish, gives the foods of one portion as they are bought.

Sub-recipes are opened to any depth. Back from what is eaten to what is bought:

    eaten      the grams that count (Ingredient.grams)
    bought     the grams on the scale (what marinade or frying oil leaves uneaten is bought too), a food weighed
               cooked back through its yield, and through the food's refuse where it was weighed without it and is
               not bought without it (content/prep/bought.yaml: shelled nuts, boneless meat)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from gramwright.labelling.shipped_data import read_yaml
from gramwright.model import Dish, Food, Ingredient, Scale

FILE = "prep/bought.yaml"


class Need(NamedTuple):
    """One food of one row, for one portion of the dish asked about."""

    food: Food
    bought_g: float
    eaten_g: float
    raw: bool
    """Bought uncooked although the row names the cooked food."""
    taste: bool
    """'to taste': no amount is known."""
    measure: str
    """The measure that the row counts it by ('large', 'clove', 'tbsp', 'g'); '' for a bare count."""


def needs_of(dish: Dish) -> tuple[Need, ...]:
    """For one portion, in the order of the rows; the rows that do not count are left out."""
    return tuple(_below(dish, 1 / dish.page.portions))


def _below(dish: Dish, factor: float) -> Iterator[Need]:
    """`factor`: batches of the dish that are made."""
    for ingredient in dish.counted:
        inner = ingredient.dish
        if inner is not None:
            if inner.basis_g > 0:
                made = ingredient.weighed_g / inner.basis_g
                share = ingredient.grams / ingredient.weighed_g if ingredient.weighed_g > 0 else 0.0
                for need in _below(inner, factor * made):
                    yield need._replace(eaten_g=need.eaten_g * share)
        elif ingredient.food is not None:
            yield Need(
                ingredient.food,
                bought_g(ingredient, ingredient.food) * factor,
                ingredient.grams * factor,
                ingredient.row.weighed == "raw",
                ingredient.scale is Scale.TASTE,
                ingredient.measure,
            )


def bought_g(ingredient: Ingredient, food: Food) -> float:
    """Grams that are bought for one row of the whole batch."""
    row = ingredient.row
    grams = ingredient.weighed_g
    if row.weighed == "cooked" and row.row_yield:
        grams /= row.row_yield
    return grams if row.gross or bought_as(food) else grams / (1 - food.refuse)


def bought_as(food: Food) -> str:
    """'shelled' or 'trimmed' where the food is bought without its refuse; ''."""
    return _ready().get(food.id, "") if food.refuse else ""


@lru_cache(maxsize=1)
def _ready() -> Mapping[str, str]:
    listed = read_yaml(FILE)
    return {food: kind for kind in ("shelled", "trimmed") for food in listed[kind]}
