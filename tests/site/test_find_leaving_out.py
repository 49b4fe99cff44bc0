"""Leaving allergens out, by the browser's finding code run by Node, against finding done by hand on the cards."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from tests.site.find_asked import Finder, address, random_asked
from tests.site.find_by_hand import Asked, failures, left_out
from tests.site.made_cards import ALLERGENS, made_cards

pytestmark = pytest.mark.long


def test_by_hand_agrees_on_what_leaving_out_means() -> None:
    """The yardstick itself: one card in each state."""
    card = made_cards(1)[0]
    states = {
        "contains": replace(card, contains=("milk",), may_contain=(), unknown=()),
        "may": replace(card, contains=(), may_contain=("milk",), unknown=()),
        "unknown": replace(card, contains=(), may_contain=(), unknown=("milk",)),
        "none": replace(card, contains=("eggs",), may_contain=(), unknown=()),
    }
    strict = {state for state, c in states.items() if left_out(c, "milk", ALLERGENS, False)}
    wider = {state for state, c in states.items() if left_out(c, "milk", ALLERGENS, True)}
    assert strict == {"contains", "may", "unknown"}
    assert wider == {"contains", "unknown"}


def test_a_recipe_with_a_left_out_allergen_is_never_found(finder: Finder) -> None:
    """Contains, may contain and not known are all left out, whatever else is asked; not known also with may=1."""
    rng = random.Random(6)
    by_slug = {card.slug: card for card in finder.cards}
    for _ in range(1500):
        asked = random_asked(rng, finder)
        without = tuple(rng.sample([choice.id for choice in ALLERGENS], rng.randint(1, 6)))
        asked = replace(asked, without=without, text="", ranges={})
        for slug in finder.ask(search=address(asked))["slugs"]:
            card = by_slug[slug]
            for name in without:
                ids = {name, *(i for choice in ALLERGENS if choice.id == name for i in choice.members)}
                assert not ids & {*card.contains, *card.unknown}, (slug, name)
                assert asked.may or not ids & set(card.may_contain), (slug, name)
                group = next(choice.group for choice in ALLERGENS if choice.id == name)
                whole = dict(card.groups).get(group, "not_recorded")
                assert whole == "not_recorded" or (asked.may and whole == "may_contain"), (slug, name)


def test_an_allergen_that_the_index_does_not_know_leaves_nothing(finder: Finder) -> None:
    result = finder.ask(search="?without=shellfish")
    assert result["total"] == 0
    assert result["asked"] == [["without", "shellfish"]]
    assert finder.ask(search="?without=shellfish&may=1")["total"] == 0
    assert result["again"] == "?without=shellfish"


def test_how_many_more_may_contain_and_how_many_are_not_known(finder: Finder) -> None:
    result = finder.ask(search="?without=milk&without=nuts&kcal=100-600")
    shown_too = finder.ask(search="?without=milk&without=nuts&kcal=100-600&may=1")
    assert result["may"] == shown_too["total"] - result["total"] > 0
    assert shown_too["may"] == 0
    asked = Asked(ranges={"kcal": (100, 600)})
    nut_ids = {"nuts", *next(choice.members for choice in ALLERGENS if choice.id == "nuts")}
    unknown = [
        card
        for card, fails in zip(finder.cards, failures(finder.cards, finder.by_hand, asked, ALLERGENS), strict=True)
        if not fails
        and not ({"milk"} | nut_ids) & set(card.contains)
        and dict(card.groups)["nuts"] != "contains"
        and (dict(card.groups)["nuts"] == "unknown" or ({"milk"} | nut_ids) & set(card.unknown))
    ]
    assert result["open"] == shown_too["open"] == len(unknown) > 0
