"""What the browser's finding code finds, run by Node, against finding done by hand on the cards."""

from __future__ import annotations

import random
from dataclasses import replace
from urllib.parse import urlencode

import pytest
from tests.site.find_asked import Finder, address, random_asked
from tests.site.find_by_hand import failures, keys
from tests.site.made_cards import ALLERGENS, MEALS

pytestmark = pytest.mark.long


def test_finding_agrees_with_finding_by_hand(finder: Finder) -> None:
    """Thousands of random searches: the recipes found, and of each condition how many it alone keeps away."""
    rng = random.Random(5)
    found_any = 0
    for _ in range(2000):
        asked = random_asked(rng, finder)
        result = finder.ask(search=address(asked))
        failed = failures(finder.cards, finder.by_hand, asked, ALLERGENS)
        wanted = [card.slug for card, fails in zip(finder.cards, failed, strict=True) if not fails]
        assert sorted(result["slugs"]) == sorted(wanted), asked
        assert result["total"] == len(wanted)
        alone = {tuple(name): count for name, count in zip(result["asked"], result["alone"], strict=True)}
        single = [fails[0] for fails in failed if len(fails) == 1]
        assert alone == {name: single.count(name) for name in alone}, asked
        found_any += bool(wanted)
    assert found_any > 400


def test_a_choice_says_how_many_recipes_there_would_be_with_it(finder: Finder) -> None:
    rng = random.Random(7)
    for _ in range(25):
        asked = replace(random_asked(rng, finder), meals=(), may=False)
        counts = finder.ask(search=address(asked))["counts"]
        for meal in rng.sample(sorted(keys(MEALS)), 2):
            assert counts["meals"][meal] == finder.ask(search=address(replace(asked, meals=(meal,))))["total"]
        for tag in rng.sample(sorted(counts["tags"]), 3):
            wider = replace(asked, tags=(*asked.tags, tag))
            assert counts["tags"][tag] == finder.ask(search=address(wider))["total"]
        for diet in counts["diets"]:
            wider = replace(asked, diets=(*asked.diets, diet))
            assert counts["diets"][diet] == finder.ask(search=address(wider))["total"]
        for name in rng.sample(sorted(counts["without"]), 4):
            wider = replace(asked, without=(*asked.without, name))
            assert counts["without"][name] == finder.ask(search=address(wider))["total"]


def test_counts_of_meals_are_of_what_meets_everything_else(finder: Finder) -> None:
    one = finder.ask(search="?meal=snack&kcal=-300")["counts"]["meals"]
    for meal in sorted(keys(MEALS)):
        assert one[meal] == finder.ask(search=f"?{urlencode({'meal': meal, 'kcal': '-300'})}")["total"]


def test_histograms_count_what_meets_everything_else(finder: Finder) -> None:
    result = finder.ask(search="?kcal=300-400&meal=dinner", drawn=["kcal", "protein", "ratio", "salt"])
    free = finder.ask(search="?meal=dinner", drawn=["kcal"])
    assert result["histograms"]["kcal"] == free["histograms"]["kcal"]
    dinners = [card for card in finder.cards if "dinner" in card.meals]
    assert sum(free["histograms"]["kcal"]) == sum(card.energy_kcal is not None for card in dinners)
    assert sum(result["histograms"]["protein"]) <= result["total"]
