"""One foreign cell at a time. The marks are those of the tables named; the figures are made up."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gramwright.composition.imports.foreign import Numbers, factor
from gramwright.composition.imports.portions import portion
from gramwright.problems import Trouble
from gramwright.reading.cells import parse_cell


@pytest.mark.parametrize(
    ("cell", "ours"),
    [
        ("12.30", "12.30"),  # as published, its zero too
        ("0", "0"),
        ("0.0", "0.0"),
        (" 7 ", "7"),
        (".5", ".5"),
        ("1.5e-3", "0.0015"),
        ("Tr", "tr"),  # UK, McCance and Widdowson
        ("N", ""),  # the same: present, no reliable figure
        ("traces", "tr"),  # France
        ("-", ""),
        ("", ""),
        ("n/a", ""),
        ("<0.5", "<0.5"),
        ("< 0.50", "<0.50"),
        ("(12.3)", "(12.3)"),
        ("[0.4]", "(0.4)"),
        ("(Tr)", "tr"),
        ("1 234.5", "1234.5"),  # spaces in groups of three
        ("-0", "0"),
    ],
)
def test_cells_with_decimal_points(cell: str, ours: str) -> None:
    assert Numbers().cell(cell) == ours


@pytest.mark.parametrize(
    ("cell", "ours"),
    [("42,5", "42.5"), ("< 0,5", "<0.5"), ("1 234,5", "1234.5"), ("1.234,5", "1234.5"), ("8", "8"), ("(3,2)", "(3.2)")],
)
def test_cells_with_decimal_commas(cell: str, ours: str) -> None:
    assert Numbers(",", ".").cell(cell) == ours


@pytest.mark.parametrize("cell", ["1,5", "12 5", "high", "5-7", "-3", "12*", "<", "(", "()x", "1e99", "<Tr", "١٢"])
def test_what_cannot_be_read_is_said(cell: str) -> None:
    with pytest.raises(Trouble) as caught:
        Numbers().cell(cell)
    assert caught.value.code == "unreadable-cell"
    assert "found" in caught.value.message


def test_a_point_in_a_table_with_commas_is_not_guessed_at() -> None:
    with pytest.raises(Trouble):
        Numbers(",").cell("1.500")


def test_a_mapping_names_further_marks_and_takes_marks_back() -> None:
    assert Numbers(unknown=["*"]).cell("*") == ""
    assert Numbers(trace=["+"]).cell("+") == "tr"
    assert Numbers(trace=["-"]).cell("-") == "tr"
    assert Numbers(unknown=["Tr"]).cell("Tr") == ""


def test_a_zero_that_may_mean_not_measured() -> None:
    assert Numbers().cell("0", zero_unknown=True) == ""
    assert Numbers().cell("0.00", zero_unknown=True) == ""
    assert Numbers().cell("0.01", zero_unknown=True) == "0.01"


@pytest.mark.parametrize(
    ("theirs", "ours", "times"),
    [
        ("g", "mg", "1000"),
        ("mg", "g", "0.001"),
        ("µg", "mg", "0.001"),
        ("mcg", "ug", "1"),
        ("MG", "mg", "1"),
        ("kcal", "kJ", "4.184"),  # INFOODS, ENERC
        ("KCAL", "kcal", "1"),
        ("MJ", "kJ", "1000"),
    ],
)
def test_units(theirs: str, ours: str, times: str) -> None:
    assert factor(theirs, ours) == Decimal(times)


@pytest.mark.parametrize(("theirs", "ours"), [("IU", "ug"), ("g", "kJ"), ("gramms", "g"), ("", "g")])
def test_a_unit_that_becomes_no_other_is_said(theirs: str, ours: str) -> None:
    with pytest.raises(Trouble) as caught:
        factor(theirs, ours)
    assert caught.value.code == "unknown-unit"


def test_scaling_is_exact() -> None:
    assert Numbers().cell("0.00756", Decimal(1000)) == "7.56"
    assert Numbers().cell("0.1", Decimal("0.001")) == "0.0001"
    assert Numbers().cell("<0.3", Decimal(1000)) == "<300"


@given(st.text(max_size=12), st.sampled_from([".", ","]), st.sampled_from(["", ",", "."]), st.booleans())
def test_whatever_stands_there_our_cell_is_one_a_table_reads(
    text: str, decimal: str, thousands: str, zero_unknown: bool
) -> None:
    try:
        cell = Numbers(decimal, "" if thousands == decimal else thousands).cell(text, Decimal(1000), zero_unknown)
    except Trouble:
        return
    parse_cell(cell)


@pytest.mark.parametrize(
    ("text", "grams", "amount", "name", "one"),
    [
        ("1 cup, cooked", "240", "", "cup cooked", "240"),
        ("1/2 cup, diced", "70", "", "cup diced", "140"),
        ("1 1/2 slices", "60", "", "slices", "40"),
        ("cup, chopped", "65", "0.5", "cup chopped", "130"),
        ("tablespoon", "13.6", "1", "tbsp", "13.6"),
        ("small bowl", "180", "", "small bowl", "180"),
        ("3 cookies", "50", "", "cookies", "16.6667"),
        ('piece (2" dia)', "30", "1", "piece (2 in dia)", "30"),
    ],
)
def test_portions(text: str, grams: str, amount: str, name: str, one: str) -> None:
    assert portion(text, grams, amount) == (name, one)


@pytest.mark.parametrize(
    ("text", "grams", "why"),
    [
        ("Quantity not specified", "100", "without a measure"),
        ("", "100", "without a measure"),
        ("1 oz", "28.35", "a mass"),
        ("100 ml", "103", "millilitres"),
        ("1 cup", "", "without a weight"),
        ("1 cup", "0", "without a weight"),
        ("0 cup", "100", "without a weight"),
        ("1 cup", "heavy", "without a weight"),
    ],
)
def test_portions_that_no_row_could_name(text: str, grams: str, why: str) -> None:
    with pytest.raises(Trouble) as caught:
        portion(text, grams)
    assert why in caught.value.message
