"""Content and retention are two things once a food changes weight.

Source of the figures: Phenol-Explorer, retention factors; factor = content
after / content before x yield, printed with two decimals cut off. Yields: USDA
Agriculture Handbook 102 (1956), Bognar 2002, as printed there. The negative example: an anonymous
rewrite of the USDA text, which leaves the yield out.
"""

from __future__ import annotations

from math import floor

import pytest
from tests.nutrition.nutrition_make import made_dish, made_food, made_row

from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.figures import per_100g
from gramwright.nutrition.retention import Retention, RetentionTable

TAG = "POLYPH_mg"

EXAMPLES = [
    ("93 spinach, microwaved in water", 0.65, 291.0, 224.0, 0.50, 0.5003),
    ("93 spinach, microwaved in water", 0.65, 122.0, 73.0, 0.38, 0.3889),
    ("93 spinach, microwaved in water", 0.65, 219.6, 241.2, 0.71, 0.7139),
    ("93 spinach, microwaved in water", 0.65, 114.73, 118.37, 0.67, 0.6706),
    ("95 spinach", 0.65, 6.0, 5.0, 0.54, 0.5417),
    ("95 spinach", 0.65, 2.0, 2.0, 0.65, 0.6500),
    ("786 blueberry jam", 0.86, 112.69, 93.52, 0.71, 0.7137),
    ("786 blueberry jam, sugar-free", 0.86, 112.69, 85.96, 0.65, 0.6560),
    ("218 cherry jam", 0.85, 254.1, 132.9, 0.44, 0.4446),
    ("218 cherry jam", 0.85, 398.5, 198.5, 0.42, 0.4234),
    ("218 cherry jam", 0.85, 335.2, 199.9, 0.50, 0.5069),
]


@pytest.fixture(scope="module")
def with_codes(books: NutritionBooks) -> NutritionBooks:
    """The shipped books with the printed examples as preparation codes (four decimals, as exact as printed)."""
    codes = {str(n): Retention(str(n), name, {TAG: exact}) for n, (name, _, _, _, _, exact) in enumerate(EXAMPLES)}
    return NutritionBooks(
        RetentionTable(codes, (TAG,)), books.yields, books.looseness, books.plausible, books.row_yields
    )


@pytest.mark.parametrize("number", range(len(EXAMPLES)))
def test_content_after_cooking(with_codes: NutritionBooks, number: int) -> None:
    _, factor, before, after, printed, exact = EXAMPLES[number]
    assert floor(exact * 100) / 100 == printed
    food = made_food(f"example-{number}", {TAG: before})
    dish = made_dish(with_codes, made_row(food, 400, cooked_as=str(number)), yield_factor=factor)
    content = per_100g(dish, with_codes, dish.totals[TAG]).amount
    assert content == pytest.approx(after, rel=2e-4)
    assert content / before * factor == pytest.approx(exact)


def test_content_rises_while_a_third_is_lost(with_codes: NutritionBooks) -> None:
    """219.6 -> 241.2 mg/100 g at a yield of 0.65: more in 100 g, 29 % less in the pot."""
    food = made_food("spinach", {TAG: 219.6})
    raw = made_dish(with_codes, made_row(food, 1000))
    cooked = made_dish(with_codes, made_row(food, 1000, cooked_as="2"), yield_factor=0.65)
    assert cooked.totals[TAG].amount / raw.totals[TAG].amount == pytest.approx(1 - 0.2861)
    assert per_100g(cooked, with_codes, cooked.totals[TAG]).amount > 219.6


def test_vitamin_c_per_100_g_cooked_is_not_23_8(books: NutritionBooks) -> None:
    """What not to do: 28 mg x 0.85 = 23.8 mg 'per 100 g cooked' leaves the yield out; it is that / 0.65."""
    code = next(c for c, item in books.retention.by_code.items() if item.kept["VITC_mg"] == 0.85)
    spinach = made_food("spinach-c", {"VITC_mg": 28.0})
    dish = made_dish(books, made_row(spinach, 300, cooked_as=code), yield_factor=0.65)
    found = per_100g(dish, books, dish.totals["VITC_mg"]).amount
    assert found == pytest.approx(28 * 0.85 / 0.65)
    assert abs(found - 23.8) > 10
