"""The words for allergens, kinds and states."""

from __future__ import annotations

import pytest

from gramwright.problems import Trouble
from gramwright.reading import vocabulary

WORDS = vocabulary.load()


@pytest.mark.parametrize(
    ("word", "allergen"),
    [
        ("milk", "milk"),
        ("Eggs", "eggs"),
        ("egg", "eggs"),
        ("soya", "soybeans"),
        ("SOY", "soybeans"),
        ("peanut", "peanuts"),
        ("hazelnuts", "hazelnut"),
        ("brazil-nuts", "brazil nut"),
        ("gluten", "gluten"),
        ("tree nuts", "nuts"),
        ("sulphur dioxide", "sulphites"),
    ],
)
def test_allergens_by_their_words(word: str, allergen: str) -> None:
    assert WORDS.allergen(word) == allergen


@pytest.mark.parametrize(
    ("word", "code"), [("mlik", "unknown-allergen"), ("shellfish", "unclear-allergen"), ("", "unknown-allergen")]
)
def test_words_that_are_no_allergen(word: str, code: str) -> None:
    with pytest.raises(Trouble) as caught:
        WORDS.allergen(word)
    assert caught.value.code == code
    assert caught.value.hint


def test_hints_fit_a_pack_as_well_as_a_table() -> None:
    """A pack in YAML has no cells: what is said of a word serves both."""
    assert WORDS.refused
    for word in ("none", *WORDS.refused):
        with pytest.raises(Trouble) as caught:
            WORDS.allergen(word)
        assert caught.value.code == "unclear-allergen"
        assert "cell" not in caught.value.hint
        assert "column" not in caught.value.hint


def test_near_words_are_named() -> None:
    with pytest.raises(Trouble) as caught:
        WORDS.allergen("mustrad")
    assert "mustard" in caught.value.hint


def test_kinds_and_states() -> None:
    assert WORDS.kind("Plants") == "plant"
    with pytest.raises(Trouble) as caught:
        WORDS.kind("rock")
    assert caught.value.code == "unknown-kind"
    assert WORDS.cooked("boiled") is True
    assert WORDS.cooked("raw") is False
    assert WORDS.cooked("in its own words") is None


def test_every_generic_has_its_members() -> None:
    assert set(WORDS.groups) == set(WORDS.generics)
    for generic in WORDS.generics:
        assert set(WORDS.groups[generic]) <= set(WORDS.allergens)
        assert WORDS.groups[generic]
