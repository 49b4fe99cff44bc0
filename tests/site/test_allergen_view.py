"""Allergens as a page shows them: the section's lines, and the marks of rows that count and of rows that do not."""

from __future__ import annotations

from collections.abc import Sequence

from tests.labelling.allergen_make import SETTINGS, TODAY, dish_of, food, row_of, said

from gramwright.labelling import allergen_rules, allergens
from gramwright.model import AllergenFindings, Ingredient, Quality
from gramwright.site import allergen_view, words
from gramwright.site.allergen_view import NOTHING, AllergenLine, Marker, RowMarks

ENGLISH = words.load("en", None)
FETA = food("feta", said(["milk"], ["sesame"]))
BUTTER = food("butter", said(["milk"]))
MYSTERY = food("mystery", said(checked=False))
GENERIC = food("nut bar", said(["nuts"]))


def found(rows: Sequence[Ingredient], rules: str = "eu") -> AllergenFindings:
    return allergens.findings(rows, rules, SETTINGS, TODAY)


def marker(rows: Sequence[Ingredient], rules: str = "eu") -> Marker:
    names = allergen_rules.load(rules).names("en")
    return Marker(found(rows, rules), allergen_view.law(rules, SETTINGS, TODAY), names)


def test_each_state_by_the_law_s_name_with_the_foods_that_bring_it() -> None:
    view = allergen_view.view(found([row_of(FETA), row_of(BUTTER), row_of(food("egg", said(["eggs"])))]), ENGLISH)
    assert view.contains == (AllergenLine("eggs", "egg"), AllergenLine("milk", "feta, butter"))
    assert view.may_contain == (AllergenLine("sesame seeds", "feta"),)
    assert (view.unknown, view.unknown_foods, view.excepted) == ((), "", ())


def test_what_is_not_known_is_named_with_the_foods_that_leave_it_so() -> None:
    other = food("another mystery", said(["fish"], checked=False))
    view = allergen_view.view(found([row_of(MYSTERY), row_of(other), row_of(FETA)]), ENGLISH)
    assert len(view.unknown) == 26 - len(("fish", "milk")), "sesame may be in it and is not known besides"
    assert "sesame seeds" in view.unknown
    assert view.unknown_foods == "mystery, another mystery"
    assert [line.word for line in view.contains] == ["fish", "milk"]


def test_the_same_food_in_two_rows_is_named_once() -> None:
    view = allergen_view.view(found([row_of(FETA), row_of(FETA, line=11)]), ENGLISH)
    assert view.contains == (AllergenLine("milk", "feta"),)


def test_an_exception_that_is_used_is_said_with_its_section() -> None:
    """Regulation (EU) No 1169/2011, Annex II, 6(a)."""
    oil = food("soybean oil", said(exceptions=["soybean-oil-refined"]))
    (text,) = allergen_view.view(found([row_of(oil)]), ENGLISH).excepted
    assert text.startswith("soybean oil: Fully refined soybean oil or fat.")
    assert text.endswith("(Regulation (EU) No 1169/2011, Annex II, 6(a))")


def test_a_row_that_counts_is_marked_by_what_its_own_food_says() -> None:
    egg = food("egg", said(["eggs"]))
    bar = food("bar", said([], ["lupin"]))
    rows = [row_of(FETA), row_of(egg), row_of(food("turnip")), row_of(MYSTERY), row_of(bar)]
    marks = [marker(rows).counted(row) for row in rows]
    assert marks[0] == RowMarks(("milk",), ("sesame seeds",), unknown=False)
    assert marks[1] == RowMarks(("eggs",), (), unknown=False)
    assert marks[2] is NOTHING
    assert marks[3] == RowMarks((), (), unknown=True)
    assert marks[4] == RowMarks((), ("lupin",), unknown=False)


def test_a_row_s_allergens_are_in_the_law_s_order() -> None:
    pie = food("pie", said(["milk", "wheat", "celery", "eggs"]))
    assert marker([row_of(pie)]).counted(row_of(pie)).contains == ("wheat", "eggs", "milk", "celery")
    assert marker([]).left_out(row_of(pie)).contains == ("wheat", "eggs", "milk", "celery")


def test_a_recipe_s_row_is_marked_by_all_that_counts_in_it() -> None:
    deep = dish_of(row_of(FETA), row_of(MYSTERY), title="Deep")
    bake = dish_of(
        row_of(deep), row_of(food("egg", said(["eggs"]))), row_of(food("prawn", said(["crustaceans"])), optional=True)
    )
    row = row_of(bake)
    marks = marker([row]).counted(row)
    assert marks == RowMarks(("eggs", "milk"), ("sesame seeds",), unknown=True)


def test_what_a_recipe_s_row_contains_is_not_said_to_be_possible_as_well() -> None:
    """Under the law's states one food's 'may contain' gives way to another's 'contains'."""
    bake = dish_of(row_of(FETA), row_of(food("tahini", said(["sesame"]))))
    row = row_of(bake)
    assert marker([row]).counted(row) == RowMarks(("milk", "sesame seeds"), (), unknown=False)


def test_an_optional_row_and_a_swap_are_marked_by_what_they_would_bring() -> None:
    rows = [row_of(food("turnip"))]
    left_out = marker(rows).left_out
    assert left_out(row_of(FETA, optional=True)) == RowMarks(("milk",), ("sesame seeds",), unknown=False)
    assert left_out(row_of(food("swede"), optional=True)) == NOTHING
    assert left_out(row_of(MYSTERY)).unknown
    old = food("bar", said(["milk"]), quality=Quality.DECLARED, updated="2020-01-01")
    assert left_out(row_of(old)) == RowMarks(("milk",), (), unknown=True)


def test_nuts_without_saying_which_have_the_law_s_words_in_a_row_that_is_left_out_too() -> None:
    """Regulation (EU) No 1169/2011, Annex II, 8, lists each nut by name: 'nuts' alone is not one of its names."""
    generic = "nuts (which ones is not known)"
    counted, optional = row_of(GENERIC), row_of(GENERIC, optional=True)
    assert marker([counted]).counted(counted) == RowMarks((generic,), (), unknown=True)
    assert marker([row_of(food("turnip"))]).left_out(optional) == RowMarks((generic,), (), unknown=True)
    assert marker([row_of(FETA)]).left_out(row_of(food("loaf", said(["gluten"])))).contains == (
        "a cereal containing gluten (which one is not known)",
    )
    both = food("nut and milk bar", said(["nuts", "milk", "almond"]))
    assert marker([]).left_out(row_of(both)).contains == ("milk", "almonds", generic)
