"""Half-widths of values and measures.

Declared labels: European Commission, guidance on tolerances for nutrient values
declared on a label, December 2012, foods other than supplements (the bands from
memory; +-20 % in the middle and the vitamins' +50/-35 % also in a secondary
copy). Everything else: own judgement, written in looseness.yaml; here it is
checked that it is applied.
"""

from __future__ import annotations

import pytest
from tests.nutrition.nutrition_make import made_dish, made_food, made_row

from gramwright.model import Quality, Scale, Value, ValueKind
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.parts import content_of, grams_error


@pytest.mark.parametrize("tag", ["CHOAVL_g", "SUGAR_g", "PROCNT_g", "FIBTG_g"])
@pytest.mark.parametrize(
    ("declared", "half"), [(1.0, 2.0), (9.99, 2.0), (10.0, 2.0), (25.0, 5.0), (40.0, 8.0), (40.1, 8.0), (70.0, 8.0)]
)
def test_tolerance_of_carbohydrate_protein_fibre(books: NutritionBooks, tag: str, declared: float, half: float) -> None:
    assert books.looseness.sides(tag, Value(declared), Quality.DECLARED) == pytest.approx((half, half))


@pytest.mark.parametrize(
    ("tag", "declared", "down", "up"),
    [
        ("FAT_g", 9.9, 1.5, 1.5),
        ("FAT_g", 10.0, 2.0, 2.0),
        ("FAT_g", 40.0, 8.0, 8.0),
        ("FAT_g", 80.0, 8.0, 8.0),
        ("FASAT_g", 3.9, 0.8, 0.8),
        ("FASAT_g", 4.0, 0.8, 0.8),
        ("FASAT_g", 20.0, 4.0, 4.0),
        ("NA_mg", 499.0, 150.0, 150.0),
        ("NA_mg", 500.0, 100.0, 100.0),
        ("VITC_mg", 40.0, 14.0, 20.0),
        ("FE_mg", 4.0, 1.4, 1.8),
    ],
)
def test_tolerance_of_the_others(books: NutritionBooks, tag: str, declared: float, down: float, up: float) -> None:
    found = books.looseness.sides(tag, Value(declared), Quality.DECLARED)
    assert found == pytest.approx((down, up))


def test_a_declared_nothing_was_rounded(books: NutritionBooks) -> None:
    """The same guidance, section 6 (secondary copy): fat up to 0.5 g and saturates up to 0.1 g may be declared as 0."""
    assert books.looseness.sides("FAT_g", Value(0.0), Quality.DECLARED) == (0, 0.5)
    assert books.looseness.sides("FASAT_g", Value(0.0), Quality.DECLARED) == (0, 0.1)
    assert books.looseness.sides("FAT_g", Value(0.0), Quality.TABLE) == (0, 0)


def test_order_of_qualities(books: NutritionBooks) -> None:
    widths = [books.looseness.sides("FAT_g", Value(20.0), q)[1] for q in (Quality.ANALYSED, Quality.TABLE)]
    borrowed = books.looseness.sides("FAT_g", Value(20.0, ValueKind.BORROWED), Quality.TABLE)[1]
    estimated = books.looseness.sides("FAT_g", Value(20.0), Quality.ESTIMATED)[1]
    assert widths[0] < widths[1] < borrowed <= estimated


def test_pure_things_are_sure(books: NutritionBooks) -> None:
    """A food that is all fat or all sugar leaves no room to be wrong by a tenth."""
    oil = made_food("oil", {"ENERC_kJ": 3699, "FAT_g": 100})
    totals = made_dish(books, made_row(oil, 1000)).totals
    assert totals["FAT_g"].high == pytest.approx(1010, abs=1)  # the scale's 1 %
    assert totals["ENERC_kJ"].low > 36990 * 0.985
    salt = made_dish(books, made_row(made_food("salt", {"NA_mg": 38758}), 100)).totals["NA_mg"]
    assert (salt.high - salt.low) / 2 < 38758 * 0.015


@pytest.mark.parametrize(
    ("scale", "measure", "grams", "half"),
    [
        (Scale.MASS, "g", 5, 0.5),
        (Scale.MASS, "g", 0.2, 0.2),
        (Scale.MASS, "g", 300, 3),
        (Scale.VOLUME, "tbsp", 14, 2.1),
        (Scale.VOLUME, "tsp", 5, 1),
        (Scale.VOLUME, "ml", 200, 10),
        (Scale.COUNT, "medium", 120, 18),
        (Scale.TASTE, "", 0, 0),
    ],
)
def test_measures(books: NutritionBooks, scale: Scale, measure: str, grams: float, half: float) -> None:
    row = made_row(made_food("x", {"FAT_g": 1}), grams, scale=scale, measure=measure)
    assert grams_error((row,), row.grams, books) == pytest.approx((half, half))


def test_a_written_range_is_combined_with_the_measure(books: NutritionBooks) -> None:
    row = made_row(made_food("x", {"FAT_g": 1}), 100, 70, 130, scale=Scale.COUNT)
    assert grams_error((row,), row.grams, books) == pytest.approx(((900 + 225) ** 0.5,) * 2)


def test_the_share_eaten_and_trimming_loosen(books: NutritionBooks) -> None:
    food = made_food("x", {"FAT_g": 1}, refuse=0.2)
    plain, eaten = made_row(food, 100), made_row(food, 100, eaten=0.3)
    gross, weighed = made_row(food, 100, gross=True), made_row(food, 100, weighed="cooked")
    firm = grams_error((plain,), 100, books)[1]
    assert all(grams_error((row,), 100, books)[1] > 4 * firm for row in (eaten, gross, weighed))


def test_two_rows_measured_alike_count_as_one(books: NutritionBooks) -> None:
    food = made_food("x", {"FAT_g": 1})
    split = content_of((made_row(food, 60), made_row(food, 40)), books)
    whole = content_of((made_row(food, 100),), books)
    assert len(split.loads) == 1
    assert split.loads[0].up2 == pytest.approx(whole.loads[0].up2)


def test_every_quality_and_source_is_stated() -> None:
    from gramwright.nutrition.content import read_yaml

    data = read_yaml("nutrition/looseness.yaml")
    blocks = [*data["values"].values(), *data["measures"].values(), *data["finished"].values()]
    blocks += [data["borrowed"], data["pure"], data["zero"], data["trace"], data["retention"]]
    assert all(block["source"].strip() for block in blocks)


def test_cooked_states_are_those_of_the_vocabulary(books: NutritionBooks) -> None:
    from gramwright.nutrition.content import read_yaml

    states = read_yaml("foods/vocabulary.yaml")["states"]
    cooked = {name for name, entry in states.items() if entry["cooked"] == "yes"}
    assert cooked <= books.looseness.already_cooked
    assert not (set(states) - cooked) & books.looseness.already_cooked
