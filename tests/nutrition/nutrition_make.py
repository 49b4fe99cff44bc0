"""Foods, rows and dishes made directly, so that the arithmetic is tested by itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gramwright.model import (
    AllergenStatement,
    Dish,
    Food,
    Ingredient,
    Quality,
    Quantity,
    RecipePage,
    Row,
    Scale,
    Value,
    ValueKind,
)
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.dish import compute
from gramwright.problems import Place, ProblemLog

PLACE = Place("recipes/made.md", 7, 3)


def made_food(food_id: str, values: Mapping[str, float | Value], **others: Any) -> Food:
    """A food from plain numbers per 100 g."""
    given: dict[str, Any] = {"group": "made", "state": "raw", "refuse": 0.0, "quality": Quality.TABLE} | others
    return Food(
        id=food_id,
        name=food_id.replace("-", " "),
        aliases=(),
        density_g_ml=None,
        values={tag: value if isinstance(value, Value) else Value(float(value)) for tag, value in values.items()},
        allergens=AllergenStatement(checked=False),
        kinds=frozenset(),
        source="made for a test",
        source_ref="",
        updated="",
        place=Place("foods/made.csv", 2),
        **given,
    )


def made_row(
    what: Food | Dish,
    grams: float,
    low: float | None = None,
    high: float | None = None,
    scale: Scale = Scale.MASS,
    measure: str = "g",
    swaps: tuple[Ingredient, ...] = (),
    **row: Any,
) -> Ingredient:
    """A resolved row of so many eaten grams."""
    written = Row("", Quantity(grams, grams, f"{grams:g}"), "g", PLACE, f"{grams:g} g", **row)
    return Ingredient(
        row=written,
        food=what if isinstance(what, Food) else None,
        dish=what if isinstance(what, Dish) else None,
        scale=scale,
        measure=measure,
        weighed_g=grams,
        grams=grams,
        low_g=grams if low is None else low,
        high_g=grams if high is None else high,
        swaps=swaps,
    )


def made_page(**others: Any) -> RecipePage:
    given: dict[str, Any] = {
        "slug": "made", "title": "Made", "summary": "", "portions": 1.0, "rows": (), "intro": "", "method": "",
        "method_line": 1, "place": Place("recipes/made.md"), "lines": {"yield": 4, "finished_weight": 5},
    }  # fmt: skip
    return RecipePage(**(given | others))


def made_dish(books: NutritionBooks, *rows: Ingredient, **page: Any) -> Dish:
    """A computed dish; a problem of severity error fails the test."""
    log = ProblemLog()
    dish = compute(made_page(**page), tuple(rows), books, log)
    if dish is None:
        raise ValueError([problem.message for problem in log])
    return dish


def borrowed(amount: float) -> Value:
    return Value(amount, ValueKind.BORROWED)
