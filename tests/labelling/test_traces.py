"""Traces that a pack warns of: recorded of bought products only, and so said where none of them may be read as none."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.labelling.label_make import dish, food, inner_row, label_of, row
from tests.site import sample
from tests.site.site_make import plain_site

from gramwright.labelling.counted import counted_foods
from gramwright.labelling.traces import not_recorded, recorded
from gramwright.model import AllergenStatement, Food, Quality
from gramwright.site import words
from gramwright.site.facts import facts

FLOUR = food("flour", {"PROCNT_g": 10.0}, contains=("wheat",))
NUTS = food("ground nuts", {"PROCNT_g": 20.0}, contains=("hazelnuts",))
BAR = food("bought bar", {"PROCNT_g": 20.0}, quality=Quality.DECLARED, contains=("milk",))


@pytest.mark.parametrize("quality", [Quality.TABLE, Quality.ANALYSED, Quality.ESTIMATED])
def test_a_table_knows_no_pack(quality: Quality) -> None:
    assert not recorded(replace(FLOUR, quality=quality))


def test_a_pack_counts_once_its_whole_list_was_read() -> None:
    assert recorded(BAR)
    assert not recorded(replace(BAR, allergens=AllergenStatement(checked=False, contains=frozenset({"milk"}))))


def test_what_a_table_names_is_not_all_that_a_pack_may_warn_of() -> None:
    oats = AllergenStatement(checked=True, contains=frozenset({"oats"}), may_contain=frozenset({"wheat"}))
    assert not recorded(replace(FLOUR, allergens=oats))


def test_every_counted_food_is_named_once_at_any_depth() -> None:
    inner = dish([row(NUTS, 10), row(FLOUR, 10), row(food("seeds", {}), 5, optional=True)])
    outer = dish([row(FLOUR, 100), row(BAR, 30), inner_row(inner, 20)])
    assert not_recorded(outer.ingredients) == ("flour", "ground-nuts")
    label, _ = label_of(outer)
    assert facts(outer, label)["allergens"]["traces_not_recorded"] == ["flour", "ground-nuts"]


def test_a_recipe_that_is_used_again_and_again_is_opened_once() -> None:
    """Else the time doubles with every level."""
    made = dish([row(NUTS, 10), row(FLOUR, 10)])
    for _ in range(12):
        made = dish([inner_row(made, 10), inner_row(made, 10)])
    assert [one.id for one, _ in counted_foods(made.ingredients)] == ["ground-nuts", "flour"]


# ---------------------------------------------------------------- where a reader sees it

SAID = {
    "en": "Traces that a pack warns of are recorded of bought products only",
    "de": "Spuren, vor denen eine Packung warnt, sind nur für gekaufte Produkte erfasst",
    "af": "Spore waarteen ’n pakkie waarsku, is net van gekoopte produkte aangeteken",
}


@pytest.mark.parametrize("language", SAID)
def test_below_the_allergens_and_beside_leaving_out(language: str) -> None:
    said = words.load(language, None)
    assert SAID[language] in said("allergens.never")
    assert SAID[language] in said("find.without_hint")


def test_a_recipe_says_it_once_and_a_food_page_says_what_was_checked() -> None:
    site = plain_site()
    page = site[f"recipes/{sample.dish().page.slug}/index.html"].decode()
    assert page.count(SAID["en"]) == 1
    foods: dict[str, Food] = {item.food.id: item.food for item in sample.dish().ingredients if item.food is not None}
    text = words.load("en", None)("food.as_such")
    said = {name for name in foods if text in site[f"foods/{name}/index.html"].decode()}
    assert said == {name for name, item in foods.items() if item.allergens.checked and not recorded(item)}
    assert said
    assert said != set(foods)
