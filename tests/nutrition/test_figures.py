"""Combinations, loose rows and figures per 100 g."""

from __future__ import annotations

import pytest
from tests.nutrition.nutrition_make import made_dish, made_food, made_row

from gramwright.model import Figure, Quality, Scale
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.figures import combine, per_100g, uncertain

EU_KJ = {
    "PROCNT_g": 17.0, "FAT_g": 37.0, "CHOAVL_g": 17.0, "POLYL_g": -7.0, "FIBTG_g": 8.0, "ALC_g": 29.0,
    "OA_g": 13.0, "ERYTHL_g": -10.0,
}  # fmt: skip
"""Regulation (EU) 1169/2011, Annex XIV, as weights: polyols 17 - 7 = 10, erythritol 10 - 10 = 0 kJ/g."""

EU_KCAL = {"PROCNT_g": 4.0, "FAT_g": 9.0, "CHOAVL_g": 4.0, "FIBTG_g": 2.0}
NEEDED = ("PROCNT_g", "FAT_g", "CHOAVL_g", "FIBTG_g")

OIL = made_food("oil", {"ENERC_kJ": 3699, "WATER_g": 0, "PROCNT_g": 0, "FAT_g": 100, "CHOAVL_g": 0, "FIBTG_g": 0})
FLOUR = made_food("flour", {"WATER_g": 12, "PROCNT_g": 10, "FAT_g": 1, "CHOAVL_g": 73, "FIBTG_g": 3})


def test_published_energy_example(books: NutritionBooks) -> None:
    """Malaysia MoH, Guide to Nutrition Labelling and Claims (2010): 113.2 g carbohydrate, 21.9 g fat, 30.6 g protein,
    1.4 g fibre in a litre of four servings: 775 kcal. By the EU's kJ factors, own sum: 3,266.1 kJ."""
    drink = made_food("drink", {"CHOAVL_g": 11.32, "FAT_g": 2.19, "PROCNT_g": 3.06, "FIBTG_g": 0.14})
    dish = made_dish(books, made_row(drink, 1000), portions=4)
    kcal, kj = combine(dish, books, EU_KCAL, NEEDED), combine(dish, books, EU_KJ, NEEDED)
    assert round(kcal.amount) == 775
    assert kcal.amount / 4 == pytest.approx(193.775)
    assert kj.amount == pytest.approx(3266.1)
    assert kcal.coverage == 1


def test_polyols_and_erythritol(books: NutritionBooks) -> None:
    """Annex XIV: polyols 10 kJ/g, erythritol 0; the law's carbohydrate includes both."""
    sweet = {"PROCNT_g": 0, "FAT_g": 0, "FIBTG_g": 0, "CHOAVL_g": 100, "POLYL_g": 100}
    xylitol = made_food("xylitol", sweet)
    erythritol = made_food("erythritol", sweet | {"ERYTHL_g": 100})
    assert combine(made_dish(books, made_row(xylitol, 10)), books, EU_KJ, NEEDED).amount == pytest.approx(100)
    assert combine(made_dish(books, made_row(erythritol, 10)), books, EU_KJ, NEEDED).amount == pytest.approx(0)


def test_salt_of_sodium(books: NutritionBooks) -> None:
    """Regulation (EU) 1169/2011, Annex I: salt = sodium x 2.5."""
    dish = made_dish(books, made_row(made_food("ham", {"NA_mg": 1200}), 50), made_row(OIL, 50))
    salt = combine(dish, books, {"NA_mg": 0.0025}, {"NA_mg"})
    sodium = dish.totals["NA_mg"]
    assert salt.amount == pytest.approx(1.5)
    assert (salt.low, salt.high) == pytest.approx((sodium.low * 0.0025, sodium.high * 0.0025))
    assert salt.coverage == pytest.approx(0.5)


def test_a_row_is_covered_when_all_required_are_known(books: NutritionBooks) -> None:
    half_known = made_food("half-known", {"PROCNT_g": 10, "FAT_g": 10, "CHOAVL_g": 10})
    dish = made_dish(books, made_row(half_known, 30), made_row(FLOUR, 70))
    figure = combine(dish, books, EU_KJ, NEEDED)
    assert figure.coverage == pytest.approx(0.7)
    assert figure.amount == pytest.approx(30 * 7.1 + 70 * (1.7 + 0.37 + 12.41 + 0.24))
    assert combine(dish, books, EU_KJ, NEEDED[:3]).coverage == 1


def test_what_is_not_required_and_unknown_counts_as_none(books: NutritionBooks) -> None:
    dish = made_dish(books, made_row(FLOUR, 100))
    without = {tag: weight for tag, weight in EU_KJ.items() if tag in NEEDED}
    assert combine(dish, books, EU_KJ, NEEDED) == combine(dish, books, without, NEEDED)


def test_unknown_alcohol_of_a_drink_is_not_none(books: NutritionBooks) -> None:
    values = {"WATER_g": 86, "PROCNT_g": 0, "FAT_g": 0, "CHOAVL_g": 3, "FIBTG_g": 0}
    unknown = made_dish(books, made_row(made_food("punch", values, group="alcoholic-drinks"), 100))
    known = made_dish(books, made_row(made_food("punch-2", values | {"ALC_g": 10}, group="alcoholic-drinks"), 100))
    figure = combine(unknown, books, EU_KJ, NEEDED)
    assert figure.amount == pytest.approx(51)
    assert figure.high >= combine(known, books, EU_KJ, NEEDED).high


def test_unknown_energy_parts_are_bounded_by_a_gram_of_fat(books: NutritionBooks) -> None:
    nothing_known = made_food("riddle", {"NA_mg": 1})
    figure = combine(made_dish(books, made_row(nothing_known, 100)), books, EU_KJ, NEEDED)
    assert (figure.amount, figure.low, figure.coverage) == (0, 0, 0)
    assert 3600 < figure.high < 3800


def test_an_unknown_negative_part_lowers_the_low_end(books: NutritionBooks) -> None:
    sweet = made_food("bar", {"PROCNT_g": 0, "FAT_g": 0, "FIBTG_g": 0, "CHOAVL_g": 50}, group="confectionery")
    dish = made_dish(books, made_row(sweet, 100))
    loose = combine(dish, books, EU_KJ, (*NEEDED, "POLYL_g"))
    firm = combine(dish, books, EU_KJ, NEEDED)
    assert loose.low < firm.low
    assert loose.high == firm.high
    assert loose.coverage == 0


def test_rows_that_make_it_uncertain_largest_first(books: NutritionBooks) -> None:
    dish = made_dish(
        books,
        made_row(FLOUR, 20),
        made_row(OIL, 100, optional=True),
        made_row(OIL, 30, scale=Scale.VOLUME, measure="tbsp"),
        made_row(FLOUR, 0, scale=Scale.TASTE),
    )
    found = uncertain(dish, books, EU_KCAL)
    assert [index for index, _ in found] == [2, 0]
    assert found[0][1] == pytest.approx(30 * 9 * 0.15, rel=0.02)  # a tablespoon is good to 15 %
    alone = combine(made_dish(books, dish.ingredients[2]), books, EU_KCAL, NEEDED)
    assert found[0][1] == pytest.approx((alone.high - alone.low) / 2)


def test_uncertain_of_a_sub_recipe_and_a_food_in_two_rows(books: NutritionBooks) -> None:
    inner = made_dish(books, made_row(OIL, 50, scale=Scale.COUNT), made_row(FLOUR, 50))
    dish = made_dish(books, made_row(inner, 100), made_row(FLOUR, 10), made_row(FLOUR, 10, scale=Scale.COUNT))
    found = uncertain(dish, books, EU_KCAL)
    assert [index for index, _ in found] == [0, 2, 1]


def test_uncertain_by_unknown_values(books: NutritionBooks) -> None:
    riddle = made_food("riddle", {"CHOAVL_g": 5})
    dish = made_dish(books, made_row(FLOUR, 300), made_row(riddle, 100))
    assert uncertain(dish, books, EU_KCAL)[0][0] == 1


def test_per_100_g_widens_with_the_finished_weight(books: NutritionBooks) -> None:
    rows = made_row(FLOUR, 100), made_row(OIL, 10)
    figure = Figure(100.0, 90.0, 115.0, 0.9)
    measured = per_100g(made_dish(books, *rows, finished_g=200.0), books, figure)
    assert (measured.amount, measured.low, measured.high) == pytest.approx((50, 45 / 1.01, 57.5 / 0.99))
    assert measured.coverage == 0.9
    guessed = per_100g(made_dish(books, *rows, yield_name="stew"), books, figure)
    factor = 100 / (110 * 0.9)
    assert guessed.low == pytest.approx(90 * factor * 0.9 / 1.0)
    assert guessed.high == pytest.approx(115 * factor * 0.9 / 0.75)
    unknown = per_100g(made_dish(books, *rows), books, figure)
    assert unknown.amount == pytest.approx(100 * 100 / 110)
    assert (unknown.high - unknown.low) / unknown.amount > (measured.high - measured.low) / measured.amount


def test_a_light_dish_is_weighed_to_two_grams_at_best(books: NutritionBooks) -> None:
    dish = made_dish(books, made_row(FLOUR, 20), finished_g=20.0)
    found = per_100g(dish, books, Figure(10.0, 10.0, 10.0, 1.0))
    assert found.low == pytest.approx(50 / 1.1)


def test_a_declared_label_is_looser_than_a_table(books: NutritionBooks) -> None:
    values = {"PROCNT_g": 8.0, "FAT_g": 5.0}
    pack = made_food("pack", values, quality=Quality.DECLARED)
    table = made_food("table", values)
    loose = made_dish(books, made_row(pack, 100)).totals["FAT_g"]
    firm = made_dish(books, made_row(table, 100)).totals["FAT_g"]
    assert loose.high - loose.low > 2 * (firm.high - firm.low)
    assert loose.high == pytest.approx(6.5, abs=0.01)
