"""A reader's choices: what optional rows and swaps change against the recipe as written."""

from __future__ import annotations

from tests.labelling.allergen_make import SETTINGS, TODAY, dish_of, food, row_of, said

from gramwright.labelling import allergens
from gramwright.model import Presence

CONTAINS, UNKNOWN, NONE = Presence.CONTAINS, Presence.UNKNOWN, Presence.NOT_RECORDED


def test_what_one_row_says_whether_it_is_optional_or_not() -> None:
    feta = row_of(food("feta", said(["milk"], ["sesame"])), optional=True)
    row = allergens.said_by(feta, "eu", SETTINGS, TODAY)
    assert row.contains == {"milk"}
    assert row.may_contain == {"sesame"}
    assert not row.unknown
    assert row.state("milk") is CONTAINS
    assert row.state("eggs") is NONE
    bake = dish_of(row_of(food("egg", said(["eggs"]))), row_of(food("sauce", said(checked=False)), optional=True))
    assert allergens.said_by(row_of(bake), "eu", SETTINGS, TODAY).contains == {"eggs"}


def test_what_a_swap_adds_and_takes_away() -> None:
    tofu, sauce = row_of(food("tofu", said(["soybeans"]))), row_of(food("mystery", said(checked=False)))
    feta = row_of(food("feta", said(["milk"])), swaps=[tofu, sauce])
    swap, mystery = allergens.choices([row_of(food("turnip")), feta], "eu", SETTINGS, TODAY)
    assert (swap.index, swap.swap, swap.name) == (1, 0, "tofu")
    assert swap.adds == {"soybeans": CONTAINS}
    assert swap.removes == {"milk": NONE}
    assert mystery.swap == 1
    assert mystery.removes == {"milk": UNKNOWN}
    assert set(mystery.adds.values()) == {UNKNOWN}
    assert "milk" not in mystery.adds


def test_a_swap_takes_nothing_away_that_another_row_has() -> None:
    feta = row_of(food("feta", said(["milk"])), swaps=[row_of(food("tofu", said(["soybeans"])))])
    (choice,) = allergens.choices([feta, row_of(food("butter", said(["milk"])))], "eu", SETTINGS, TODAY)
    assert choice.removes == {}
    assert choice.adds == {"soybeans": CONTAINS}


def test_taking_an_optional_row_in_and_swapping_it() -> None:
    feta = row_of(food("feta", said(["milk"])), optional=True, swaps=[row_of(food("tofu", said(["soybeans"])))])
    taken, swapped = allergens.choices([row_of(food("turnip")), feta], "eu", SETTINGS, TODAY)
    assert (taken.index, taken.swap, taken.name, taken.adds, taken.removes) == (1, None, "feta", {"milk": CONTAINS}, {})
    assert (swapped.index, swapped.swap, swapped.adds) == (1, 0, {"soybeans": CONTAINS})


def test_a_second_optional_row_is_not_taken_in_by_the_choice_of_a_first() -> None:
    one = row_of(food("feta", said(["milk"])), optional=True)
    two = row_of(food("egg", said(["eggs"])), optional=True)
    assert [dict(each.adds) for each in allergens.choices([one, two], "eu", SETTINGS, TODAY)] == [
        {"milk": CONTAINS},
        {"eggs": CONTAINS},
    ]


def test_choices_that_change_nothing_are_not_listed() -> None:
    swede = row_of(food("swede"), swaps=[row_of(food("turnip"))])
    rows = [swede, row_of(food("kale"), optional=True), row_of(food("leek"))]
    assert allergens.choices(rows, "eu", SETTINGS, TODAY) == ()
    assert allergens.choices([], "eu", SETTINGS, TODAY) == ()


def test_a_weaker_state_by_a_swap_and_a_stronger_one_from_may_contain() -> None:
    plain = row_of(food("plain", said([], ["milk", "eggs"])), swaps=[row_of(food("rich", said(["milk"])))])
    (choice,) = allergens.choices([plain], "eu", SETTINGS, TODAY)
    assert choice.adds == {"milk": CONTAINS}
    assert choice.removes == {"eggs": NONE}
