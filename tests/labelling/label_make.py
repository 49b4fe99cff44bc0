"""Made-up foods, rows and dishes for the tests of labelling: everything is computed, only the foods are invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cache

from gramwright.labelling import rulesets
from gramwright.labelling.energy import Energy, energy
from gramwright.labelling.label import label
from gramwright.labelling.rulesets import RuleSet
from gramwright.model import (
    AllergenStatement,
    Dish,
    Food,
    Ingredient,
    Label,
    Quality,
    Quantity,
    RecipePage,
    Row,
    Scale,
    Settings,
    Value,
)
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.dish import compute
from gramwright.problems import Place, ProblemLog
from gramwright.reading import vocabulary

TODAY = date(2025, 6, 1)
SETTINGS = Settings(title="Test hub", base_url="https://hub.example/")


@cache
def books() -> NutritionBooks:
    log = ProblemLog()
    found = NutritionBooks.load(log)
    assert not log.has_errors, list(log)
    return found


def food(
    name: str,
    values: Mapping[str, float],
    *,
    group: str = "grains-and-flours",
    quality: Quality = Quality.TABLE,
    kinds: Sequence[str] = ("plant",),
    contains: Sequence[str] = (),
) -> Food:
    """A food with these values per 100 g; every other component is not known."""
    return Food(
        id=name.replace(" ", "-"),
        name=name,
        aliases=(),
        group=group,
        state="ready",
        refuse=0.0,
        density_g_ml=None,
        values={tag: Value(amount) for tag, amount in values.items()},
        allergens=AllergenStatement(checked=True, contains=frozenset(contains)),
        kinds=frozenset(kinds),
        source="invented",
        source_ref="",
        quality=quality,
        updated="2025-01-01",
        place=Place("foods/test.csv", 2),
    )


def row(item: Food, grams: float, *, scale: Scale = Scale.MASS, optional: bool = False) -> Ingredient:
    written = Row(
        "", Quantity(grams, grams, f"{grams:g} g"), item.name, Place("recipes/t.md", 9), f"{grams:g} g {item.name}",
        optional=optional,
    )  # fmt: skip
    return Ingredient(written, item, None, scale, "g", grams, grams, grams, grams)


def inner_row(dish: Dish, grams: float) -> Ingredient:
    written = Row("", Quantity(grams, grams, f"{grams:g} g"), "", Place("recipes/t.md", 10), "", recipe=dish.page.slug)
    return Ingredient(written, None, dish, Scale.MASS, "g", grams, grams, grams, grams)


def page(**changes: object) -> RecipePage:
    plain = RecipePage(
        slug="t", title="Plain dish", summary="", portions=1.0, rows=(), intro="", method="", method_line=20,
        place=Place("recipes/t.md", 1), lines={"title": 2, "claims": 5, "summary": 3, "tags": 4}, yield_factor=1.0,
        intro_line=7,
    )  # fmt: skip
    return replace(plain, **changes)  # type: ignore[arg-type]


def dish(rows: Sequence[Ingredient], **changes: object) -> Dish:
    """A computed dish; with the default yield of 1 its finished weight is that of its rows."""
    log = ProblemLog()
    found = compute(page(**changes), tuple(rows), books(), log)
    assert found is not None, list(log)
    return found


def one_food(values: Mapping[str, float], **changes: object) -> Dish:
    """100 g of one food in one portion: per 100 g and per portion are the food's own values."""
    return dish([row(food("test food", values), 100)], **changes)


def eu() -> RuleSet:
    return rulesets.load("eu")


def energy_of(found: Dish, rules: RuleSet | None = None, settings: Settings = SETTINGS) -> Energy:
    return energy(found, rules or eu(), books(), settings)


def label_of(found: Dish, rules: RuleSet | None = None, settings: Settings = SETTINGS) -> tuple[Label, ProblemLog]:
    log = ProblemLog()
    return label(found, rules or eu(), books(), settings, vocabulary.load(), log, TODAY), log
