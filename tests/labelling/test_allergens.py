"""What a recipe has of a law's allergens: states, depth, generic names, exceptions, packs, choices, reasons."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from tests.labelling.allergen_make import SETTINGS, TODAY, dish_of, food, page_of, row_of, said

from gramwright.labelling import allergen_rules, allergens
from gramwright.model import AllergenFindings, AllergenStatement, Food, Ingredient, Presence, Quality, Settings
from gramwright.problems import Place, Trouble

CONTAINS, MAY, UNKNOWN, NONE = Presence.CONTAINS, Presence.MAY_CONTAIN, Presence.UNKNOWN, Presence.NOT_RECORDED


def find(*ingredients: Ingredient, rules: str = "eu", settings: Settings = SETTINGS) -> AllergenFindings:
    return allergens.findings(ingredients, rules, settings, TODAY)


def states_of(one: Food, rules: str = "eu") -> dict[str, Presence]:
    return dict(find(row_of(one), rules=rules).states)


# ---------------------------------------------------------------- the three states


def test_a_statement_cannot_be_made_without_saying_whether_it_was_checked() -> None:
    with pytest.raises(TypeError):
        AllergenStatement()  # type: ignore[call-arg]
    with pytest.raises(ValueError, match="both contains and may contain: milk"):
        said(["milk"], ["milk"])


def test_a_checked_food_that_names_nothing_is_recorded_as_nothing() -> None:
    found = find(row_of(food("turnip")))
    assert set(found.states.values()) == {NONE}
    assert not found.because
    assert not found.unresolved
    assert set(found.groups.values()) == {NONE}


def test_what_a_food_contains_and_may_contain() -> None:
    found = find(row_of(food("cake", said(["eggs", "milk"], ["hazelnut"]))))
    assert found.listed(CONTAINS) == ("eggs", "milk")
    assert found.listed(MAY) == ("hazelnut",)
    assert found.listed(UNKNOWN) == ()
    assert found.groups == {"gluten cereals": NONE, "nuts": MAY}


def test_an_unchecked_food_leaves_all_it_does_not_name_not_known() -> None:
    found = find(row_of(food("stock cube", said(["celery"], ["milk"], checked=False))))
    assert found.states["celery"] is CONTAINS
    assert found.states["milk"] is MAY
    rest = set(found.states) - {"celery", "milk"}
    assert {found.states[each] for each in rest} == {UNKNOWN}
    assert found.unresolved == rest
    assert found.groups == {"gluten cereals": UNKNOWN, "nuts": UNKNOWN}


def test_the_stronger_state_holds_whatever_the_order() -> None:
    contains = row_of(food("butter", said(["milk"])))
    may = row_of(food("bar", said([], ["milk"])))
    unknown = row_of(food("sauce", said(checked=False)))
    none = row_of(food("turnip"))
    assert find(contains, may, unknown, none).states["milk"] is CONTAINS
    assert find(none, unknown, may, contains).states["milk"] is CONTAINS
    assert find(none, unknown, may).states["milk"] is MAY
    assert find(unknown, none).states["milk"] is UNKNOWN
    assert find(none).states["milk"] is NONE


def test_what_may_be_contained_and_is_left_not_known_elsewhere_stays_unresolved() -> None:
    may = row_of(food("bar", said([], ["milk"])))
    unknown = row_of(food("sauce", said(checked=False)))
    assert find(may).unresolved == frozenset()
    found = find(may, unknown)
    assert found.states["milk"] is MAY
    assert "milk" in found.unresolved


def test_optional_rows_do_not_count() -> None:
    found = find(row_of(food("turnip")), row_of(food("feta", said(["milk"])), optional=True))
    assert found.states["milk"] is NONE


def test_a_row_of_which_nothing_is_eaten_still_counts() -> None:
    assert (
        find(row_of(food("prawn shells", said(["crustaceans"]), kinds=["crustacean"]), 0.0)).states["crustaceans"]
        is CONTAINS
    )


# ---------------------------------------------------------------- sub-recipes


def test_sub_recipes_at_any_depth() -> None:
    pesto = dish_of(row_of(food("pine kernels", said(["pine nut"]))), row_of(food("hard cheese", said(["milk"]))))
    sauce = dish_of(row_of(pesto), row_of(food("spice mix", said(checked=False)), optional=True), title="Sauce")
    found = find(row_of(dish_of(row_of(sauce), title="Bake")))
    assert found.states["milk"] is CONTAINS
    assert found.states["eggs"] is NONE
    deep = dish_of(row_of(sauce), row_of(food("spice mix", said(checked=False))), title="Bake")
    assert find(row_of(deep)).states["eggs"] is UNKNOWN


def test_a_sub_recipe_used_in_many_places_is_opened_once() -> None:
    """Twelve levels of a recipe used twice in the next: four thousand paths, one row."""
    below = dish_of(row_of(food("butter", said(["milk"]))), title="level 0")
    for level in range(12):
        below = dish_of(row_of(below), row_of(below), title=f"level {level + 1}")
    rows = [row_of(below), row_of(below)]
    assert len(find(*rows).because["milk"]) == 1
    assert len(allergens._leaves(rows, "eu", SETTINGS.pack_months, TODAY)) == 1


# ---------------------------------------------------------------- generic names


def test_gluten_is_contained_and_each_cereal_not_known() -> None:
    states = states_of(food("breadcrumbs", said(["gluten"])))
    assert states["gluten"] is CONTAINS
    cereals = ("wheat", "spelt", "khorasan", "rye", "barley", "oats")
    assert {states[each] for each in cereals} == {UNKNOWN}
    assert {state for each, state in states.items() if each not in cereals and each != "gluten"} == {NONE}


def test_nuts_that_may_be_contained_leave_each_nut_not_known() -> None:
    states = states_of(food("bar", said([], ["nuts"])))
    assert states["nuts"] is MAY
    nuts = ("almond", "hazelnut", "walnut", "cashew", "pecan", "brazil nut", "pistachio", "macadamia")
    assert {states[each] for each in nuts} == {UNKNOWN}
    assert states["milk"] is NONE


def test_a_named_nut_beside_the_generic_name() -> None:
    states = states_of(food("mix", said(["nuts", "almond"], ["cashew"])))
    assert (states["nuts"], states["almond"], states["cashew"], states["walnut"]) == (CONTAINS, CONTAINS, MAY, UNKNOWN)


def test_generic_names_are_shown_only_where_a_food_says_them() -> None:
    assert "gluten" not in states_of(food("flour", said(["wheat"])))
    assert "nuts" not in states_of(food("sauce", said(checked=False)))


def test_a_law_that_does_not_list_gluten_still_has_wheat_not_known() -> None:
    states = states_of(food("breadcrumbs", said(["gluten"])), "us")
    assert "gluten" not in states
    assert states["wheat"] is UNKNOWN
    assert find(row_of(food("breadcrumbs", said(["gluten"]))), rules="us").groups["gluten cereals"] is CONTAINS


def test_groups_speak_of_what_the_law_does_not_list() -> None:
    found = find(row_of(food("flour", said(["rye"]))), rules="us")
    assert "rye" not in found.states
    assert found.groups == {"gluten cereals": CONTAINS, "nuts": NONE}
    assert find(row_of(food("granola", said([], ["oats"]))), rules="us").groups["gluten cereals"] is MAY


# ---------------------------------------------------------------- one entry for several ids


def test_us_wheat_stands_for_spelt_and_khorasan() -> None:
    for cereal in ("spelt", "khorasan", "wheat"):
        assert states_of(food("flour", said([cereal])), "us")["wheat"] is CONTAINS
        assert states_of(food("flour", said([], [cereal])), "us")["wheat"] is MAY
    assert states_of(food("flour", said(["spelt"])))["wheat"] is NONE  # EU: spelt is named itself


def test_an_entry_contained_by_one_id_is_not_also_unresolved_by_another() -> None:
    found = find(row_of(food("flour", said(["spelt"], ["wheat"], checked=False))), rules="us")
    assert found.states["wheat"] is CONTAINS
    assert "wheat" not in found.unresolved


# ---------------------------------------------------------------- kinds


def test_a_kind_whose_allergen_is_not_named_leaves_it_not_known() -> None:
    assert states_of(food("herring", said(), kinds=["fish"]))["fish"] is UNKNOWN
    assert states_of(food("herring", said(["fish"]), kinds=["fish"]))["fish"] is CONTAINS
    assert states_of(food("herring", said(), kinds=["fish"]))["molluscs"] is NONE
    assert states_of(food("curd", said([], ["milk"]), kinds=["milk"]))["milk"] is MAY
    assert find(row_of(food("curd", said([], ["milk"]), kinds=["milk"]))).unresolved == {"milk"}


def test_an_exception_answers_for_the_kind() -> None:
    lactitol = food("lactitol", said(exceptions=["lactitol"]), kinds=["milk"])
    assert states_of(lactitol)["milk"] is NONE
    assert states_of(lactitol, "us")["milk"] is CONTAINS


@pytest.mark.parametrize(
    "odd",
    [
        food("odd kind", kinds=["plant", "moonbeam"]),
        food("odd exception", said(exceptions=["no-such-exception"])),
        food("odd allergen", said(["moonbeam"])),
        food("odd may", said([], ["moonbeam"])),
    ],
)
def test_what_does_not_exist_is_taken_as_not_known(odd: Food) -> None:
    found = find(row_of(odd))
    assert set(found.states.values()) == {UNKNOWN}


def test_a_food_without_kinds_says_nothing_against_its_allergens() -> None:
    assert set(states_of(food("turnip", kinds=[])).values()) == {NONE}


# ---------------------------------------------------------------- packs


def pack(updated: str, statement: AllergenStatement | None = None) -> Food:
    return food("bar", statement or said(["milk"], ["almond"]), quality=Quality.DECLARED, updated=updated)


@pytest.mark.parametrize("updated", ["2026-11-25", "2025-11-25", "2026-01-31"])
def test_a_pack_read_within_the_limit_speaks(updated: str) -> None:
    found = find(row_of(pack(updated)))
    assert found.states["eggs"] is NONE
    assert not found.unresolved


@pytest.mark.parametrize("updated", ["2025-11-24", "2019-01-01", "", "25.11.2026", "2026-11-26", "2027-01-01"])
def test_a_pack_read_too_long_ago_or_on_no_possible_day_is_not_known_again(updated: str) -> None:
    found = find(row_of(pack(updated)))
    assert found.states["milk"] is CONTAINS
    assert found.states["almond"] is MAY
    assert found.states["eggs"] is UNKNOWN
    assert found.unresolved == set(found.states) - {"milk"}


def test_the_hub_sets_the_limit() -> None:
    strict = Settings("Hub", "https://hub.example/", pack_months=3)
    assert find(row_of(pack("2026-08-25")), settings=strict).states["eggs"] is NONE
    assert find(row_of(pack("2026-08-24")), settings=strict).states["eggs"] is UNKNOWN


def test_only_bought_products_grow_old() -> None:
    old = food("turnip", said(), quality=Quality.TABLE, updated="1999-01-01")
    assert set(states_of(old).values()) == {NONE}


def test_the_last_day_of_a_longer_month() -> None:
    one = Settings("Hub", "https://hub.example/", pack_months=1)
    read = row_of(pack("2026-01-31"))
    assert allergens.findings([read], "eu", one, date(2026, 2, 28)).states["eggs"] is NONE
    assert allergens.findings([read], "eu", one, date(2026, 3, 1)).states["eggs"] is UNKNOWN
    december = row_of(pack("2025-12-15"))
    assert allergens.findings([december], "eu", one, date(2026, 1, 15)).states["eggs"] is NONE
    assert allergens.findings([december], "eu", one, date(2026, 1, 16)).states["eggs"] is UNKNOWN


# ---------------------------------------------------------------- exceptions


def test_an_exception_takes_its_allergen_off_and_is_always_shown() -> None:
    oil = food("refined soya oil", said(exceptions=["soybean-oil-refined"]))
    found = find(row_of(oil), row_of(oil))
    assert found.states["soybeans"] is NONE
    assert [(note.food, note.allergens) for note in found.excepted] == [(oil.id, ("soybeans",))]
    assert "Annex II, 6(a)" in found.excepted[0].source
    assert "refined" in found.excepted[0].text
    german = Settings("Hub", "https://hub.example/", language="de-AT")
    assert "raffiniert" in find(row_of(oil), settings=german).excepted[0].text


def test_an_exception_does_not_hide_what_another_food_has() -> None:
    oil = food("refined soya oil", said(exceptions=["soybean-oil-refined"]))
    found = find(row_of(oil), row_of(food("tofu", said(["soybeans"]))))
    assert found.states["soybeans"] is CONTAINS
    assert len(found.excepted) == 1


def test_an_exception_of_another_law_counts_as_contained() -> None:
    oil = food("refined groundnut oil", said(exceptions=["peanut-oil-highly-refined"]))
    assert states_of(oil, "us")["peanuts"] is NONE
    assert states_of(oil, "eu")["peanuts"] is CONTAINS
    assert find(row_of(oil)).excepted == ()


def test_an_exception_about_one_of_several_leaves_them_not_known_elsewhere() -> None:
    spirit = food("grain spirit", said(exceptions=["cereal-distillate"]))
    assert states_of(spirit, "eu")["wheat"] is NONE
    assert states_of(spirit, "us")["wheat"] is UNKNOWN
    assert states_of(spirit, "us")["milk"] is NONE


def test_an_unchecked_food_with_an_exception_stays_not_known() -> None:
    oil = food("soya oil", said(checked=False, exceptions=["soybean-oil-refined"]))
    assert states_of(oil)["soybeans"] is UNKNOWN


# ---------------------------------------------------------------- reasons and words


def test_every_state_but_the_weakest_says_why() -> None:
    butter = food("butter", said(["milk"]), line=4, updated="2026-01-02")
    bar = food("bar", said([], ["milk", "hazelnut"]), line=5)
    sauce = food("sauce", said(checked=False), line=6)
    found = find(row_of(butter, line=21), row_of(bar, line=22), row_of(sauce, line=23))
    assert set(found.because) == {each for each, state in found.states.items() if state is not NONE}
    (why,) = found.because["milk"]
    assert (why.food, why.name, why.place, why.updated) == ("butter", "butter", Place("foods/own.csv", 4), "2026-01-02")
    assert why.source == "invented, no. 4"
    assert why.row == Place("recipes/test.md", 21)
    assert [each.food for each in found.because["hazelnut"]] == ["bar"]
    assert [each.food for each in found.because["eggs"]] == ["sauce"]


def test_two_rows_of_a_food_are_two_reasons_and_a_repeated_row_one() -> None:
    butter = food("butter", said(["milk"]))
    assert len(find(row_of(butter, line=3), row_of(butter, line=9)).because["milk"]) == 2
    row = row_of(butter)
    assert len(find(row, row).because["milk"]) == 1


def test_a_source_without_a_code() -> None:
    bare = replace(food("butter", said(["milk"])), source_ref="")
    assert find(row_of(bare)).because["milk"][0].source == "invented"


def test_words_are_the_laws_in_the_hubs_language() -> None:
    flour = row_of(food("flour", said(["wheat"])))
    assert find(flour).words["soybeans"] == "soybeans"
    german = Settings("Hub", "https://hub.example/", language="de")
    assert find(flour, settings=german).words["wheat"] == "Weizen"
    other = Settings("Hub", "https://hub.example/", language="fr")
    assert find(flour, settings=other).words["wheat"] == "wheat"


def test_every_state_has_its_word() -> None:
    found = find(row_of(food("sauce", said(["gluten", "nuts"], checked=False))))
    assert list(found.states) == list(found.words)
    assert list(found.states)[-2:] == ["gluten", "nuts"]


# ---------------------------------------------------------------- the law's statement


def test_the_summary_statement_has_the_laws_names_once() -> None:
    found = find(row_of(food("loaf", said(["wheat", "rye", "milk"], ["sesame"]))), rules="anz")
    assert allergens.summary(found, "anz") == ("wheat", "gluten", "milk")
    european = find(row_of(food("loaf", said(["wheat", "rye", "milk"]))))
    assert allergens.summary(european, "eu") == ("wheat", "rye", "milk")
    assert allergens.summary(european, "eu", "de") == ("Weizen", "Roggen", "Milch")


def test_an_unknown_rule_set_is_a_trouble_with_a_way_out() -> None:
    with pytest.raises(Trouble) as caught:
        find(row_of(food()), rules="eus")
    assert caught.value.code == "unknown-rule-set"
    assert "eu" in caught.value.hint
    with pytest.raises(Trouble) as plain:
        allergen_rules.load("zzzz")
    assert plain.value.hint == ""


def test_a_dish_of_a_whole_page() -> None:
    dish = dish_of(row_of(food("butter", said(["milk"]))), page=page_of("Toast"))
    assert allergens.findings(dish.ingredients, "eu", SETTINGS, TODAY).listed(CONTAINS) == ("milk",)


# ---------------------------------------------------------------- wrong states cannot be made


def test_findings_cannot_contradict_themselves() -> None:
    found = find(row_of(food("sauce", said(["milk"], ["hazelnut"], checked=False))))
    with pytest.raises(ValueError, match="without a reason"):
        replace(found, because={})
    with pytest.raises(ValueError, match="a state and a word"):
        replace(found, words={})
    with pytest.raises(ValueError, match="eggs is left not known"):
        replace(found, states={**found.states, "eggs": NONE})


# ---------------------------------------------------------------- foods one by one, exceptions, generic names


def test_what_each_food_of_a_row_says_is_said_food_by_food() -> None:
    inner = dish_of(row_of(food("feta", said(["milk"]))), row_of(food("egg", said(["eggs"])), optional=True))
    outer = dish_of(row_of(inner), row_of(food("mystery", said(checked=False))))
    (feta, first), (mystery, second) = allergens.foods_said(row_of(outer), "eu", SETTINGS, TODAY)
    assert (feta.id, set(first.contains), set(first.unknown)) == ("feta", {"milk"}, set())
    assert mystery.id == "mystery"
    assert len(second.unknown) == 26
    alone = row_of(food("tofu", said(["soybeans"])), optional=True)
    assert [each.id for each, _ in allergens.foods_said(alone, "eu", SETTINGS, TODAY)] == ["tofu"]


def test_which_nut_it_is_stays_not_known_though_another_may_be_in_it() -> None:
    """'Nuts; may contain almonds' can be almonds themselves."""
    bar = food("bar", said(["nuts"], ["almond"]))
    (one,) = [each for _, each in allergens.foods_said(row_of(bar), "eu", SETTINGS, TODAY)]
    assert one.may_contain == {"almond"}
    assert "almond" in one.unknown
    found = allergens.findings([row_of(bar)], "eu", SETTINGS, TODAY)
    assert "almond" in found.open


def test_an_exception_takes_off_what_the_kind_would_leave_open() -> None:
    """Regulation (EU) No 1169/2011, Annex II, 4(b): fining with fish gelatine; the kind 'fish' is then no question."""
    wine = food("fined wine", said(exceptions=["fish-fining"]), kinds=["fish"])
    (one,) = [each for _, each in allergens.foods_said(row_of(wine), "eu", SETTINGS, TODAY)]
    assert not one.unknown
    plain = food("fish thing", said(), kinds=["fish"])
    (one,) = [each for _, each in allergens.foods_said(row_of(plain), "eu", SETTINGS, TODAY)]
    assert one.unknown == {"fish"}


def test_what_a_law_takes_together_is_contained_and_not_possible_as_well() -> None:
    """21 U.S.C. 321(qq): wheat, spelt with it. 'Wheat; may contain spelt' says wheat once."""
    both = row_of(food("loaf", said(["wheat"], ["spelt"])))
    one = allergens.said_by(both, "us", SETTINGS, TODAY)
    assert (set(one.contains), set(one.may_contain)) == ({"wheat"}, set())
    assert allergens.said_by(both, "eu", SETTINGS, TODAY).may_contain == {"spelt"}
    open_too = row_of(food("loaf", said(["wheat"], checked=False)))
    assert "wheat" not in allergens.said_by(open_too, "us", SETTINGS, TODAY).unknown
