"""The ingredient list: order by weight, opened sub-recipes, marked allergens, shares."""

from __future__ import annotations

import pytest
from tests.labelling.allergen_make import SETTINGS, TODAY, dish_of, food, row_of, said

from gramwright.labelling import ingredient_list
from gramwright.labelling.ingredient_list import IngredientList
from gramwright.model import Dish, Food, Ingredient, Settings
from gramwright.problems import Trouble


def build(*rows: Ingredient, rules: str = "eu", title: str = "Supper", settings: Settings = SETTINGS) -> IngredientList:
    return ingredient_list.build(dish_of(*rows, title=title), rules, settings, TODAY)


def written(made: IngredientList) -> str:
    """The list with what is emphasised in capitals."""
    return "".join(part.text.upper() if part.emphasised else part.text for part in made.segments)


def one(which: Food | Dish, **more: str) -> str:
    return written(build(row_of(which), **more))  # type: ignore[arg-type]


# ---------------------------------------------------------------- order


def test_descending_weight_at_the_time_of_use() -> None:
    """Regulation (EU) No 1169/2011, Article 18(1)."""
    made = build(row_of(food("leek"), 50), row_of(food("turnip"), 300), row_of(food("kale"), 120.5))
    assert [entry.text for entry in made.entries] == ["turnip", "kale", "leek"]
    assert [entry.used_g for entry in made.entries] == [300, 120.5, 50]
    assert made.text == "turnip; kale; leek"


def test_equal_weights_stay_in_the_order_of_the_rows() -> None:
    made = build(row_of(food("leek")), row_of(food("kale")), row_of(food("turnip")))
    assert made.text == "leek; kale; turnip"


def test_the_same_food_in_two_parts_is_one_ingredient() -> None:
    made = build(row_of(food("leek"), 60), row_of(food("kale"), 100), row_of(food("leek"), 60))
    assert [(entry.text, entry.used_g) for entry in made.entries] == [("leek", 120), ("kale", 100)]


def test_refuse_of_untrimmed_rows_is_not_used_and_optional_rows_are_left_out() -> None:
    squash = food("squash", refuse=0.5)
    made = build(row_of(squash, 300, gross=True), row_of(food("kale"), 200), row_of(food("leek"), 900, optional=True))
    assert [(entry.text, entry.used_g) for entry in made.entries] == [("kale", 200), ("squash", 150)]
    assert build(row_of(squash, 300)).entries[0].used_g == 300


def test_what_is_only_to_taste_comes_last() -> None:
    made = build(row_of(food("pepper"), 0), row_of(food("kale"), 1))
    assert made.text == "kale; pepper"


# ---------------------------------------------------------------- allergens


@pytest.mark.parametrize(
    ("name", "contains", "expected"),
    [
        ("Wheat flour, white", ["wheat"], "WHEAT flour, white"),
        ("Feta", ["milk"], "Feta (MILK)"),
        ("Whey powder", ["milk"], "Whey powder (MILK)"),
        ("Groundnut oil", ["peanuts"], "Groundnut oil (PEANUTS)"),
        ("Egg white, raw", ["eggs"], "EGG white, raw"),
        ("Skimmed milk", ["milk"], "Skimmed MILK"),
        ("Buttermilk", ["milk"], "Buttermilk (MILK)"),
        ("Buckwheat noodles", ["wheat"], "Buckwheat noodles (WHEAT)"),
        ("Soy sauce", ["soybeans", "wheat"], "SOY sauce (WHEAT)"),
        ("Pesto", ["milk", "cashew"], "Pesto (MILK, CASHEWS)"),
        ("Wheat and rye bread", ["wheat", "rye"], "WHEAT and RYE bread"),
        ("Almonds", ["almond"], "ALMONDS"),
        ("Wheat, wheat and wheat", ["wheat"], "WHEAT, WHEAT and WHEAT"),
        ("Turnip", [], "Turnip"),
        ("Breadcrumbs", ["gluten"], "Breadcrumbs (A CEREAL CONTAINING GLUTEN (WHICH ONE IS NOT KNOWN))"),
        ("Chopped nuts", ["nuts"], "Chopped NUTS"),
        ("Pine kernels", ["pine nut"], "Pine kernels"),  # not on the list of Annex II
    ],
)
def test_the_allergen_is_marked_in_the_name_or_after_it(name: str, contains: list[str], expected: str) -> None:
    """Regulation (EU) No 1169/2011, Article 21(1)."""
    assert one(food(name, said(contains))) == expected


def test_what_may_be_contained_is_not_an_ingredient() -> None:
    assert one(food("Oat biscuit", said(["oats"], ["milk"]))) == "OAT biscuit"


def test_each_law_has_its_names() -> None:
    prawns = food("King prawns", said(["crustaceans"]), kinds=["crustacean"])
    assert one(prawns, rules="eu") == "King prawns (CRUSTACEANS)"
    assert one(prawns, rules="us") == "King prawns (CRUSTACEAN SHELLFISH)"
    assert one(prawns, rules="anz") == "King prawns (CRUSTACEAN)"
    spelt = food("Spelt flour", said(["spelt"]))
    assert one(spelt, rules="us") == "SPELT flour"
    assert one(food("Mussels", said(["molluscs"])), rules="us") == "Mussels"


def test_german_names() -> None:
    german = Settings("Hub", "https://hub.example/", language="de")
    assert written(build(row_of(food("Weizenmehl", said(["wheat"]))), settings=german)) == "WEIZENmehl"
    assert written(build(row_of(food("Vollmilch", said(["milk"]))), settings=german)) == "Vollmilch (MILCH)"
    assert written(build(row_of(food("Mandelmus", said(["almond"]))), settings=german)) == "MANDELmus"
    assert one(food("Eggplant fritter", said(["eggs"])), rules="us") == "Eggplant fritter (EGG)"


def test_emphasis_is_a_property_of_the_text_and_not_a_colour() -> None:
    (entry,) = build(row_of(food("Wheat flour", said(["wheat"])))).entries
    assert [(part.text, part.emphasised) for part in entry.segments] == [("Wheat", True), (" flour", False)]


def test_a_food_that_leaves_allergens_not_known_says_so() -> None:
    made = build(row_of(food("stock cube", said(["celery"], checked=False))), row_of(food("turnip"), 50))
    assert [entry.unknown for entry in made.entries] == [True, False]


# ---------------------------------------------------------------- sub-recipes


def test_a_sub_recipe_is_opened_in_its_own_order() -> None:
    cheese = food("Hard cheese", said(["milk"]))
    pesto = dish_of(row_of(food("basil"), 30), row_of(cheese, 60), row_of(food("salt"), 1), title="Pesto")
    made = build(row_of(food("pasta", said(["wheat"])), 400), row_of(pesto, 91))
    assert written(made) == "pasta (WHEAT); Pesto (Hard cheese (MILK); basil; salt)"
    assert [part.text for part in made.entries[1].parts] == ["Hard cheese (milk)", "basil", "salt"]
    assert made.entries[1].unknown is False


def test_sub_recipes_inside_sub_recipes() -> None:
    inner = dish_of(row_of(food("Whey", said(["milk"]))), title="Inner")
    outer = dish_of(row_of(inner), title="Outer")
    assert one(outer) == "Outer (Inner (Whey (MILK)))"


# ---------------------------------------------------------------- shares


def shares(*rows: Ingredient, title: str, rules: str = "eu", finished: float | None = None) -> dict[str, float]:
    dish = dish_of(*rows, title=title, finished_g=finished)
    made = ingredient_list.build(dish, rules, SETTINGS, TODAY)
    return {entry.text: entry.share for entry in made.entries if entry.share is not None}


def test_what_the_title_names_has_its_share() -> None:
    """Regulation (EU) No 1169/2011, Article 22(1)(a): named in the name of the food."""
    rows = (row_of(food("Pearl barley, dry"), 160), row_of(food("Butternut squash"), 600), row_of(food("leek"), 40))
    assert shares(*rows, title="Barley and squash tray") == {
        "Butternut squash 75 %": 75.0,
        "Pearl barley, dry 20 %": 20.0,
    }
    assert shares(*rows, title="Supper") == {}


def test_us_law_asks_for_none() -> None:
    assert shares(row_of(food("leek")), title="Leek soup", rules="us") == {}


def test_the_share_is_of_the_finished_weight_when_the_dish_has_become_lighter() -> None:
    """Regulation (EU) No 1169/2011, Annex VIII, 4(a) (from memory)."""
    rows = (row_of(food("Beef"), 150), row_of(food("salt"), 50))
    assert shares(*rows, title="Dried beef", finished=160.0) == {"Beef 94 %": 93.75}
    assert shares(*rows, title="Dried beef", finished=100.0) == {"Beef 150 g per 100 g": 150.0}
    assert shares(*rows, title="Beef", finished=400.0) == {"Beef 75 %": 75.0}


def test_small_shares_keep_a_decimal() -> None:
    assert shares(row_of(food("saffron"), 0.5), row_of(food("rice"), 99.5), title="Saffron") == {"saffron 0.5 %": 0.5}


@pytest.mark.parametrize(
    ("title", "name", "aliases", "named"),
    [
        ("Red lentil soup", "Red pepper", [], False),
        ("Red lentil soup", "Red lentils, dry", [], True),
        ("Courgette bake", "Zucchini, raw", ["courgette"], True),
        ("Peanut butter bars", "Butter", [], False),
        ("Peanut butter bars", "Peanut butter", [], True),
        ("Coconut milk curry", "Milk", [], False),
        ("Coconut milk curry", "Coconut milk", [], True),
        ("Potatoes with leeks", "Potato, raw", [], True),
        ("Cherries in jelly", "Cherry", [], True),
        ("Eggplant stew", "Egg", [], False),
        ("Chicken stew", "Chicken breast, raw", [], True),
        ("Oat porridge", "Oats, rolled", [], True),
        ("Whole dried white", "Whole dried white", [], False),
    ],
)
def test_when_a_title_names_a_food(title: str, name: str, aliases: list[str], named: bool) -> None:
    assert bool(shares(row_of(food(name, aliases=aliases)), title=title)) is named


def test_a_title_that_names_a_sub_recipe() -> None:
    pesto = dish_of(row_of(food("basil")), title="Green pesto")
    assert shares(row_of(pesto, 50), row_of(food("pasta"), 50), title="Pasta with green pesto") == {
        "Green pesto (basil) 50 %": 50.0,
        "pasta 50 %": 50.0,
    }


def test_nothing_weighed_has_no_share() -> None:
    assert shares(row_of(food("leek"), 0), title="Leek") == {}


def test_shares_in_german() -> None:
    german = Settings("Hub", "https://hub.example/", language="de")
    made = ingredient_list.build(
        dish_of(row_of(food("Safran"), 0.5), row_of(food("Reis"), 99.5), title="Safran"), "eu", german, TODAY
    )
    assert made.entries[1].text == "Safran 0,5 %"


def test_an_unknown_rule_set() -> None:
    with pytest.raises(Trouble):
        build(row_of(food()), rules="atlantis")
