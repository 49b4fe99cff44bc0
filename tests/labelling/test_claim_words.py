"""Wording in titles and texts that amounts to a claim."""

from __future__ import annotations

import pytest
from tests.labelling.label_make import dish, energy_of, food, one_food, row

from gramwright.labelling import rulesets
from gramwright.labelling.claim_words import check_words
from gramwright.labelling.claims import Judge
from gramwright.labelling.ruleset_reader import folded
from gramwright.labelling.wordbook import wordbooks
from gramwright.model import Dish
from gramwright.problems import ProblemLog, Severity

RICH = {
    "PROCNT_g": 5.0, "FAT_g": 20.0, "FASAT_g": 9.0, "CHOAVL_g": 40.0, "CHOCDF_g": 42.0, "SUGAR_g": 25.0, "FIBTG_g": 1.0,
    "NA_mg": 500.0,
}  # fmt: skip
LEAN = {**RICH, "FAT_g": 1.0, "FASAT_g": 0.2, "SUGAR_g": 0.0, "FIBTG_g": 12.0, "NA_mg": 0.2, "PROCNT_g": 30.0}


def problems(found: Dish, rule_set: str = "eu", language: str = "en") -> ProblemLog:
    rules = rulesets.load(rule_set)
    log = ProblemLog()
    check_words(Judge(found, rules, energy_of(found, rules)), language, log)
    return log


@pytest.mark.parametrize(
    "title",
    [
        "Low-fat lasagne",
        "Lasagne, low in fat",
        "A fat free cake",
        "High-protein bowl",
        "High protein bowl",
        "Protein-rich bowl",
        "Protein-packed bowl",
        "High fiber loaf",
        "Fibre-rich loaf",
        "Sugar-free custard",
        "Low-sugar custard",
        "Salt-free soup",
        "Low-sodium soup",
        "Low-calorie dinner",
        "Low calorie dinner",
        "Reduced-fat dip",
        "Half-fat dip",
        "Light lasagne",
        "A lighter touch: lite dip",
        "Low-carb tray",
        "Rich in iron",
    ],
)
def test_titles_that_claim_are_errors_when_the_claim_fails(title: str) -> None:
    (problem,) = problems(one_food(RICH, title=title)).sorted()
    assert (problem.severity, problem.code, problem.place.line) == (Severity.ERROR, "claim-in-words", 2)


@pytest.mark.parametrize(
    "title", ["Low-fat lasagne", "High fibre loaf", "Protein-rich bowl", "Sugar-free custard", "Salt-free soup"]
)
def test_titles_that_claim_what_holds_are_fine(title: str) -> None:
    assert not problems(one_food(LEAN, title=title))


@pytest.mark.parametrize(
    "title",
    [
        "A light lunch",
        "Light soy noodles",
        "Light rye bread",
        "Lamb with lightly cooked peas",
        "Salt and pepper squid",
        "Sugar snap peas with protein powder",
        "High tea on low tide",
        "Fatless sponge",
    ],
)
def test_titles_that_claim_nothing_are_left_alone(title: str) -> None:
    assert not problems(one_food(RICH, title=title))


def test_summary_and_tags_speak_of_the_dish_too() -> None:
    log = problems(one_food(RICH, summary="Quick and low in fat.", tags=("one tray", "high protein")))
    assert [(problem.place.line, problem.severity) for problem in log.sorted()] == [
        (3, Severity.ERROR),
        (4, Severity.ERROR),
    ]


def test_text_is_a_warning_at_its_line() -> None:
    found = one_food(RICH, intro="Good.\nA low-fat dinner.", method="Bake.\n\nEat.\nSo high in protein!")
    assert [(p.severity, p.place.line) for p in problems(found).sorted()] == [
        (Severity.WARNING, 8),
        (Severity.WARNING, 23),
    ]


def test_text_about_an_ingredient_is_no_claim_of_the_dish() -> None:
    text = "Stir in the low-fat yoghurt. Use unsalted yoghurt. Light the oven."
    made = dish([row(food("yoghurt", RICH), 100)], method=text)
    assert not problems(made)
    assert len(problems(dish([row(food("cream", RICH), 100)], method="Stir in the low-fat yoghurt."))) == 1


def test_a_word_that_joins_names_no_ingredient() -> None:
    """ "Potatoes, flesh and skin" has an "and", and so has the sentence; a comma ends what a claim speaks of."""
    potato = food("potatoes, flesh and skin", RICH)
    for text in ("It is sugar-free and quick.", "Sugar-free, potatoes aside.", "So high in fibre. Potatoes rest."):
        assert [p.code for p in problems(dish([row(potato, 100)], method=text))] == ["claim-in-words"], text
    for text in ("Add the low-fat potatoes.", "Add low-fat small potatoes.", "Add **low-fat** potatoes."):
        assert not problems(dish([row(potato, 100)], method=text)), text


@pytest.mark.parametrize(
    ("title", "language"),
    [
        ("Healthy lentil bowl", "en"),
        ("Superfood salad", "en"),
        ("Detox soup", "en"),
        ("Guilt-free brownies", "en"),
        ("Boosts your immune system", "en"),
        ("Anti-inflammatory stew", "en"),
        ("Gesunde Linsen", "de"),
        ("Gesonde lensies", "af"),
    ],
)
@pytest.mark.parametrize("rule_set", ["eu", "us", "anz", "codex"])
def test_wording_about_health_is_a_warning(title: str, language: str, rule_set: str) -> None:
    """No figures of a recipe can show it: Regulation (EC) No 1924/2006, Article 10 (from memory)."""
    (problem,) = problems(one_food(LEAN, title=title), rule_set, language)
    assert (problem.severity, problem.code, problem.place.line) == (Severity.WARNING, "health-in-words", 2)
    (problem,) = problems(one_food(LEAN, tags=("one tray", title)), rule_set, language)
    assert problem.place.line == 4


@pytest.mark.parametrize(
    "title", ["Health farm? No: a pie", "Clean-plate lentils", "A boost of lemon", "Good for a crowd"]
)
def test_wording_that_only_looks_like_it_is_left_alone(title: str) -> None:
    assert not problems(one_food(LEAN, title=title, method="A healthy pinch of salt."))


def test_a_claim_that_is_asked_for_is_left_to_the_claims() -> None:
    assert not problems(one_food(RICH, title="Low-fat lasagne", claims=("low fat",)))


def test_what_cannot_be_proven_is_said_so() -> None:
    (problem,) = problems(one_food({"PROCNT_g": 5.0}, title="Sugar-free custard")).sorted()
    assert "cannot be proven" in problem.message
    assert "sugars of test food is not known" in problem.message


def test_one_problem_for_the_longest_reading() -> None:
    """'Reduced fat' is not also 'fat'; 'very low salt' not also 'low salt'."""
    assert len(problems(one_food(RICH, title="Reduced-fat and very low salt soup"))) == 2


def test_wording_follows_the_law() -> None:
    """Low fat a serving in the United States, per 100 g in the Union."""
    small = dish([row(food("test food", {**LEAN, "FAT_g": 5.0}), 50)], title="Low-fat bites")
    assert len(problems(small)) == 1
    assert not problems(small, "us")


def test_a_law_without_recorded_claims_judges_no_words() -> None:
    assert not problems(one_food(RICH, title="Low-fat lasagne"), "za")


@pytest.mark.parametrize(
    ("language", "title"),
    [
        ("de", "Fettarme Lasagne"),
        ("de-AT", "Proteinreiche Schüssel"),
        ("de", "High Protein Bowl"),
        ("de", "Low Carb Blech"),
        ("af", "Suikervrye vla"),
        ("af", "Hoë proteïen bak"),
        ("fr", "Low-fat lasagne"),
    ],
)
def test_other_languages_beside_english(language: str, title: str) -> None:
    assert len(problems(one_food(RICH, title=title), language=language)) == 1


@pytest.mark.parametrize("language", sorted(wordbooks()))
def test_every_wording_makes_a_claim_that_some_law_knows(language: str) -> None:
    known = {name for rule_set in rulesets.available() for name in rulesets.load(rule_set).claim_names}
    for word in wordbooks()[language].words:
        assert folded(word.claim) in known, word


@pytest.mark.parametrize("language", sorted(wordbooks()))
def test_the_quick_look_lets_every_wording_through(language: str) -> None:
    """A text is searched only when it holds certain words: every alternative of every pattern must hold them."""

    book = wordbooks()[language]
    for word in book.words:
        for alternative in _alternatives(word.pattern.pattern):
            assert word.pattern.search(alternative) or "light" in alternative, (word, alternative)
            assert book.may_claim(alternative.lower(), titles=word.titles), (word.claim, alternative)


def _alternatives(pattern: str) -> list[str]:
    """Texts that a wording's pattern matches, one for every branch: enough for the plain patterns of the word files."""
    import re
    from re import _constants as constants  # type: ignore[attr-defined]
    from re import _parser as parser  # type: ignore[attr-defined]

    def texts(items: object) -> list[str]:
        found = [""]
        for kind, value in items:  # type: ignore[attr-defined]
            if kind is constants.LITERAL:
                options = [chr(value)]
            elif kind is constants.IN:
                options = [chr(v) for k, v in value if k is constants.LITERAL][:1]
            elif kind is constants.SUBPATTERN:
                options = texts(value[3])
            elif kind is constants.BRANCH:
                options = [text for branch in value[1] for text in texts(branch)]
            elif kind is constants.MAX_REPEAT:
                options = ([""] if value[0] == 0 else []) + texts(value[2])
            else:
                options = [""]
            found = [text + option for text in found for option in options]
        return found

    return [text for text in texts(parser.parse(pattern, re.IGNORECASE)) if text]
