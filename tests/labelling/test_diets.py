"""Diets by kind, with not known as an answer of its own; and what an author declares."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.labelling.allergen_make import SETTINGS, TODAY, dish_of, food, page_of, row_of, said

from gramwright.labelling import allergens, diets
from gramwright.labelling.kinds import DIETS, kinds_table
from gramwright.labelling.shipped_data import read_yaml
from gramwright.model import Food, Ingredient, Quality
from gramwright.problems import Place, Problem, ProblemLog, Severity
from gramwright.reading import vocabulary


def suits(*foods: Food) -> dict[str, bool | None]:
    return diets.suits([row_of(each) for each in foods])


@pytest.mark.parametrize(
    ("kinds", "answers"),
    [
        (["plant"], (True, True, True, True)),
        (["fungus", "alga", "yeast", "mineral", "water", "bacteria"], (True, True, True, True)),
        (["milk"], (True, False, True, True)),
        (["egg"], (True, False, True, True)),
        (["honey"], (True, False, True, True)),
        (["milk", "rennet"], (None, False, None, True)),
        (["milk", "animal rennet"], (False, False, True, True)),
        (["beef"], (False, False, True, True)),
        (["pork"], (False, False, False, True)),
        (["pork", "beef"], (False, False, False, True)),
        (["meat"], (False, False, None, True)),
        (["gelatine"], (False, False, None, True)),
        (["fish"], (False, False, True, True)),
        (["mollusc"], (False, False, True, True)),
        (["plant", "alcohol"], (True, True, True, False)),
        (["wine or beer"], (None, None, True, False)),
        ([], (None, None, None, None)),
        (["no such kind"], (None, None, None, None)),
        (["pork", "no such kind"], (False, False, False, None)),
    ],
)
def test_one_food_by_its_kinds(kinds: list[str], answers: tuple[bool | None, ...]) -> None:
    """Common usage; no law here defines vegetarian or vegan."""
    assert tuple(suits(food(kinds=kinds)).values()) == answers


def test_the_diets_are_these() -> None:
    assert tuple(suits(food())) == DIETS == ("vegetarian", "vegan", "no pork", "no alcohol")


def test_one_no_decides_and_one_unknown_prevents_a_yes() -> None:
    turnip, feta, mystery, ham = food(), food("feta", kinds=["milk"]), food("sauce", kinds=[]), food(kinds=["pork"])
    assert suits(turnip, feta)["vegetarian"] is True
    assert suits(turnip, feta)["vegan"] is False
    assert suits(turnip, mystery)["vegetarian"] is None
    assert suits(mystery, ham, turnip)["vegetarian"] is False
    assert suits(mystery, feta)["vegan"] is False


def test_a_recipe_without_counted_food_is_not_known() -> None:
    assert set(diets.suits([]).values()) == {None}
    assert set(diets.suits([row_of(food(), optional=True)]).values()) == {None}


def test_optional_rows_do_not_count_and_sub_recipes_do() -> None:
    ham = food("ham", kinds=["pork"])
    inside = dish_of(row_of(food()), row_of(ham), row_of(food("rum", kinds=["alcohol"]), optional=True))
    assert diets.suits([row_of(food()), row_of(ham, optional=True)])["no pork"] is True
    answers = diets.suits([row_of(dish_of(row_of(inside)))])
    assert answers["no pork"] is False
    assert answers["no alcohol"] is True


def test_alcohol_in_the_figures_counts_whatever_the_kind_says() -> None:
    assert suits(food("trifle", values={"ALC_g": 0.6}))["no alcohol"] is False
    assert suits(food("bread", values={"ALC_g": 0.5}))["no alcohol"] is True
    assert suits(food("drops", kinds=[], values={"ALC_g": 30.0}))["no alcohol"] is False
    assert suits(food("trifle", values={"ALC_g": 0.6}))["vegan"] is True


def test_because_names_the_foods_that_decide() -> None:
    ham, mystery = food("ham", kinds=["pork"], line=3), food("sauce", kinds=[], line=4)
    because = diets.because([row_of(food(), line=10), row_of(ham, line=11), row_of(mystery, line=12)])
    assert [(why.food, why.place, why.row) for why in because["vegan"]] == [
        ("ham", Place("foods/own.csv", 3), Place("recipes/test.md", 11))
    ]
    assert [why.food for why in because["no alcohol"]] == ["sauce"]
    assert because["no alcohol"][0].source == "invented, no. 4"
    assert diets.because([row_of(food())]) == dict.fromkeys(DIETS, ())
    assert list(because) == list(DIETS)


KINDS = st.lists(st.sampled_from([*kinds_table().answers, "no such kind"]), max_size=3)


@given(st.lists(KINDS, min_size=1, max_size=6), KINDS)
@settings(max_examples=100, deadline=None)
def test_adding_a_food_never_makes_a_diet_fit(some: list[list[str]], more: list[str]) -> None:
    rank = {True: 2, None: 1, False: 0}
    before = suits(*(food(kinds=each) for each in some))
    after = suits(*(food(kinds=each) for each in some), food(kinds=more))
    for diet in DIETS:
        assert rank[after[diet]] <= rank[before[diet]]


def test_vegan_food_is_vegetarian_by_the_table() -> None:
    """Whatever fits a vegan fits a vegetarian; pork never fits either (common usage)."""
    for kind, (vegetarian, vegan, no_pork, _) in kinds_table().answers.items():
        assert not (vegan is True and vegetarian is not True), kind
        assert not (vegetarian is False and vegan is not False), kind
        assert not (no_pork is False and vegetarian is not False), kind


def test_the_table_and_the_readers_vocabulary_have_the_same_kinds() -> None:
    words = vocabulary.load()
    assert set(kinds_table().answers) == set(words.kinds)
    assert {each for each in kinds_table().allergen.values() if each} <= set(words.allergens)


# ---------------------------------------------------------------- declared


def declared(*rows: Ingredient, rules: str = "eu", **statements: str) -> list[Problem]:
    page = page_of(declared=[(name.replace("_", "-"), reason) for name, reason in statements.items()])
    log = ProblemLog()
    found = allergens.findings(rows, rules, SETTINGS, TODAY)
    diets.declared_problems(page, found, log, rows)
    return list(log)


REASON = "checked by the house"


def test_gluten_free_is_refused_where_a_gluten_cereal_is_contained() -> None:
    (problem,) = declared(row_of(food("loaf", said(["barley"]))), gluten_free=REASON)
    assert (problem.severity, problem.code) == (Severity.ERROR, "declared-contradicted")
    assert problem.place == Place("recipes/test.md", 12)
    assert "gluten cereals" in problem.message
    assert problem.hint


def test_gluten_free_is_refused_for_cereals_that_the_rule_set_does_not_list() -> None:
    """21 U.S.C. 321(qq) lists only wheat, but rye has gluten."""
    (problem,) = declared(row_of(food("loaf", said(["rye"]))), rules="us", gluten_free=REASON)
    assert problem.code == "declared-contradicted"


@pytest.mark.parametrize("statement", [said(checked=False), said([], ["oats"]), said([], ["gluten"])])
def test_gluten_free_is_doubted_where_gluten_may_be_contained_or_is_not_known(statement: object) -> None:
    assert isinstance(statement, type(said()))
    (problem,) = declared(row_of(food("sauce", statement)), gluten_free=REASON)
    assert (problem.severity, problem.code) == (Severity.WARNING, "declared-uncertain")


def test_a_declaration_that_nothing_contradicts_stands() -> None:
    assert declared(row_of(food()), gluten_free=REASON, halal=REASON, kosher=REASON, diabetic=REASON) == []


@pytest.mark.parametrize(
    ("name", "kinds", "code"),
    [
        ("halal", ["pork"], "declared-contradicted"),
        ("halal", ["plant", "alcohol"], "declared-contradicted"),
        ("halal", ["gelatine"], "declared-uncertain"),
        ("halal", [], "declared-uncertain"),
        ("kosher", ["pork"], "declared-contradicted"),
        ("kosher", ["mollusc"], "declared-contradicted"),
        ("kosher", ["crustacean"], "declared-contradicted"),
    ],
)
def test_halal_and_kosher_against_the_kinds(name: str, kinds: list[str], code: str) -> None:
    problems = declared(row_of(food("thing", kinds=kinds)), **{name: REASON})
    assert [problem.code for problem in problems] == [code]


def test_a_declaration_needs_a_reason_and_a_known_name() -> None:
    missing, unknown = declared(row_of(food()), halal=" ", halall=REASON)
    assert (missing.code, missing.place.line) == ("declared-without-reason", 12)
    assert (unknown.code, unknown.place.line) == ("unknown-declaration", 13)
    assert "halal" in unknown.hint
    (free,) = declared(row_of(food()), xyzzy=REASON)
    assert "computed" in free.hint


def test_without_ingredients_only_the_findings_count() -> None:
    log = ProblemLog()
    found = allergens.findings([row_of(food(kinds=["pork"]))], "eu", SETTINGS, TODAY)
    diets.declared_problems(page_of(declared=[("halal", REASON)]), found, log)
    assert list(log) == []


def test_a_bought_products_age_does_not_change_its_kinds() -> None:
    old = food(quality=Quality.DECLARED, updated="1999-01-01")
    assert suits(old)["vegan"] is True


def test_the_declared_table_names_what_exists() -> None:
    for rule in read_yaml("allergens/declared.yaml")["declared"].values():
        assert set(rule.get("fits", ())) <= set(DIETS)
        assert set(rule.get("without_kinds", ())) <= set(kinds_table().answers)
        assert set(rule.get("without_groups", ())) <= set(allergens.GROUPS)


def test_recipes_that_use_each_other_twice_are_opened_once() -> None:
    """Forty recipes, each with the one before it in two rows: opened anew in every row they would never end."""
    dish = dish_of(row_of(food(kinds=["milk"])))
    for _ in range(40):
        dish = dish_of(row_of(dish), row_of(dish))
    assert diets.suits([row_of(dish)])["vegan"] is False
    assert len(diets.because([row_of(dish)])["vegan"]) == 1
