"""What is said beside a claim that holds: the law's companion."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.labelling.claims_make import BASE, claim
from tests.labelling.label_make import dish, food, label_of, page, row

from gramwright.labelling import rulesets
from gramwright.labelling.sentences import available
from gramwright.model import Dish
from gramwright.problems import Severity
from gramwright.site.facts import facts

# ---------------------------------------------------------------- the companion

# Regulation (EC) No 1924/2006, Annex, "with no added sugars": "If sugars are naturally present in the food, the
# following indication should also appear on the label".
NATURAL = "contains naturally occurring sugars"


def sweet(sugars: float | None = 4.0, **changes: object) -> Dish:
    """Plain oats with so much sugar of their own, and oil without any; None: not known, but none added."""
    values = {**BASE, "SUGAR_g": sugars} if sugars is not None else {**BASE, "SUGAD_g": 0.0}
    if sugars is None:
        del values["SUGAR_g"]
    oil = food("rapeseed oil", {**BASE, "SUGAR_g": 0.0}, group="fats-and-oils")
    return dish([row(food("oats", values), 100), row(oil, 5)], **changes)


@pytest.mark.parametrize("rule_set", ["eu", "uk"])
def test_no_added_sugars_goes_with_the_sugars_of_the_food_itself(rule_set: str) -> None:
    assert claim(sweet(), "no added sugars", rule_set).companion == NATURAL
    assert claim(sweet(0.01), "no added sugars", rule_set).companion == NATURAL
    assert claim(sweet(0.0), "no added sugars", rule_set).companion == ""


def test_sugars_that_are_not_known_are_not_none() -> None:
    found = claim(sweet(None), "no added sugars")
    assert (found.holds, found.companion) == (True, NATURAL)


def test_a_claim_that_does_not_hold_has_no_companion() -> None:
    sugar = food("white sugar", {"SUGAR_g": 100.0}, group="sugars-and-syrups")
    found = claim(dish([row(sugar, 5)]), "no added sugars")
    assert (found.holds, found.companion) == (False, "")


def test_the_companion_is_said_in_every_language() -> None:
    said = {language: rulesets.load("eu", language).claims["no added sugars"].companion for language in available()}
    texts = {language: companion.text for language, companion in said.items() if companion is not None}
    assert texts["en"] == NATURAL
    assert len(set(texts.values())) == len(available()) == 3
    # The German version of the Annex.
    assert texts["de"] == "enthält von Natur aus Zucker"


def test_facts_carry_the_companion_beside_its_claim() -> None:
    found = sweet(claims=("no added sugars", "source of protein"))
    claims = facts(found, label_of(found)[0])["claims"]
    assert claims["no added sugars"]["companion"] == NATURAL
    assert all("companion" not in said for name, said in claims.items() if name != "no added sugars")


def test_a_page_that_asks_for_the_claim_is_told_of_the_companion() -> None:
    _, log = label_of(sweet(claims=("no added sugars",)))
    (problem,) = log.sorted()
    assert (problem.severity, problem.code, problem.place.line) == (Severity.WARNING, "claim-companion", 5)
    assert f"'{NATURAL}'" in problem.message
    assert "1924/2006" in problem.message


def test_wording_that_amounts_to_the_claim_is_told_too_and_once() -> None:
    _, log = label_of(sweet(title="Bars without added sugar", summary="No added sugar in them."))
    (problem,) = log.sorted()
    assert (problem.code, problem.place.line) == ("claim-companion", 2)


@pytest.mark.parametrize(
    ("where", "text"),
    [
        ("summary", "No added sugar; contains naturally occurring sugars."),
        ("intro", "It Contains Naturally Occurring Sugars, from the oats."),
    ],
)
def test_a_page_that_says_it_is_not_told(where: str, text: str) -> None:
    _, log = label_of(
        replace(sweet(claims=("no added sugars",)), page=page(claims=("no added sugars",), **{where: text}))
    )
    assert not log.sorted()


def test_a_page_in_another_language_says_it_in_its_own() -> None:
    german = rulesets.load("eu", "de")
    _, log = label_of(sweet(claims=("no added sugars",), summary="Enthält von Natur aus Zucker."), german)
    assert not log.sorted()
    _, log = label_of(sweet(claims=("no added sugars",)), german)
    assert [problem.code for problem in log] == ["claim-companion"]
    assert NATURAL in log.sorted()[0].message, "problems speak English"


def test_no_sugars_no_warning() -> None:
    _, log = label_of(sweet(0.0, claims=("no added sugars",)))
    assert not log.sorted()
