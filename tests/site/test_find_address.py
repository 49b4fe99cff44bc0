"""Addresses of searches, read and written by the browser's code run by Node."""

from __future__ import annotations

import pytest
from tests.site.find_asked import Finder

pytestmark = pytest.mark.long


@pytest.mark.parametrize(
    "search_text",
    [
        "",
        "?q=barley+squash",
        "?kcal=300-450&protein=30-&hands_on=-20&without=milk&may=1&sort=protein",
        "?meal=lunch&meal=dinner&tag=one+tray&diet=vegan&without=brazil+nut",
        "?salt=0.5-1.25",
    ],
)
def test_an_address_comes_back(finder: Finder, search_text: str) -> None:
    assert finder.ask(search=search_text)["again"] == search_text


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("?kcal=abc", ""),
        ("?kcal=450-300", "?kcal=300-450"),
        ("?sort=price", ""),
        ("?may=1", ""),
        ("?kcal=-", ""),
        ("?kcal=1e9-", ""),
        ("?q=%20%20", ""),
        ("?without=milk&without=milk", "?without=milk"),
    ],
)
def test_an_odd_address_is_read_as_far_as_it_makes_sense(finder: Finder, given: str, kept: str) -> None:
    assert finder.ask(search=given)["again"] == kept
