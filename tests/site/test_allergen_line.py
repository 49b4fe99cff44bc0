"""The two lines that a list has of a recipe's allergens: as written, and by a change."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.site import sample

from gramwright.labelling.allergen_swaps import NO_SWAPS, Told
from gramwright.site.allergen_line import AllergenPart, allergen_names, allergen_parts, swap_parts
from gramwright.site.cards import Card
from gramwright.site.words import load

WORDS = load("en", None)
NAMES = allergen_names(sample.SETTINGS)
MANY = ("milk", "eggs", "fish", "celery", "mustard")


def card(**states: tuple[str, ...]) -> Card:
    return replace(sample.cards()[0], **({"contains": (), "may_contain": (), "unknown": ()} | states))  # type: ignore[arg-type]


def said(parts: tuple[AllergenPart, ...]) -> list[tuple[str, str, tuple[str, ...], str]]:
    return [(part.state, part.text, part.names, part.after) for part in parts]


def test_every_state_has_its_part_in_order() -> None:
    parts = allergen_parts(card(contains=("milk",), may_contain=("eggs",), unknown=("fish",)), WORDS, NAMES)
    assert said(parts) == [
        ("contains", "Contains ", ("milk",), ""),
        ("may", "May contain ", ("eggs",), ""),
        ("unknown", "Not known ", ("fish",), ""),
    ]


def test_where_nothing_is_recorded_that_is_said() -> None:
    (part,) = allergen_parts(card(), WORDS, NAMES)
    assert (part.state, part.text, part.names) == ("none", WORDS("find.allergens_none"), ())


def test_what_is_contained_is_not_called_unknown_too() -> None:
    (part,) = allergen_parts(card(contains=("milk",), unknown=("milk",)), WORDS, NAMES)
    assert part.state == "contains"


def test_four_that_are_not_known_are_named_and_five_are_counted() -> None:
    (four,) = allergen_parts(card(unknown=MANY[:4]), WORDS, NAMES)
    assert (four.text, len(four.names)) == ("Not known ", 4)
    (five,) = allergen_parts(card(unknown=MANY), WORDS, NAMES)
    assert (five.state, five.text, five.names) == ("unknown", WORDS("find.allergens_unknown", n=5), ())


def test_names_are_in_the_language_whatever_its_country() -> None:
    german = allergen_names(replace(sample.SETTINGS, language="de"))
    assert german["milk"] != NAMES["milk"]
    assert allergen_names(replace(sample.SETTINGS, language="de-AT")) == german


def test_a_name_that_the_law_does_not_list_stands_as_it_is() -> None:
    (part,) = allergen_parts(card(contains=("moonbeam",)), WORDS, NAMES)
    assert part.names == ("moonbeam",)


@pytest.mark.parametrize("what", ["swap_removes", "optional_adds", "swap_opens"])
def test_a_change_has_its_names_where_the_sentence_wants_them(what: str) -> None:
    swapped = replace(card(), swaps=NO_SWAPS._replace(told=(Told(what, ("milk", "fish")),)))
    (part,) = swap_parts(swapped, WORDS, NAMES)
    assert (part.state, part.names) == (what, ("milk", "fish"))
    assert f"{part.text}milk, fish{part.after}" == WORDS(f"card.{what}", names="milk, fish")


def test_a_change_that_opens_many_is_counted_and_one_that_adds_many_is_named() -> None:
    told = tuple(Told(what, MANY) for what in ("swap_opens", "swap_adds"))
    opens, adds = swap_parts(replace(card(), swaps=NO_SWAPS._replace(told=told)), WORDS, NAMES)
    assert (opens.text, opens.names) == (WORDS("card.swap_opens_many", n=5), ())
    assert adds.names == MANY
    (four,) = swap_parts(replace(card(), swaps=NO_SWAPS._replace(told=(Told("swap_opens", MANY[:4]),))), WORDS, NAMES)
    assert four.names == MANY[:4]


def test_no_change_says_nothing() -> None:
    assert swap_parts(replace(card(), swaps=NO_SWAPS), WORDS, NAMES) == ()
