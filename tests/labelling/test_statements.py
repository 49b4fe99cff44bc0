"""What foods of a hub say that cannot be: located, with a way out."""

from __future__ import annotations

import pytest
from tests.labelling.allergen_make import SETTINGS, TODAY, food, said

from gramwright.labelling import allergen_rules, statements
from gramwright.labelling.kinds import kinds_table
from gramwright.model import Food, Quality
from gramwright.problems import Place, Problem, ProblemLog, Severity


def problems_of(one: Food, rules: str = "eu") -> list[Problem]:
    log = ProblemLog()
    statements.check([one], rules, SETTINGS, TODAY, log)
    assert all(problem.place == one.place and problem.hint for problem in log)
    return list(log)


def test_a_sound_food_has_no_problem() -> None:
    assert problems_of(food("tofu", said(["soybeans"], ["sesame"]))) == []
    assert problems_of(food("bar", said(["milk"]), quality=Quality.DECLARED, updated="2026-11-25")) == []
    assert problems_of(food("herring", said(["fish"]), kinds=["fish"])) == []


@pytest.mark.parametrize(
    ("updated", "severity", "code"),
    [
        ("2026-11-26", Severity.ERROR, "pack-from-the-future"),
        ("Nov 2026", Severity.ERROR, "pack-date"),
        ("", Severity.WARNING, "pack-without-date"),
        ("2025-11-24", Severity.WARNING, "pack-too-old"),
    ],
)
def test_the_days_of_packs(updated: str, severity: Severity, code: str) -> None:
    (problem,) = problems_of(food("bar", said(["milk"]), quality=Quality.DECLARED, updated=updated, line=9))
    assert (problem.severity, problem.code) == (severity, code)
    assert problem.place == Place("foods/own.csv", 9)
    assert "bar" in problem.message
    assert problems_of(food("bar", said(["milk"]), updated=updated)) == []


def test_exceptions_that_do_not_exist_or_contradict() -> None:
    (unknown,) = problems_of(food("oil", said(exceptions=["soybean-oil-refind"])))
    assert (unknown.code, unknown.severity) == ("unknown-exception", Severity.ERROR)
    assert "soybean-oil-refined" in unknown.hint
    (far,) = problems_of(food("oil", said(exceptions=["xyzzy"])))
    assert "lactitol" in far.hint
    for statement in (said(["soybeans"], exceptions=["soybean-oil-refined"]),
                      said([], ["soybeans"], exceptions=["soybean-oil-refined"])):  # fmt: skip
        (both,) = problems_of(food("oil", statement))
        assert (both.code, both.severity) == ("contradictory-allergens", Severity.ERROR)
        assert "soybeans" in both.message


def test_an_exception_of_another_law() -> None:
    peanut = food("oil", said(exceptions=["peanut-oil-highly-refined"]))
    assert problems_of(peanut, "us") == []
    (problem,) = problems_of(peanut, "eu")
    assert (problem.code, problem.severity) == ("exception-elsewhere", Severity.WARNING)


def test_kinds_that_do_not_exist_or_whose_allergen_is_missing() -> None:
    (unknown,) = problems_of(food(kinds=["plnt"]))
    assert (unknown.code, unknown.severity) == ("unknown-kind", Severity.ERROR)
    assert "plant" in unknown.hint
    (silent,) = problems_of(food("herring", said(), kinds=["fish"]))
    assert (silent.code, silent.severity) == ("kind-without-allergen", Severity.WARNING)
    (far,) = problems_of(food(kinds=["xyzzy"]))
    assert "known are: plant" in far.hint
    assert problems_of(food("herring", said(checked=False), kinds=["fish"])) == []
    odd = problems_of(food("herring", said(exceptions=["xyzzy"]), kinds=["fish"]))
    assert [problem.code for problem in odd] == ["unknown-exception", "kind-without-allergen"]
    assert problems_of(food("lactitol", said(exceptions=["lactitol"]), kinds=["milk"])) == []


def test_words_that_are_not_specific_or_not_listed() -> None:
    (vague,) = problems_of(food("bar", said(["nuts"])))
    assert (vague.code, vague.severity) == ("allergen-not-named", Severity.WARNING)
    assert "almond" in vague.hint
    (perhaps,) = problems_of(food("bar", said([], ["gluten"])))
    assert perhaps.code == "allergen-not-named"
    (elsewhere,) = problems_of(food("soup", said(["celery"])), "us")
    assert (elsewhere.code, elsewhere.severity) == ("allergen-not-listed", Severity.WARNING)
    assert problems_of(food("soup", said(["celery"])), "eu") == []
    assert problems_of(food("coconut", said(["coconut"]))) == []


def test_all_problems_of_a_food_in_one_go() -> None:
    bad = food("mess", said(["nuts"], exceptions=["xyzzy"]), kinds=["moonbeam"], quality=Quality.DECLARED, updated="x")
    assert [each.code for each in problems_of(bad)] == [
        "pack-date", "unknown-exception", "unknown-kind", "allergen-not-named",
    ]  # fmt: skip


def test_several_names_are_told_apart() -> None:
    (far,) = problems_of(food("oil", said(exceptions=["xyzzy"])))
    known = far.hint.removeprefix("known are: ").split(", ")
    assert known == list(allergen_rules.exceptions())
    (kind,) = problems_of(food(kinds=["xyzzy"]))
    assert kind.hint.removeprefix("known are: ").split(", ") == list(kinds_table().answers)
    two = sorted(allergen_rules.exceptions()["cereal-distillate"].allergens)[:2]
    (both,) = problems_of(food("spirit", said(two, exceptions=["cereal-distillate"])))
    assert f"names {two[0]} and {two[1]} and the exception" in both.message
