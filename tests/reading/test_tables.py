"""Food and measure tables: cells, derived columns, header, allergens."""

from __future__ import annotations

import time
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gramwright.model import Food, Quality, Value, ValueKind
from gramwright.problems import ProblemLog, Trouble
from gramwright.reading import vocabulary
from gramwright.reading.cells import parse_cell
from gramwright.reading.components import column_tag
from gramwright.reading.tables import read_foods, read_measures


def foods(text: str, today: date | None = None) -> list[Food]:
    log = ProblemLog()
    found = read_foods(text, "foods/own.csv", log, vocabulary.load(), today=today)
    assert [str(problem) for problem in log] == []
    return found


def one(columns: str, cells: str) -> Food:
    (food,) = foods(f"food,name,{columns}\negg,Egg,{cells}\n")
    return food


GOOD = Path(__file__).parent / "good"


def test_a_table_line_is_read_whole() -> None:
    bar, water = foods((GOOD / "full.csv").read_text(encoding="utf-8"), today=date(2025, 6, 1))
    assert (bar.id, bar.name, bar.aliases) == ("oat-bar", 'Oat bar, "plain"', ("bar", "flapjack"))
    assert (bar.group, bar.state, bar.refuse, bar.density_g_ml) == ("snacks", "ready", 0, None)
    assert bar.values["ENERC_kJ"].amount == pytest.approx(412 * 4.184)
    assert "ENERC_kcal" not in bar.values
    assert bar.values["PROCNT_g"] == Value(9.1, ValueKind.BORROWED)
    assert bar.values["FAT_g"] == Value(0.25, ValueKind.BELOW, 0.5)
    assert bar.values["FIBTG_g"] == Value(0, ValueKind.TRACE)
    assert bar.values["NA_mg"] == Value(1.5)
    assert bar.values["SELEN_ug"] == Value(3)
    assert bar.allergens.checked
    assert bar.allergens.contains == {"oats", "milk"}
    assert bar.allergens.may_contain == {"nuts"}
    assert bar.kinds == {"plant", "milk"}
    assert (bar.quality, bar.updated, bar.place.line) == (Quality.DECLARED, "2025-06-01", 4)
    assert bar.extra == {"pack_g": "250", "note": "two\nlines"}
    assert (water.place.line, water.density_g_ml, water.quality) == (6, 1.0, Quality.ESTIMATED)


def test_an_empty_cell_is_unknown_and_a_zero_is_a_zero() -> None:
    food = one("PROCNT_g,FAT_g", "0,")
    assert food.values["PROCNT_g"] == Value(0.0)
    assert "FAT_g" not in food.values


def test_nothing_said_of_allergens_is_not_checked() -> None:
    for said, checked in (("", False), ("no", False), ("yes", True), ("Yes", True)):
        assert one("allergens_checked", said).allergens.checked is checked


@pytest.mark.parametrize(
    ("columns", "cells", "available", "total"),
    [
        ("CHOCDF_g,FIBTG_g", "70.5,10.5", 60, 70.5),
        ("CHOAVL_g,FIBTG_g", "60,10.5", 60, 70.5),
        ("CHOAVL_g,CHOCDF_g,FIBTG_g", "61,70.5,10.5", 61, 70.5),
        ("CHOCDF_g,FIBTG_g", "2,3", 0, 2),
        ("CHOCDF_g,FIBTG_g", "2,", None, 2),
        ("CHOAVL_g,FIBTG_g", "2,", 2, None),
    ],
)
def test_carbohydrate_is_derived_when_the_fibre_is_known(
    columns: str, cells: str, available: float | None, total: float | None
) -> None:
    """FAO/INFOODS component identifiers: CHOAVLDF = CHOCDF - fibre; unknown fibre is not zero."""
    values = one(columns, cells).values
    for tag, expected in (("CHOAVL_g", available), ("CHOCDF_g", total)):
        assert (values[tag].amount if tag in values else None) == (
            None if expected is None else pytest.approx(expected)
        )


def test_a_derived_figure_is_no_better_than_its_parts() -> None:
    assert one("CHOCDF_g,FIBTG_g", "70,10").values["CHOAVL_g"].kind is ValueKind.NUMBER
    assert one("CHOCDF_g,FIBTG_g", "70,(10)").values["CHOAVL_g"].kind is ValueKind.BORROWED
    assert one("CHOCDF_g,FIBTG_g", "<0.5,tr").values["CHOAVL_g"].kind is ValueKind.BORROWED


def test_energy_in_kilojoules_comes_before_kilocalories() -> None:
    """1 kcal = 4.184 kJ (FAO/INFOODS component identifiers, ENERC)."""
    assert one("ENERC_kJ,ENERC_kcal", "400,100").values["ENERC_kJ"] == Value(400)
    assert one("ENERC_kJ,ENERC_kcal", ",100").values["ENERC_kJ"].amount == pytest.approx(418.4)


def test_salt_on_a_pack_is_sodium() -> None:
    """Regulation (EU) 1169/2011, Annex I point 11: salt = sodium x 2.5."""
    values = one("SALT_g", "1.25").values
    assert values["NA_mg"].amount == pytest.approx(500)
    assert "SALT_g" not in values
    assert one("SALT_g,NA_mg", "1.25,480").values["NA_mg"].amount == 480


@pytest.mark.parametrize(
    ("head", "tag"),
    [
        ("PROCNT_g", "PROCNT_g"),
        ("VITD_µg", "VITD_ug"),
        ("VITD_mcg", "VITD_ug"),
        ("VITA_RAE_ug", "VITA_RAE_ug"),
        ("ENERC_kcal", "ENERC_kcal"),
        ("XYZ_mg", "XYZ_mg"),
        ("FAT", None),
        ("protein_g", None),
        ("FAT_kg", None),
        ("note", None),
    ],
)
def test_column_heads(head: str, tag: str | None) -> None:
    assert column_tag(head) == tag


@pytest.mark.parametrize("head", ["PROCNT_mg", "NA_g", "VITD_mg", "FAT_kJ", "ENERC_g"])
def test_a_known_component_in_another_unit_is_refused(head: str) -> None:
    """Units of FAO/INFOODS tagnames."""
    with pytest.raises(Trouble) as caught:
        column_tag(head)
    assert caught.value.code == "wrong-unit"


@given(st.decimals(min_value=0, max_value=100_000, places=3))
def test_numbers_in_cells_come_back(number: object) -> None:
    value = parse_cell(str(number))
    assert value is not None
    assert value == Value(float(str(number)))


@pytest.mark.parametrize(
    "cell",
    ["1,234", "-1", "12 g", "n/a", "N", "-", "~5", "1e400", "nan", "inf", "(", "()", "<", "<x", "tr5", "1.2.3", "1..2"],
)
def test_what_is_no_cell_is_refused(cell: str) -> None:
    with pytest.raises(Trouble):
        parse_cell(cell)


def test_a_date_ahead_is_a_problem_only_when_today_is_known() -> None:
    text = "food,name,updated\negg,Egg,2030-01-01\n"
    assert foods(text)[0].updated == "2030-01-01"
    log = ProblemLog()
    assert read_foods(text, "foods/own.csv", log, vocabulary.load(), today=date(2029, 12, 31)) == []
    assert [problem.code for problem in log] == ["future-date"]


@given(st.text('ab,"\n#;1.<()', max_size=60))
def test_any_text_after_a_header_gives_foods_or_problems(text: str) -> None:
    log = ProblemLog()
    found = read_foods(f"food,name,PROCNT_g\n{text}\n", "foods/own.csv", log, vocabulary.load())
    assert all(food.id and food.name for food in found)


def test_measures() -> None:
    log = ProblemLog()
    text = '# ours\nfood,measure,grams,source\negg,large,50,weighed\negg,"cup, chopped","136,5",weighed\n'
    found = read_measures(text, "measures/own.csv", log)
    assert not len(log)
    assert [(line.food, line.measure, line.grams, line.place.line) for line in found] == [
        ("egg", "large", 50, 3),
        ("egg", "cup, chopped", 136.5, 4),
    ]


def test_a_table_of_open_quotes_is_refused_in_no_time() -> None:
    text = 'food,name,PROCNT_g\n"' + "a\n" * 600_000
    log = ProblemLog()
    start = time.perf_counter()
    assert read_foods(text, "foods/own.csv", log, vocabulary.load()) == []
    assert time.perf_counter() - start < 5
    assert [(problem.code, problem.place.line) for problem in log] == [("csv-quote", 2)]
