"""Totals, coverage, water, sub-recipes and the problems that stop a dish."""

from __future__ import annotations

import pytest
from tests.nutrition.nutrition_make import made_dish, made_food, made_page, made_row

from gramwright.model import KJ_PER_KCAL, Scale, Value, ValueKind, Weight
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.dish import amounts, compute
from gramwright.problems import Place, ProblemLog, Severity

OATS = made_food("oats", {"ENERC_kJ": 1586, "WATER_g": 10, "PROCNT_g": 13, "FAT_g": 7, "NA_mg": 5}, state="dry")
MILK = made_food("milk", {"ENERC_kJ": 268, "WATER_g": 88, "PROCNT_g": 3, "FAT_g": 3.5, "NA_mg": 44, "VITB12_ug": 0.4})
LEAVES = made_food("leaves", {"WATER_g": 91, "VITC_mg": 28, "K_mg": 500, "NA_mg": 80})


def test_totals_are_grams_times_value(books: NutritionBooks) -> None:
    dish = made_dish(books, made_row(OATS, 50), made_row(MILK, 200))
    assert dish.raw_g == 250
    assert dish.totals["PROCNT_g"].amount == pytest.approx(50 * 0.13 + 200 * 0.03)
    assert dish.totals["ENERC_kJ"].amount == pytest.approx(50 * 15.86 + 200 * 2.68)
    assert dish.row_totals[1]["NA_mg"] == pytest.approx(88)


def test_result_order_is_fixed_whatever_the_rows(books: NutritionBooks) -> None:
    one = made_dish(books, made_row(OATS, 50), made_row(MILK, 200))
    other = made_dish(books, made_row(MILK, 200), made_row(OATS, 50))
    assert list(one.totals) == list(other.totals)
    assert list(one.totals)[:4] == ["ENERC_kJ", "WATER_g", "PROCNT_g", "FAT_g"]


def test_unknown_is_not_zero(books: NutritionBooks) -> None:
    dish = made_dish(books, made_row(OATS, 50), made_row(MILK, 150))
    figure = dish.totals["VITB12_ug"]
    assert figure.amount == pytest.approx(0.6)
    assert figure.coverage == pytest.approx(0.75)
    assert figure.high > made_dish(books, made_row(MILK, 150)).totals["VITB12_ug"].high
    assert "VITC_mg" not in dish.totals


def test_optional_rows_are_left_out_and_listed(books: NutritionBooks) -> None:
    dish = made_dish(books, made_row(OATS, 50), made_row(MILK, 200, optional=True))
    assert dish.raw_g == 50
    assert dish.totals["PROCNT_g"].amount == pytest.approx(6.5)
    assert dish.row_totals[1]["PROCNT_g"] == pytest.approx(6)
    assert dish.totals["PROCNT_g"].coverage == 1


def test_rows_to_taste_do_not_spoil_coverage(books: NutritionBooks) -> None:
    pepper = made_food("pepper", {})
    dish = made_dish(books, made_row(OATS, 50), made_row(pepper, 0, scale=Scale.TASTE))
    assert dish.totals["PROCNT_g"].coverage == 1


@pytest.mark.parametrize(
    ("page", "finished", "by"),
    [
        ({"finished_g": 230.0, "yield_factor": 0.5, "yield_name": "stew"}, 230, Weight.MEASURED),
        ({"yield_factor": 0.9, "yield_name": "stew"}, 225, Weight.FACTOR),
        ({"yield_name": "stew"}, 225, Weight.TYPICAL),
        ({}, None, Weight.UNKNOWN),
    ],
)
def test_measured_beats_factor_beats_typical(
    books: NutritionBooks, page: dict[str, object], finished: float | None, by: Weight
) -> None:
    dish = made_dish(books, made_row(OATS, 50), made_row(MILK, 200), **page)
    assert dish.finished_g == (None if finished is None else pytest.approx(finished))
    assert dish.finished_by is by


def test_change_of_weight_is_water(books: NutritionBooks) -> None:
    """FAO, Greenfield & Southgate 2003, appendix: water % = (raw water - weight loss) / cooked weight x 100."""
    dish = made_dish(books, made_row(OATS, 50), made_row(MILK, 200), finished_g=210.0)
    raw_water = 50 * 0.10 + 200 * 0.88
    assert dish.totals["WATER_g"].amount == pytest.approx(raw_water - 40)
    assert dish.totals["WATER_g"].low < raw_water - 40 < dish.totals["WATER_g"].high


def test_water_is_never_below_nothing(books: NutritionBooks) -> None:
    dish = made_dish(books, made_row(OATS, 100), finished_g=70.0)
    assert dish.totals["WATER_g"].amount == 0


def test_water_without_a_finished_weight_is_the_raw_sum(books: NutritionBooks) -> None:
    dish = made_dish(books, made_row(OATS, 50), made_row(MILK, 200))
    assert dish.totals["WATER_g"].amount == pytest.approx(181)


def test_retention_at_ingredient_level(books: NutritionBooks) -> None:
    """USDA release 6, code 3005: greens, boiled, water to cover, drained: vitamin C 55 % (secondary copy)."""
    dish = made_dish(books, made_row(LEAVES, 200, cooked_as="3005"), made_row(OATS, 50))
    assert dish.totals["VITC_mg"].amount == pytest.approx(200 * 0.28 * 0.55)
    assert dish.row_totals[0]["VITC_mg"] == dish.totals["VITC_mg"].amount


def test_retention_leaves_uncovered_components_whole(books: NutritionBooks) -> None:
    greens = made_food("greens", {"PROCNT_g": 3, "VITD_ug": 1})
    dish = made_dish(books, made_row(greens, 100, cooked_as="3005"))
    assert dish.totals["PROCNT_g"].amount == pytest.approx(3)
    assert dish.totals["VITD_ug"].amount == pytest.approx(1)


def test_alcohol_driven_off_takes_its_energy_along(books: NutritionBooks) -> None:
    """USDA release 6, code 5006: simmered 1 h, 25 % of the alcohol left. 29 kJ/g: EU 1169/2011, Annex XIV."""
    wine = made_food("wine", {"ENERC_kJ": 355, "ALC_g": 10.6, "CHOCDF_g": 2.6})
    simmered = made_dish(books, made_row(wine, 200, cooked_as="5006"))
    assert simmered.totals["ALC_g"].amount == pytest.approx(21.2 * 0.25)
    assert simmered.totals["ENERC_kJ"].amount == pytest.approx(710 - 21.2 * 0.75 * 29)


def test_sub_recipe_by_share_of_its_finished_weight(books: NutritionBooks) -> None:
    inner = made_dish(books, made_row(OATS, 100), made_row(MILK, 300), yield_factor=0.8)
    outer = made_dish(books, made_row(inner, 160), made_row(MILK, 100))
    assert outer.totals["PROCNT_g"].amount == pytest.approx((13 + 9) / 2 + 3)
    assert outer.row_totals[0]["PROCNT_g"] == pytest.approx(11)


def test_sub_recipe_hands_on_its_water_change(books: NutritionBooks) -> None:
    inner = made_dish(books, made_row(OATS, 100), made_row(MILK, 300), yield_factor=0.8)
    outer = made_dish(books, made_row(inner, 320))
    assert inner.totals["WATER_g"].amount == pytest.approx(10 + 264 - 80)
    assert outer.totals["WATER_g"].amount == pytest.approx(inner.totals["WATER_g"].amount)


def test_sub_recipe_hands_on_its_coverage_at_any_depth(books: NutritionBooks) -> None:
    inner = made_dish(books, made_row(OATS, 100), made_row(MILK, 300))
    middle = made_dish(books, made_row(inner, 200), made_row(MILK, 200))
    outer = made_dish(books, made_row(middle, 100), made_row(OATS, 100))
    assert middle.totals["VITB12_ug"].coverage == pytest.approx((150 + 200) / 400)
    assert outer.totals["VITB12_ug"].coverage == pytest.approx(87.5 / 200)


def test_a_sub_recipe_in_two_rows_is_one(books: NutritionBooks) -> None:
    inner = made_dish(books, made_row(OATS, 100), made_row(MILK, 300), yield_factor=0.8)
    once = made_dish(books, made_row(inner, 100), made_row(MILK, 20))
    twice = made_dish(books, made_row(inner, 70), made_row(MILK, 20), made_row(inner, 30))
    for tag, figure in once.totals.items():
        found = twice.totals[tag]
        assert (found.amount, found.low, found.high) == pytest.approx((figure.amount, figure.low, figure.high))


def test_depth_costs_no_more_than_its_recipes(books: NutritionBooks) -> None:
    """Thirty recipes, each made of two rows of the one before: 2 to the 30th ways down, opened once each."""
    dish = made_dish(books, made_row(OATS, 100))
    for _ in range(30):
        other = made_dish(books, made_row(dish, 50), made_row(MILK, 1))
        dish = made_dish(books, made_row(dish, 50), made_row(other, 50))
    assert dish.totals["PROCNT_g"].amount > 0
    assert dish.totals["PROCNT_g"].low < dish.totals["PROCNT_g"].high


def test_a_change_at_the_bottom_reaches_the_top(books: NutritionBooks) -> None:
    def top(protein: float) -> float:
        oats = made_food("oats-2", {"PROCNT_g": protein})
        inner = made_dish(books, made_row(oats, 100))
        middle = made_dish(books, made_row(inner, 50), made_row(MILK, 50))
        return made_dish(books, made_row(middle, 100)).totals["PROCNT_g"].amount

    assert top(14) - top(13) == pytest.approx(0.5)


def test_amounts_of_a_row(books: NutritionBooks) -> None:
    assert amounts(made_row(MILK, 50), books)["NA_mg"] == pytest.approx(22)
    inner = made_dish(books, made_row(MILK, 100), yield_factor=0.5)
    assert amounts(made_row(inner, 25), books)["NA_mg"] == pytest.approx(22)
    assert "VITC_mg" not in amounts(made_row(MILK, 50), books)


def test_every_unknown_code_is_reported_with_near_ones(books: NutritionBooks) -> None:
    log = ProblemLog()
    rows = (
        made_row(LEAVES, 100, cooked_as="3050"),
        made_row(OATS, 10, swaps=(made_row(LEAVES, 10, cooked_as="leafy, boiled"),)),
    )
    assert compute(made_page(), rows, books, log) is None
    assert [problem.code for problem in log] == ["unknown-retention-code"] * 2
    assert "'3050'" in log.problems[0].message
    assert log.problems[0].place == Place("recipes/made.md", 7, 3)
    assert "(" in log.problems[0].hint
    assert "leafy vegetables, boiled" in log.problems[1].hint


def test_retention_of_a_recipe_is_refused(books: NutritionBooks) -> None:
    log = ProblemLog()
    inner = made_dish(books, made_row(LEAVES, 100, cooked_as="3005"))
    assert compute(made_page(), (made_row(inner, 50, cooked_as="3005"),), books, log) is None
    assert [problem.code for problem in log] == ["retention-of-recipe"]


def test_a_recipe_that_weighs_nothing(books: NutritionBooks) -> None:
    log = ProblemLog()
    assert compute(made_page(), (made_row(OATS, 10, optional=True),), books, log) is None
    assert [problem.code for problem in log] == ["weighs-nothing"]


def test_cooked_twice_is_a_warning_and_takes_nothing_off(books: NutritionBooks) -> None:
    """A row given as cooked gets neither retention nor yield: leaves that are boiled keep the vitamin C they have."""
    log = ProblemLog()
    boiled = made_food("leaves-boiled", {"VITC_mg": 10}, state="boiled")
    dish = compute(
        made_page(),
        (made_row(OATS, 10, swaps=(made_row(boiled, 9, cooked_as="3005"),)), made_row(boiled, 50, cooked_as="3005")),
        books,
        log,
    )
    assert dish is not None
    assert dish.totals["VITC_mg"].amount == pytest.approx(5)
    assert dish.ingredients[1].row.cooked_as is None
    assert dish.ingredients[0].swaps[0].row.cooked_as is None
    assert [(problem.code, problem.severity) for problem in log] == [("cooked-twice", Severity.WARNING)] * 2


@pytest.mark.parametrize(
    ("group", "state", "weighed", "factor", "told"),
    [
        ("poultry", "raw", "cooked", 2.2, True),  # the yield of pasta
        ("poultry", "raw", "cooked", 0.74, False),  # content/nutrition/typical-yields.csv
        ("pulses", "dry", "cooked", 1.05, True),
        ("pulses", "dry", "cooked", 2.4, False),
        ("pasta-and-noodles", "dry", "cooked", 2.35, False),
        ("rice", "boiled", "raw", 2.75, False),
        ("rice", "boiled", "raw", 0.9, True),
        ("vegetables", "raw", "cooked", 6.0, True),
        ("vegetables", "raw", "cooked", 0.65, False),  # spinach, USDA Agriculture Handbook 102
        ("vegetables", "dried", "cooked", 6.0, False),  # dried vegetables swell; nothing is said of them
        ("fats-and-oils", "raw", "cooked", 9.0, False),
    ],
)
def test_a_row_s_yield_that_its_food_can_hardly_have(
    books: NutritionBooks, group: str, state: str, weighed: str, factor: float, told: bool
) -> None:
    """Limits from memory, wide; the yields inside them are those of the table of typical yields."""
    log = ProblemLog()
    food = made_food(f"{group}-{state}", {"FAT_g": 1.0}, group=group, state=state)
    row = made_row(food, 100, weighed=weighed, row_yield=factor)
    assert compute(made_page(), (row,), books, log) is not None
    assert [(problem.code, problem.severity) for problem in log] == (
        [("implausible-yield", Severity.WARNING)] if told else []
    )


def test_reheating_a_cooked_food_is_none(books: NutritionBooks) -> None:
    log = ProblemLog()
    code = next(c for c, item in books.retention.by_code.items() if "reheat" in item.description)
    boiled = made_food("leaves-boiled", {"VITC_mg": 10}, state="boiled")
    assert compute(made_page(), (made_row(boiled, 50, cooked_as=code),), books, log) is not None
    assert not len(log)


@pytest.mark.parametrize(
    ("finished", "code"),
    [(600.0, "finished-too-heavy"), (90.0, "finished-too-light"), (400.0, None), (230.0, None)],
)
def test_a_finished_weight_that_cannot_be(books: NutritionBooks, finished: float, code: str | None) -> None:
    """100 g of a dry food, 300 g of milk: 400 g, up to 220 g taken up from unlisted water, about 120 g dry matter."""
    oats = made_food("oats-3", {"WATER_g": 10.0}, state="dry")
    log = ProblemLog()
    page = made_page(finished_g=finished + (200 if finished == 600 else 0))
    assert compute(page, (made_row(oats, 100), made_row(MILK, 300)), books, log) is not None
    assert [problem.code for problem in log] == ([] if code is None else [code])
    if code:
        assert log.problems[0].place == Place("recipes/made.md", 5, 1)


def test_unknown_yield_name_lists_the_nearest(books: NutritionBooks) -> None:
    log = ProblemLog()
    assert compute(made_page(yield_name="stw"), (made_row(OATS, 10),), books, log) is None
    assert log.problems[0].code == "unknown-yield"
    assert "stew" in log.problems[0].hint
    assert log.problems[0].place == Place("recipes/made.md", 4, 1)


def test_trace_and_below_limit(books: NutritionBooks) -> None:
    food = made_food(
        "odd", {"FAT_g": Value(0.0, ValueKind.TRACE), "SUGAR_g": Value(0.25, ValueKind.BELOW, 0.5), "PROCNT_g": 0.0}
    )
    totals = made_dish(books, made_row(food, 100)).totals
    assert totals["FAT_g"].amount == 0
    assert 0 < totals["FAT_g"].high <= 0.1
    assert totals["SUGAR_g"].low == pytest.approx(0, abs=0.01)
    assert totals["SUGAR_g"].high == pytest.approx(0.5, abs=0.01)
    assert totals["PROCNT_g"].high == 0


def test_a_new_component_is_unknown_to_the_foods_before(books: NutritionBooks) -> None:
    first = made_dish(books, made_row(OATS, 100), made_row(MILK, 100))
    assert "CAFFN_mg" not in first.totals
    coffee = made_food("coffee", {"CAFFN_mg": 40})
    mixed = made_dish(books, made_row(OATS, 100), made_row(coffee, 100))
    assert mixed.totals["CAFFN_mg"].amount == pytest.approx(40)
    assert mixed.totals["CAFFN_mg"].coverage == pytest.approx(0.5)
    assert list(mixed.totals)[-1] == "CAFFN_mg"


def test_energy_stays_in_kilojoules(books: NutritionBooks) -> None:
    """1 kcal = 4.184 kJ (FAO/INFOODS component identifiers): nothing is converted on the way."""
    food = made_food("kcal", {"ENERC_kJ": 100 * KJ_PER_KCAL})
    assert made_dish(books, made_row(food, 250)).totals["ENERC_kJ"].amount == pytest.approx(250 * KJ_PER_KCAL)


PASTA = made_food("pasta-dry", {"WATER_g": 10.0, "PROCNT_g": 13}, state="dry", group="pasta-and-noodles")
SAUCE = made_food("sauce", {"WATER_g": 85.0, "PROCNT_g": 2})
TAP = made_food("water", {"WATER_g": 100.0})


def codes_of(books: NutritionBooks, *rows: object, **page: object) -> list[str]:
    log = ProblemLog()
    assert compute(made_page(**page), rows, books, log) is not None  # type: ignore[arg-type]
    return [problem.code for problem in log]


def test_dry_pasta_weighed_cooked_for_a_portion(books: NutritionBooks) -> None:
    """Nobody eats 280 g of dry pasta at once (own judgement); weighed cooked it is a plateful."""
    assert codes_of(books, made_row(PASTA, 280), made_row(SAUCE, 100)) == ["dry-weighed-cooked"]
    assert codes_of(books, made_row(PASTA, 120, weighed="cooked"), made_row(SAUCE, 100)) == []
    assert codes_of(books, made_row(PASTA, 280), made_row(SAUCE, 100), portions=3.0) == []


def test_dry_pasta_without_water_to_take_up(books: NutritionBooks) -> None:
    """Pasta takes up its own weight of water and more; a dish that weighs no more than its rows has none for it."""
    rows = made_row(PASTA, 400), made_row(SAUCE, 300)
    assert codes_of(books, *rows, portions=4.0, finished_g=680.0) == ["dry-weighed-cooked"]
    assert codes_of(books, *rows, portions=4.0, finished_g=1200.0) == []
    assert codes_of(books, *rows, made_row(TAP, 500), portions=4.0, finished_g=1150.0) == []


def test_nothing_is_said_of_dry_pasta_where_water_is_not_known(books: NutritionBooks) -> None:
    rows = made_row(PASTA, 400), made_row(made_food("sauce-2", {"PROCNT_g": 2}), 300)
    assert codes_of(books, *rows, portions=4.0, finished_g=680.0) == []
