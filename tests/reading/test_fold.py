"""Folding of names: what is the same name, what is not, and that folding twice changes nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gramwright.reading.fold import fold

SAME = [
    ("Pearl barley, dry", "pearl-barley dry"),
    ("carrots", "Carrot"),
    ("tomatoes", "tomato"),
    ("peaches", "peach"),
    ("quiches", "quiche"),
    ("strawberries", "strawberry"),
    ("cookies", "cookie"),
    ("pies", "pie"),
    ("bay leaves", "bay leaf"),
    ("olives", "olive"),
    ("cloves", "clove"),
    ("radishes", "radish"),
    ("boxes", "box"),
    ("kiwis", "kiwi"),
    ("chillies", "chilly"),
    ("prunes", "prune"),
    ("Crème fraîche", "creme fraiche"),
    ("jalapeños", "jalapeno"),
    ("smørrebrød", "smorrebrod"),
    ("cow's milk", "cows milk"),
    ("cow’s milk", "cows' milk"),
    ("milk 3,5 %", "Milk, 3.5%"),
    ("salt & pepper", "salt and pepper"),
    ("oats (rolled)", "oats, rolled"),
    ("soya_drink", "soya drink"),
    ("ΩMEGA", "ωmega"),
]

APART = [
    ("pasta", "paste"),
    ("oat", "oatmeal"),
    ("barley dry", "dry barley"),
    ("milk 1.5%", "milk 15%"),
    ("rice", "ric"),
    ("cress", "cres"),
    ("hummus", "hummu"),
    ("cheese", "chees e"),
    ("pea", "pear"),
    ("egg white", "eggwhite"),
    ("date", "dat"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_the_same_name_written_otherwise(one: str, other: str) -> None:
    assert fold(one) == fold(other)


@pytest.mark.parametrize(("one", "other"), APART)
def test_other_names_stay_apart(one: str, other: str) -> None:
    assert fold(one) != fold(other)


@given(st.text(max_size=40))
def test_folding_twice_changes_nothing(name: str) -> None:
    assert fold(fold(name)) == fold(name)


@given(st.text("abcdefghijklmnopqrstuvwxyz -,'’.%&0123456789éüßœ", max_size=40))
def test_folding_twice_changes_nothing_in_ordinary_names(name: str) -> None:
    assert fold(fold(name)) == fold(name)


@given(
    st.lists(
        st.sampled_from("carrot onion tomato peach berry clove leaf olive box radish".split()), min_size=1, max_size=4
    )
)
def test_case_hyphens_and_spaces_do_not_matter(words: list[str]) -> None:
    assert fold("-".join(words)) == fold("  ".join(words).upper()) == fold(", ".join(words).title())


@given(st.text("abcdefghijklmnopqrstuvwxyz", min_size=4, max_size=10).filter(lambda word: word[-1] not in "suy"))
def test_a_plural_in_s_is_its_singular(word: str) -> None:
    assert fold(word + "s") == fold(word)


@given(st.text("abcdefghijklmnopqrstuvwxyz ,;:()/-", max_size=40))
def test_the_short_way_for_plain_names_leads_to_the_same_key(name: str) -> None:
    """A full stop, which folds to nothing here, takes the long way."""
    assert fold(name) == fold(f"{name} .")
