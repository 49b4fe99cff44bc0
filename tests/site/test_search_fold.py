"""Folding words: capitals, accents, plurals; the browser's code folds alike."""

from __future__ import annotations

import pytest

from gramwright.site.search.fold import Language, language, words
from gramwright.site.search.shown import graded, half_up, ungraded, whole_minutes


def test_words_lose_capitals_accents_and_apostrophes() -> None:
    text = "Crème brûlée, shepherd’s pie (Brazil-nut)"
    assert words(text) == ("creme", "brulee", "shepherds", "pie", "brazil", "nut")
    assert words("Äpfel mit Soße, œuf, smørrebrød") == ("apfel", "mit", "sosse", "oeuf", "smorrebrod")
    assert words("पनीर टिक्का") == ("पनीर", "टिक्का")


@pytest.mark.parametrize(
    ("code", "one", "many"),
    [
        *(
            ("en", *pair.split("/"))
            for pair in (
                "tomato/tomatoes berry/berries pie/pies leaf/leaves olive/olives kidney/kidneys knife/knives "
                "cheese/cheeses pea/peas radish/radishes egg/eggs loaf/loaves peach/peaches quiche/quiches "
                "tray/trays cookie/cookies"
            ).split()
        ),
        *(("de", *pair.split("/")) for pair in "tomate/tomaten kartoffel/kartoffeln ei/eier nuss/nusse".split()),
        *(("af", *pair.split("/")) for pair in "aartappel/aartappels ui/uie eier/eiers boontjie/boontjies".split()),
    ],
)
def test_singular_and_plural_have_one_stem(code: str, one: str, many: str) -> None:
    """Plain plural rules; common usage, no source."""
    assert language(code).stem(one) == language(code).stem(many)


@pytest.mark.parametrize("word", ["couscous", "hummus", "asparagus", "swiss", "is"])
def test_words_that_only_look_plural_stay(word: str) -> None:
    assert language("en-GB").stem(word) == word


def test_a_language_that_is_not_recorded_folds_no_plurals() -> None:
    assert language("xx") == Language()
    assert language("xx").stem("berries") == "berries"


def test_figures_are_rounded_as_a_declaration_rounds_them() -> None:
    """European Commission, guidance on tolerances (December 2012), section 6; secondary copy. Half up from decimals."""
    assert half_up(392.5) == 393
    assert half_up(2.675, 100) == 268
    assert [ungraded(graded(grams)) for grams in (0.04, 0.05, 9.94, 9.95, 10.49, 10.5, 31.0)] == [
        0.0,
        0.1,
        9.9,
        10.0,
        10.0,
        11.0,
        31.0,
    ]
    assert [ungraded(graded(grams, 100), 100) for grams in (0.014, 0.994, 0.996, 1.04, 1.05)] == [
        0.01,
        0.99,
        1.0,
        1.0,
        1.1,
    ]


def test_a_begun_minute_counts() -> None:
    assert [whole_minutes(minutes) for minutes in (0.0, 15.0, 15.2)] == [0, 15, 16]
