"""Cards: what lists know of a recipe, and that nothing is lost on the way through the working state."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from tests.site import sample

from gramwright.model import AllergenFindings, Ingredient, Presence, Scale
from gramwright.site.cards import Card, card, from_json


def made() -> Card:
    dish = sample.dish()
    return card(dish, sample.label(dish))


def test_figures_are_the_labels() -> None:
    label = sample.label()
    one = made()
    assert one.energy_kcal == label.per_portion["ENERC_kcal"].amount
    assert one.salt_g == label.per_portion["SALT_g"].amount
    assert one.incomplete == ("sugars_g",)
    assert one.claims == ("high fibre", "source of protein")
    assert one.protein_per_100kcal == pytest.approx(100 * (one.protein_g or 0) / (one.energy_kcal or 1))


def test_a_card_survives_json() -> None:
    for one in sample.cards():
        assert from_json(json.loads(json.dumps(one.as_json()))) == one


def test_another_versions_card_is_refused() -> None:
    data = made().as_json()
    del data["uses"]
    with pytest.raises(KeyError):
        from_json(data)


def test_every_food_that_a_page_links_to_is_a_use() -> None:
    uses = {use.food: use for use in made().uses}
    assert set(uses) == {i.key for i in sample.ingredients()} | {"tofu-smoked"}
    assert uses["feta"].optional
    assert uses["tofu-smoked"].swap
    assert uses["olive-oil"].grams == pytest.approx(27.4 / 4)


def test_shares_of_energy_add_up() -> None:
    one = made()
    assert sum(use.kcal or 0.0 for use in one.uses if not use.optional) == pytest.approx(one.energy_kcal)


def test_a_recipe_as_an_ingredient_brings_its_foods() -> None:
    inner = sample.dish()
    row = sample.row("", "1", "portion", recipe="barley-squash-tray")
    grams = inner.basis_g / 4
    outer_row = Ingredient(row, None, inner, Scale.PORTIONS, "portion", grams, grams, grams, grams)
    outer = replace(
        inner, page=replace(inner.page, slug="outer", portions=1), ingredients=(outer_row,), row_totals=({},)
    )
    label = replace(sample.label(inner), row_energy_kcal=(500.0,))
    uses = card(outer, label).uses
    assert {use.through for use in uses} == {"barley-squash-tray"}
    assert sum(use.kcal or 0.0 for use in uses) == pytest.approx(500)
    assert "feta" not in {use.food for use in uses}, "the inner recipe's optional row is not in it"
    oil = next(use for use in uses if use.food == "olive-oil")
    assert oil.grams == pytest.approx(27.4 / 4)


def test_what_some_food_leaves_open_is_unknown_even_where_it_may_be_contained() -> None:
    label = sample.label()
    found = label.allergens
    open_too = AllergenFindings(found.states, found.words, found.because, unresolved=frozenset({"sesame", "milk"}))
    one = card(sample.dish(), replace(label, allergens=open_too))
    assert "sesame" in one.may_contain
    assert "sesame" in one.unknown
    assert "milk" not in one.unknown, "what is contained is no question"
    assert set(one.contains) == {name for name, state in found.states.items() if state is Presence.CONTAINS}
