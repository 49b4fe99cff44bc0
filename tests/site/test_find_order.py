"""The order of what is found, and words that are found, by the browser's finding code run by Node."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from tests.site.find_asked import Finder
from tests.site.find_by_hand import FIELDS, shown

from gramwright.site.cards import Card
from gramwright.site.search.fold import words

pytestmark = pytest.mark.long


@pytest.mark.parametrize(
    ("sort", "name", "highest_first"),
    [
        ("energy", "kcal", False),
        ("energy_high", "kcal", True),
        ("protein", "protein", True),
        ("work", "hands_on", False),
        ("time", "total", False),
    ],
)
def test_sorting_puts_what_is_not_known_last(finder: Finder, sort: str, name: str, highest_first: bool) -> None:
    by_slug = {card.slug: card for card in finder.cards}
    found = [by_slug[slug] for slug in finder.ask(search=f"?sort={sort}")["slugs"]]
    assert len(found) == len(finder.cards)

    def key(card: Card) -> tuple[int, Fraction]:
        value = shown(card, name)
        if value is None:
            return 2, Fraction(0)
        late = not highest_first and FIELDS[name] in card.incomplete
        return int(late), -value if highest_first else value

    keys = [key(card) for card in found]
    assert keys == sorted(keys)


def test_sorting_by_protein_per_100_kcal(finder: Finder) -> None:
    by_slug = {card.slug: card for card in finder.cards}
    found = [by_slug[slug] for slug in finder.ask(search="?sort=ratio")["slugs"]]
    known = [card for card in found if card.protein_per_100kcal is not None and "energy_kcal" not in card.incomplete]
    assert [card.slug for card in found[: len(known)]] == [card.slug for card in known]
    ratios = [card.protein_per_100kcal or 0.0 for card in known if (card.energy_kcal or 0) > 100]
    for before, after in pairwise(ratios):
        assert after <= before + 0.12, "tenths of a gram and whole kcal may change places, no more"


def test_a_whole_word_in_the_title_comes_before_the_rest(finder: Finder) -> None:
    by_slug = {card.slug: card for card in finder.cards}
    found = [by_slug[slug] for slug in finder.ask(search="?q=leeks")["slugs"]]
    has_it = ["leek" in words(card.title) for card in found]
    assert has_it[0]
    assert not has_it[-1]
    assert has_it == sorted(has_it, reverse=True)


def test_another_name_of_an_ingredient_finds_it(finder: Finder) -> None:
    zucchini = finder.ask(search="?q=zucchini")["slugs"]
    assert sorted(zucchini) == sorted(card.slug for card in finder.cards if "courgette" in card.ingredients)


def test_the_ingredient_that_was_found_is_named(finder: Finder) -> None:
    by_slug = {card.slug: card for card in finder.cards}
    result = finder.ask(search="?q=halloumi&sort=energy")
    for slug, names in zip(result["slugs"], result["foundIn"], strict=False):
        card = by_slug[slug]
        if "halloumi" in words(card.title):
            assert names == []
        else:
            assert all("halloumi" in name and name in card.ingredients for name in names)
            assert names
