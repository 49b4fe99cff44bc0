"""The most an unknown value may be: physical limits, and no smaller than what shipped foods really hold."""

from __future__ import annotations

import pytest
from tests.nutrition.nutrition_make import made_food

from gramwright.composition.library import load_shipped
from gramwright.model import Food
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.content import read_yaml
from gramwright.problems import ProblemLog
from gramwright.reading import vocabulary


@pytest.fixture(scope="module")
def shipped() -> list[Food]:
    return load_shipped(vocabulary.load(), ProblemLog())[0]


def limit(books: NutritionBooks, food: Food, tag: str) -> float:
    known = {
        name: (value.amount, *books.looseness.sides(name, value, food.quality)) for name, value in food.values.items()
    }
    return books.plausible.limit(food, tag, known)


def test_no_shipped_value_is_above_its_groups_limit(books: NutritionBooks, shipped: list[Food]) -> None:
    over = [
        (food.id, food.group, tag, value.amount, books.plausible.group_limit(food.group, tag))
        for food in shipped
        for tag, value in food.values.items()
        if value.amount > books.plausible.group_limit(food.group, tag)
    ]
    assert len(shipped) >= 400
    assert over == []


def test_no_shipped_value_is_above_its_own_limit(books: NutritionBooks, shipped: list[Food]) -> None:
    """Parent, 100 g and energy limits hold for the real table, so they would not have cut a true value off.

    Left out: values that the table itself contradicts by rounding (a gram).
    """
    over = [
        (food.id, tag, value.amount, limit(books, food, tag))
        for food in shipped
        for tag, value in food.values.items()
        if value.amount > limit(books, food, tag) * 1.02 + 1
    ]
    assert over == []


def test_groups_are_those_of_the_vocabulary(books: NutritionBooks) -> None:
    assert set(books.plausible.groups) == set(read_yaml("foods/vocabulary.yaml")["groups"])


def test_an_unknown_group_falls_back(books: NutritionBooks) -> None:
    assert books.plausible.group_limit("never heard of", "NA_mg") == 39500
    assert books.plausible.group_limit("never heard of", "XYZ_mg") == 50000


@pytest.mark.parametrize(
    ("values", "tag", "most"),
    [
        ({"WATER_g": 90.0}, "FAT_g", 10.3),
        ({"FAT_g": 4.0}, "FASAT_g", 4.48),
        ({"CHOAVL_g": 50.0}, "SUGAR_g", 56.5),
        ({"WATER_g": 60.0, "PROCNT_g": 20.0, "CHOCDF_g": 15.0}, "FAT_g", 10.0),
        ({"WATER_g": 90.0, "PROCNT_g": 0.0, "FAT_g": 0.0, "CHOCDF_g": 10.0}, "ENERC_kJ", 17.6 * 11.2 + 38 * 1.5),
        ({"ENERC_kJ": 340.0}, "FAT_g", 10.8),
        ({}, "FAT_g", 100.0),
    ],
)
def test_limits_by_what_is_known(books: NutritionBooks, values: dict[str, float], tag: str, most: float) -> None:
    """Own sums: 100 g less the known parts at their lower ends; the parent at its upper end; energy / 34 kJ/g."""
    assert limit(books, made_food("x", values), tag) == pytest.approx(most, rel=0.02)
