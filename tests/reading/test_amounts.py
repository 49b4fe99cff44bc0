"""Amounts: every written form, and that a number survives being written and read again."""

from __future__ import annotations

import unicodedata
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gramwright.problems import Trouble
from gramwright.reading.amounts import VULGAR, parse_amount, parse_number

GOOD = [
    # text, low, high, rest
    ("160 g pearl barley, dry", 160, 160, "g pearl barley, dry"),
    ("160g pearl barley", 160, 160, "g pearl barley"),
    ("0.5 l water", 0.5, 0.5, "l water"),
    ("0,5 l water", 0.5, 0.5, "l water"),
    (".5 l water", 0.5, 0.5, "l water"),
    ("1,5kg squash", 1.5, 1.5, "kg squash"),
    ("1.000 kg squash", 1.0, 1.0, "kg squash"),
    ("0,125 kg butter", 0.125, 0.125, "kg butter"),
    ("1234 g", 1234, 1234, "g"),
    ("1/2 cup milk", 0.5, 0.5, "cup milk"),
    ("1 / 2 cup milk", 0.5, 0.5, "cup milk"),
    ("1 1/2 cups milk", 1.5, 1.5, "cups milk"),
    ("1⁄2 cup milk", 0.5, 0.5, "cup milk"),
    ("½ cup milk", 0.5, 0.5, "cup milk"),
    ("1½ cups milk", 1.5, 1.5, "cups milk"),
    ("1 ½ cups milk", 1.5, 1.5, "cups milk"),
    ("2⅓ cups", 2 + 1 / 3, 2 + 1 / 3, "cups"),
    ("⅛ tsp salt", 0.125, 0.125, "tsp salt"),
    ("1-2 tsp salt", 1, 2, "tsp salt"),
    ("1 - 2 tsp salt", 1, 2, "tsp salt"),
    ("1–2 tsp salt", 1, 2, "tsp salt"),
    ("1—2 tsp salt", 1, 2, "tsp salt"),
    ("1 to 2 tsp salt", 1, 2, "tsp salt"),
    ("½-1 tsp salt", 0.5, 1, "tsp salt"),
    ("1/2 - 1 1/2 tsp salt", 0.5, 1.5, "tsp salt"),
    ("1,5-2,5 kg squash", 1.5, 2.5, "kg squash"),
    ("2 x 400 g beans", 800, 800, "g beans"),
    ("2x400g beans", 800, 800, "g beans"),
    ("2 × 400 g beans", 800, 800, "g beans"),
    ("3 x 1/2 tsp salt", 1.5, 1.5, "tsp salt"),
    ("2 x 100-120 g fillets", 200, 240, "g fillets"),
    ("2 medium carrots", 2, 2, "medium carrots"),
    ("2 xylitol tablets", 2, 2, "xylitol tablets"),
    ("2 extra large eggs", 2, 2, "extra large eggs"),
    ("3 tomatoes", 3, 3, "tomatoes"),
    ("2 äpfel", 2, 2, "äpfel"),
    ("  2   eggs ", 2, 2, "eggs"),
    ("1 egg", 1, 1, "egg"),
    ("5 omega-3 capsules", 5, 5, "omega-3 capsules"),
    ("1 to-go cup", 1, 1, "to-go cup"),
    ("2 X 400 g beans", 800, 800, "g beans"),
    ("2 g e-number", 2, 2, "g e-number"),
    ("1 taster spoon", 1, 1, "taster spoon"),
    ("4", 4, 4, ""),
]


@pytest.mark.parametrize(("text", "low", "high", "rest"), GOOD, ids=[good[0] for good in GOOD])
def test_written_forms(text: str, low: float, high: float, rest: str) -> None:
    quantity, words = parse_amount(text)
    assert quantity is not None
    assert (quantity.low, quantity.high) == pytest.approx((low, high), rel=1e-15)
    assert quantity.middle == pytest.approx((low + high) / 2)
    assert words == rest


@pytest.mark.parametrize(
    "text", ["to taste salt", "To taste: salt", "salt, to taste", "salt to taste", "Salt (to taste)"]
)
def test_to_taste_before_and_after_the_name(text: str) -> None:
    quantity, words = parse_amount(text)
    assert quantity is None
    assert words.lower() == "salt"


def test_to_taste_alone() -> None:
    assert parse_amount("to taste") == (None, "")


def test_two_foods_without_an_amount_are_two_rows() -> None:
    with pytest.raises(Trouble) as raised:
        parse_amount("salt and pepper")
    assert raised.value.code == "no-amount"
    assert "two rows" in raised.value.hint
    assert "'1 g salt' and '1 g pepper'" in raised.value.hint


def test_times_is_kept() -> None:
    quantity, _ = parse_amount("2 x 400 g beans")
    assert quantity is not None
    assert quantity.times == 2


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "no-amount"),
        ("salt", "no-amount"),
        ("a pinch of salt", "no-amount"),
        ("two eggs", "no-amount"),
        ("-160 g squash", "bad-amount"),
        ("−160 g squash", "bad-amount"),
        ("0 g squash", "bad-amount"),
        ("0.000 g squash", "bad-amount"),
        ("0/5 g squash", "bad-amount"),
        ("0-2 g squash", "bad-amount"),
        ("0 x 400 g squash", "bad-amount"),
        ("inf g squash", "bad-amount"),
        ("nan g squash", "bad-amount"),
        ("1e400 g squash", "bad-amount"),
        ("1e3 g squash", "bad-amount"),
        ("1E3 g squash", "bad-amount"),
        ("1000001 g squash", "bad-amount"),
        ("1000 x 2000 g squash", "bad-amount"),
        ("9" * 400 + " g squash", "bad-amount"),
        ("9" * 450 + "/3 g squash", "bad-amount"),
        ("9" * 5000 + " g squash", "too-long"),
        ("1/" + "9" * 450 + " g squash", "bad-amount"),
        ("1/0 g squash", "bad-amount"),
        ("2-1 g squash", "bad-amount"),
        ("1-1/2 g squash", "bad-amount"),
        ("1/2/3 g squash", "bad-amount"),
        ("50% squash", "bad-amount"),
        ("1,000 g squash", "ambiguous-number"),
        ("12,345 g squash", "ambiguous-number"),
        ("1 000 g squash", "ambiguous-number"),
        ("1\u202f000 g squash", "ambiguous-number"),
        ("1'000 g squash", "ambiguous-number"),
        ("1.000,50 g squash", "ambiguous-number"),
        ("1,000.50 g squash", "ambiguous-number"),
        ("1,000,000 g squash", "ambiguous-number"),
        ("2 400 g cans", "ambiguous-number"),
        ("100 g - 150 g oats", "bad-amount"),
        ("100g-150g oats", "bad-amount"),
        ("1 tbsp + 1 tsp oil", "bad-amount"),
        ("x" * 501, "too-long"),
        (" " * 2_000_000, "too-long"),
    ],
)
def test_what_is_no_amount_is_refused(text: str, code: str) -> None:
    with pytest.raises(Trouble) as caught:
        parse_amount(text)
    assert caught.value.code == code
    assert "expected" in caught.value.message
    assert len(caught.value.message) < 200


def test_vulgar_fractions_have_their_unicode_values() -> None:
    """The Unicode character database gives each its numeric value."""
    for character, value in VULGAR.items():
        assert unicodedata.numeric(character) == pytest.approx(value, rel=1e-6)
        assert unicodedata.name(character).startswith("VULGAR FRACTION")


plain = st.decimals(min_value="0.001", max_value="99999", places=3, allow_nan=False).map(lambda number: f"{number:f}")


@given(plain, st.sampled_from(["g", " g", " kg", " large"]), st.booleans())
def test_decimals_come_back(number: str, unit: str, comma: bool) -> None:
    text = number.rstrip("0").rstrip(".")
    comma = comma and "." in text and len(text.partition(".")[2]) != 3
    quantity, rest = parse_amount((text.replace(".", ",") if comma else text) + unit + " squash")
    assert quantity is not None
    assert quantity.low == quantity.high == float(text)
    assert rest == f"{unit.strip()} squash"


@given(st.integers(0, 40), st.integers(1, 99), st.integers(1, 64))
def test_fractions_come_back(whole: int, over: int, under: int) -> None:
    text = f"{whole} {over}/{under}" if whole else f"{over}/{under}"
    quantity, rest = parse_amount(text + " cup oats")
    assert quantity is not None
    assert quantity.middle == pytest.approx(float(whole + Fraction(over, under)))
    assert rest == "cup oats"


@given(plain, plain, st.sampled_from(["-", "–", " to ", " - "]))
def test_ranges_come_back(one: str, other: str, mark: str) -> None:
    low, high = sorted((float(one), float(other)))
    quantity, _ = parse_amount(f"{low:.3f}{mark}{high:.3f} g oats")
    assert quantity is not None
    assert (quantity.low, quantity.high) == (low, high)


@given(st.text(max_size=60))
def test_any_text_gives_an_amount_or_a_problem(text: str) -> None:
    try:
        quantity, _ = parse_amount(text)
    except Trouble:
        return
    assert quantity is None or 0 < quantity.low <= quantity.high <= 1e6


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("4", 4),
        ("0.86", 0.86),
        ("0,86", 0.86),
        ("86 %", 0.86),
        ("30%", 0.3),
        ("-2", -2),
        ("+2", 2),
        ("1 1/2", 1.5),
        ("½", 0.5),
    ],
)
def test_numbers(text: str, value: float) -> None:
    assert parse_number(text) == pytest.approx(value)


@pytest.mark.parametrize("text", ["", "four", "4 g", "1,000", "1e3", "inf", "--4", "1/0", "9" * 400, "%"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(Trouble):
        parse_number(text)


@pytest.mark.parametrize(
    ("text", "expected", "way_out"),
    [
        ("100. g flour", "digits after the decimal sign, found '100.'", "100"),
        ("100, g flour", "digits after the decimal sign, found '100,'", "100"),
        ("1-2-3 kg flour", "a number or a range of two, found '1-2-3'", "1-2"),
        ("1 - 2 - 3 kg flour", "a number or a range of two, found '1 - 2 - 3'", "1-2"),
    ],
)
def test_half_a_number_and_a_range_of_three_say_what_was_expected(text: str, expected: str, way_out: str) -> None:
    with pytest.raises(Trouble) as caught:
        parse_amount(text)
    assert caught.value.code == "bad-amount"
    assert caught.value.message == f"expected {expected}"
    assert way_out in caught.value.hint
