"""Cautions that only an optional row or a swap brings: said beforehand, apart from those of the recipe as written."""

from __future__ import annotations

from dataclasses import replace

from tests.labelling.allergen_make import SETTINGS, dish_of, food, page_of, row_of

from gramwright.labelling.choice_cautions import ChoiceCaution, by_choice
from gramwright.model import Dish, Figure

HONEY = food("honey", kinds=["honey"], state="ready")
MEAD = food("mead", kinds=["alcohol", "honey"], state="ready", values={"ALC_g": 10.0})
TURNIP = food("turnip")


def said(dish: Dish, rules: str = "eu", **per_portion: float) -> dict[str, ChoiceCaution]:
    figures = {tag: Figure(amount, amount, amount, 1.0) for tag, amount in per_portion.items()}
    return {each.caution.id: each for each in by_choice(dish, figures, {}, rules, SETTINGS)}


def test_nothing_to_choose_brings_nothing() -> None:
    assert by_choice(dish_of(row_of(HONEY)), {}, {}, "eu", SETTINGS) == ()
    assert said(dish_of(row_of(TURNIP, swaps=[row_of(food("swede"))]))) == {}


def test_honey_that_is_optional_is_honey_all_the_same() -> None:
    found = said(dish_of(row_of(TURNIP), row_of(HONEY, optional=True)))
    assert list(found) == ["honey-infants"]
    assert found["honey-infants"].names == ("honey",)
    assert "under one year" in found["honey-infants"].caution.text


def test_a_swap_brings_its_own() -> None:
    liver = food("ox liver, raw", kinds=["meat"])
    found = said(dish_of(row_of(TURNIP, swaps=[row_of(HONEY), row_of(liver)])))
    assert {name: each.names for name, each in found.items()} == {
        "honey-infants": ("honey",),
        "raw-mince": ("ox liver, raw",),
        "liver-pregnancy": ("ox liver, raw",),
    }


def test_the_swaps_of_an_optional_row_count_too() -> None:
    topping = row_of(TURNIP, optional=True, swaps=[row_of(HONEY)])
    assert said(dish_of(row_of(food("swede")), topping))["honey-infants"].names == ("honey",)


def test_what_the_recipe_has_as_written_is_not_said_again() -> None:
    assert said(dish_of(row_of(HONEY), row_of(TURNIP, swaps=[row_of(food("wild honey", kinds=["honey"]))]))) == {}


def test_several_choices_with_one_caution_are_named_together_and_once() -> None:
    rows = [row_of(TURNIP, swaps=[row_of(HONEY)]), row_of(HONEY, optional=True), row_of(MEAD, optional=True)]
    assert said(dish_of(*rows))["honey-infants"].names == ("honey", "mead")


def test_a_sub_recipe_that_is_optional_brings_what_is_in_it() -> None:
    dressing = dish_of(row_of(HONEY), title="Dressing")
    assert said(dish_of(row_of(TURNIP), row_of(dressing, optional=True)))["honey-infants"].names == ("Dressing",)


def test_amounts_are_added_to_those_as_written() -> None:
    """EFSA's 20 mg caffeine a portion is passed only with both; a portion is a quarter of the batch."""
    tea = food("strong tea", group="coffee-and-tea", state="ready", values={"CAFFN_mg": 40.0})
    dish = dish_of(row_of(TURNIP), row_of(tea, grams=100.0, optional=True))
    assert "caffeine" not in said(dish, CAFFN_mg=9.9)
    found = said(dish, CAFFN_mg=10.1)["caffeine"]
    assert "about 20.1 mg" in found.caution.text
    assert "caffeine" not in said(dish)


def test_amounts_in_100_g_are_of_the_batch_with_it() -> None:
    """More than a tenth polyols (Regulation (EU) No 1169/2011, Annex III, 2.4): 11.2 g in 111.2 g, not 11 in 111."""
    xylitol = food("xylitol", state="ready", values={"POLYL_g": 100.0})
    for grams, wanted in ((11.0, False), (11.2, True)):
        dish = dish_of(row_of(TURNIP, grams=100.0), row_of(xylitol, grams=grams, optional=True))
        assert ("polyols" in said(dish)) is wanted, grams
    more = dish_of(row_of(TURNIP, grams=100.0), row_of(xylitol, grams=8.0, optional=True))
    assert "polyols" not in said(more)
    hundred = {"POLYL_g": Figure(3.0, 3.0, 3.0, 1.0)}
    assert [each.caution.id for each in by_choice(more, {}, hundred, "eu", SETTINGS)] == ["polyols"]


def test_alcohol_of_a_dish_that_is_used_is_shared_out_by_weight() -> None:
    punch = replace(dish_of(row_of(MEAD), title="Punch"), totals={"ALC_g": Figure(10.0, 10.0, 10.0, 1.0)})
    dish = dish_of(row_of(TURNIP), row_of(punch, grams=50.0, optional=True))
    assert "1.2" in said(dish)["alcohol"].caution.text or "1.3" in said(dish)["alcohol"].caution.text


def test_silenced_as_written_is_not_silenced_for_a_choice() -> None:
    page = page_of(silenced=[("honey-infants", "Nobody under one eats here.")])
    found = said(dish_of(row_of(TURNIP), row_of(HONEY, optional=True), page=page))
    assert found["honey-infants"].caution.silenced == ""


def test_the_rule_set_decides_what_is_said() -> None:
    egg = food("egg, whole, raw", kinds=["egg"], state="raw")
    dish = dish_of(row_of(TURNIP), row_of(egg, optional=True))
    assert "71 °C" in said(dish, "us")["raw-egg"].caution.text
    assert "71 °C" not in said(dish, "eu")["raw-egg"].caution.text


def test_the_author_s_own_cautions_are_not_repeated() -> None:
    page = page_of(cautions=["Mind the tide.", "freezing"])
    settings = replace(SETTINGS, cautions=("From our kitchen.",))
    dish = dish_of(row_of(TURNIP), row_of(HONEY, optional=True), page=page)
    assert [each.caution.id for each in by_choice(dish, {}, {}, "eu", settings)] == ["honey-infants"]
