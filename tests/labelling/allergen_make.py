"""Foods, rows and dishes for the allergen, diet and caution tests. Everything here is invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from gramwright.model import (
    AllergenStatement,
    Dish,
    Food,
    Ingredient,
    Keeps,
    Quality,
    Quantity,
    RecipePage,
    Row,
    Scale,
    Settings,
    Statement,
    Value,
    Weight,
)
from gramwright.problems import Place

TODAY = date(2026, 11, 25)
SETTINGS = Settings("Test hub", "https://hub.example/")


def said(
    contains: Sequence[str] = (),
    may_contain: Sequence[str] = (),
    *,
    checked: bool = True,
    exceptions: Sequence[str] = (),
) -> AllergenStatement:
    return AllergenStatement(checked, frozenset(contains), frozenset(may_contain), frozenset(exceptions))


def food(
    name: str = "turnip",
    statement: AllergenStatement | None = None,
    *,
    kinds: Sequence[str] = ("plant",),
    quality: Quality = Quality.TABLE,
    updated: str = "",
    state: str = "raw",
    group: str = "vegetables",
    aliases: Sequence[str] = (),
    refuse: float = 0.0,
    values: Mapping[str, float] | None = None,
    line: int = 1,
) -> Food:
    return Food(
        id=name.replace(", ", "-").replace(" ", "-").lower(),
        name=name,
        aliases=tuple(aliases),
        group=group,
        state=state,
        refuse=refuse,
        density_g_ml=None,
        values={tag: Value(amount) for tag, amount in (values or {}).items()},
        allergens=statement if statement is not None else said(),
        kinds=frozenset(kinds),
        source="invented",
        source_ref=f"no. {line}",
        quality=quality,
        updated=updated,
        place=Place("foods/own.csv", line),
    )


def row_of(
    what: Food | Dish,
    grams: float = 100.0,
    *,
    optional: bool = False,
    gross: bool = False,
    line: int = 10,
    swaps: Sequence[Ingredient] = (),
) -> Ingredient:
    """A resolved row of a food or of a dish."""
    amount = Quantity(grams, grams, f"{grams:g}")
    row = Row("", amount, "g", Place("recipes/test.md", line), f"{grams:g} g", optional=optional, gross=gross)
    return Ingredient(
        row=row,
        food=what if isinstance(what, Food) else None,
        dish=what if isinstance(what, Dish) else None,
        scale=Scale.MASS,
        measure="g",
        weighed_g=grams,
        grams=grams,
        low_g=grams,
        high_g=grams,
        swaps=tuple(swaps),
    )


def page_of(
    title: str = "Test dish",
    *,
    cautions: Sequence[str] = (),
    silenced: Sequence[tuple[str, str]] = (),
    declared: Sequence[tuple[str, str]] = (),
    tags: Sequence[str] = (),
    fridge: float | None = None,
    freezer: float | None = None,
) -> RecipePage:
    def statements(pairs: Sequence[tuple[str, str]], first: int) -> tuple[Statement, ...]:
        return tuple(
            Statement(name, reason, Place("recipes/test.md", first + at)) for at, (name, reason) in enumerate(pairs)
        )

    return RecipePage(
        slug=title.lower().replace(" ", "-"),
        title=title,
        summary="",
        portions=4,
        rows=(),
        intro="",
        method="",
        method_line=30,
        place=Place("recipes/test.md", 1),
        lines={"cautions": 7},
        tags=tuple(tags),
        keeps=Keeps(fridge, freezer),
        cautions=tuple(cautions),
        silenced=statements(silenced, 8),
        declared=statements(declared, 12),
    )


def dish_of(
    *ingredients: Ingredient, title: str = "Test dish", page: RecipePage | None = None, finished_g: float | None = None
) -> Dish:
    raw = sum(each.grams for each in ingredients if not each.row.optional)
    return Dish(
        page=page if page is not None else page_of(title),
        ingredients=tuple(ingredients),
        raw_g=raw,
        finished_g=finished_g,
        finished_by=Weight.UNKNOWN if finished_g is None else Weight.MEASURED,
        totals={},
        row_totals=tuple({} for _ in ingredients),
    )
