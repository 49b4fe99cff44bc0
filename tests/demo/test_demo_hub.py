"""The demo hub reads, resolves and computes without one problem, and shows what the program can do."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

import pytest
from tests.demo.demo_read import HUB, TODAY, Cooked, Demo

from gramwright.model import Food, Ingredient, Presence, Quality, Row, Scale, ValueKind, Weight
from gramwright.publishing.kitchen import Kitchen

pytestmark = pytest.mark.long

MEALS = {"breakfast", "lunch", "dinner", "snack", "drink"}


def rows(demo: Demo) -> Iterator[Row]:
    for cooked in demo.recipes.values():
        yield from cooked.page.rows


def ingredients(demo: Demo) -> Iterator[Ingredient]:
    for cooked in demo.recipes.values():
        yield from cooked.dish.ingredients


def bought(kitchen: Kitchen) -> list[Food]:
    return [food for food in kitchen.table.foods if food.place.file == "foods/bought.csv"]


def texts(demo: Demo) -> Iterator[str]:
    """Rows exactly as the author wrote them, one line each."""
    for cooked in demo.recipes.values():
        block = cooked.source.split("```ingredients\n")[1].split("\n```")[0]
        yield from (line.strip().removeprefix("- ") for line in block.splitlines())


def test_not_one_problem(demo: Demo) -> None:
    assert demo.problems == []
    assert len(demo.recipes) == len(list((HUB / "recipes").rglob("*.md")))


def test_enough_recipes_for_every_meal(demo: Demo) -> None:
    assert len(demo.recipes) >= 24
    served = Counter(meal for cooked in demo.recipes.values() for meal in cooked.page.meals)
    assert set(served) == MEALS
    assert served["lunch"] >= 8
    assert served["dinner"] >= 8
    assert served["breakfast"] >= 4
    assert served["snack"] >= 4
    assert served["drink"] >= 2


@pytest.mark.parametrize("folder", ["bake", "base", "breakfast", "dinner", "drink", "lunch", "snack", "soup"])
def test_more_than_one_of_each_sort(folder: str) -> None:
    assert len(list((HUB / "recipes" / folder).glob("*.md"))) >= 2


@pytest.mark.parametrize(
    ("pattern", "why"),
    [
        (r"\d+,\d+ ", "a decimal comma"),
        (r"[½¼¾⅓⅔]", "a vulgar fraction"),
        (r"\d [1-9]/\d ", "a whole number and a fraction"),
        (r"^[1-9]/\d ", "a fraction"),
        (r"^\d+-\d+ tsp ", "a range"),
        (r"^to taste ", "an amount to taste"),
        (r"^\d+(\.\d+)? k?g ", "a mass"),
        (r"^\d+ mL ", "a volume"),
        (r"^\d cans ", "cans"),
        (r"^\{amount: ", "a row as a mapping on one line"),
        (r"^amount: ", "a row as a mapping on several lines"),
        (r"; ", "a note"),
    ],
)
def test_ways_of_writing_a_row(demo: Demo, pattern: str, why: str) -> None:
    assert any(re.search(pattern, text) for text in texts(demo)), f"no row with {why}"


def test_rows_of_every_kind(demo: Demo) -> None:
    assert {ingredient.scale for ingredient in ingredients(demo)} == set(Scale)
    written = list(rows(demo))
    assert any(row.quantity is not None and row.quantity.low < row.quantity.high for row in written)
    assert any(row.eaten < 1 for row in written)
    assert any(row.gross for row in written)
    assert any(row.optional for row in written)
    assert any(row.optional and row.swaps for row in written)
    assert any(row.cooked_as is not None for row in written)
    assert any(row.weighed == "cooked" for row in written)
    assert any(row.part for row in written)
    assert any(not row.part for row in written)
    assert {"scoop", "can", "slice", "medium", "bunch"} <= {found.measure.rstrip("s") for found in ingredients(demo)}


def test_a_sub_recipe_in_grams_and_in_portions(demo: Demo) -> None:
    used: dict[str, set[str]] = {}
    scales: dict[str, set[Scale]] = {}
    for slug, cooked in demo.recipes.items():
        for ingredient in cooked.dish.counted:
            if ingredient.row.recipe is not None:
                used.setdefault(ingredient.row.recipe, set()).add(slug)
                scales.setdefault(ingredient.row.recipe, set()).add(ingredient.scale)
    both = {slug for slug, users in used.items() if len(users) >= 2 and scales[slug] == {Scale.MASS, Scale.PORTIONS}}
    assert both == {"boathouse-tomato-sauce", "mustard-dressing"}


def test_swaps_from_milk_to_plants(demo: Demo) -> None:
    plain = 0
    for ingredient in ingredients(demo):
        if ingredient.food is None or "milk" not in ingredient.food.allergens.contains:
            continue
        plain += any(
            swap.food is not None and swap.food.allergens.checked and "milk" not in swap.food.allergens.contains
            for swap in ingredient.swaps
        )
    assert plain >= 5


def test_finished_weights_are_plausible(demo: Demo) -> None:
    """A batch may lose water but makes none; losing more than two fifths is drying, not cooking (common practice)."""
    by = Counter(cooked.dish.finished_by for cooked in demo.recipes.values())
    assert by[Weight.MEASURED] >= 20
    assert by[Weight.FACTOR] >= 3
    assert by[Weight.UNKNOWN] == 2
    for slug, cooked in demo.recipes.items():
        dish = cooked.dish
        if dish.finished_g is None:
            continue
        on_the_scale = sum(found.weighed_g if found.row.weighed == "cooked" else found.grams for found in dish.counted)
        assert 0.65 <= dish.finished_g / on_the_scale <= 1.0, slug


def test_energy_from_a_drink_to_a_hungry_crew(demo: Demo) -> None:
    energy = {slug: cooked.a_portion("ENERC_kcal") for slug, cooked in demo.recipes.items()}
    assert 50 <= energy["ginger-lemon-cooler"] <= 75
    assert 740 <= energy["long-row-pasta-bake"] <= 860
    assert max(energy, key=lambda slug: energy[slug]) == "long-row-pasta-bake"
    bands = Counter(int(kcal // 100) for kcal in energy.values())
    assert set(range(0, 7)) <= set(bands)


def test_every_energy_is_complete_and_by_factors(demo: Demo) -> None:
    for slug, cooked in demo.recipes.items():
        assert cooked.label.energy_by == "factors", slug
        figure = cooked.label.per_portion["ENERC_kcal"]
        assert figure.coverage == pytest.approx(1), slug
        assert figure.low <= figure.amount <= figure.high, slug
        table = cooked.a_portion("ENERC_table_kcal")
        assert figure.amount == pytest.approx(table, rel=0.12, abs=5), slug


def test_lunches_that_a_reader_would_look_for(demo: Demo) -> None:
    """Lunch, at most 450 kcal, at least 30 g of protein; and some of them without milk."""
    hits = {
        slug: cooked
        for slug, cooked in demo.recipes.items()
        if "lunch" in cooked.page.meals and cooked.a_portion("ENERC_kcal") <= 450 and cooked.a_portion("PROCNT_g") >= 30
    }
    assert len(hits) >= 6
    without_milk = [slug for slug, cooked in hits.items() if milk(cooked) is Presence.NOT_RECORDED]
    assert len(without_milk) >= 3
    assert len(without_milk) < len(hits)


def milk(cooked: Cooked) -> Presence:
    return cooked.label.allergens.states["milk"]


def test_what_is_not_known_is_shown(demo: Demo) -> None:
    """A product nobody ever checked and a food that varies from jar to jar both leave the recipe not known."""
    unknown = {slug for slug, cooked in demo.recipes.items() if cooked.label.allergens.listed(Presence.UNKNOWN)}
    assert unknown == {"chipolata-root-tray", "mackerel-pea-rice"}
    assert demo.recipes["chipolata-root-tray"].label.suits["vegetarian"] is None
    named = {why.name for slug in unknown for why in demo.recipes[slug].label.allergens.because["milk"]}
    assert named == {"Chicken chipolatas from the quay stall", "Curry powder"}


def test_most_listed_allergens_occur(demo: Demo) -> None:
    """Regulation (EU) No 1169/2011, Annex II: of the fourteen only lupin is missing here."""
    contained = {name for cooked in demo.recipes.values() for name in cooked.label.allergens.listed(Presence.CONTAINS)}
    assert contained >= {
        "wheat", "rye", "barley", "oats", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk", "walnut",
        "celery", "mustard", "sesame", "sulphites", "molluscs",
    }  # fmt: skip
    assert any(cooked.label.allergens.listed(Presence.MAY_CONTAIN) for cooked in demo.recipes.values())


def test_diets_of_every_answer(demo: Demo) -> None:
    suits = [cooked.label.suits for cooked in demo.recipes.values()]
    answers = Counter((found["vegan"], found["vegetarian"]) for found in suits)
    assert answers[(True, True)] >= 4
    assert answers[(False, True)] >= 6
    assert answers[(False, False)] >= 6
    assert any(cooked.label.suits["no alcohol"] is False for cooked in demo.recipes.values())


def test_claims_that_are_made_hold(demo: Demo) -> None:
    asked = [claim for cooked in demo.recipes.values() for claim in cooked.label.claims if claim.asked]
    assert {claim.name for claim in asked} >= {"high fibre", "high protein", "source of fibre", "source of protein"}
    assert [claim.name for claim in asked if claim.holds is not True] == []


def test_statements_of_the_author(demo: Demo) -> None:
    pages = [cooked.page for cooked in demo.recipes.values()]
    assert any(page.declared for page in pages)
    assert any(page.silenced for page in pages)
    assert any(page.cautions for page in pages)
    assert demo.kitchen.settings.cautions


def test_dates(demo: Demo) -> None:
    for slug, cooked in demo.recipes.items():
        assert "2026-03-01" <= cooked.page.published <= TODAY.isoformat(), slug


def test_methods_are_numbered_and_say_when_it_is_done(demo: Demo) -> None:
    for slug, cooked in demo.recipes.items():
        page = cooked.page
        steps = re.findall(r"^(\d)\. ", page.method, re.MULTILINE)
        assert len(steps) >= 2, slug
        assert steps == [str(number) for number in range(1, len(steps) + 1)], slug
        assert page.intro.strip(), slug
        assert page.hands_on_min is not None, slug
        assert page.total_min is not None, slug
        assert page.hands_on_min <= page.total_min, slug


def test_raw_meat_and_fish_come_with_a_temperature(demo: Demo) -> None:
    """75 C for 30 s (UK Food Standards Agency, secondary copy); 71 C mince and 63 C fish (FSIS chart)."""
    least = {"poultry": 75, "pork": 71, "fish": 63}
    checked = 0
    for slug, cooked in demo.recipes.items():
        for found in cooked.dish.counted:
            food = found.food
            if food is None or food.state != "raw":
                continue
            for kind in food.kinds & set(least):
                told = [int(number) for number in re.findall(r"(\d\d) °C", cooked.page.method)]
                assert max(told, default=0) >= least[kind], slug
                checked += 1
    assert checked >= 6


def test_what_keeps_is_told_how(demo: Demo) -> None:
    for slug, cooked in demo.recipes.items():
        if cooked.page.keeps.fridge_days is not None:
            assert re.search(r"chill|fridge|freeze|cold", cooked.page.method, re.IGNORECASE), slug


def test_bought_products_add_up(demo: Demo) -> None:
    """Energy by the factors of Regulation (EU) No 1169/2011, Annex XIV; parts within the whole."""
    products = bought(demo.kitchen)
    assert len(products) >= 15
    for food in products:
        value = {tag: found.amount for tag, found in food.values.items()}
        get = value.get
        polyols, erythritol = get("POLYL_g", 0.0), get("ERYTHL_g", 0.0)
        energy = (
            17 * value["PROCNT_g"]
            + 37 * value["FAT_g"]
            + 17 * (value["CHOAVL_g"] - polyols)
            + 10 * (polyols - erythritol)
            + 8 * get("FIBTG_g", 0.0)
            + 29 * get("ALC_g", 0.0)
            + 13 * get("OA_g", 0.0)
        )
        assert value["ENERC_kJ"] == pytest.approx(energy, abs=1), food.id
        assert value["FASAT_g"] <= value["FAT_g"], food.id
        assert value["SUGAR_g"] <= value["CHOAVL_g"], food.id
        salt = value["NA_mg"] * 0.0025 if "NA_mg" in value else 0.0
        whole = ("PROCNT_g", "FAT_g", "CHOAVL_g", "FIBTG_g", "ALC_g", "OA_g")
        assert sum(get(tag, 0.0) for tag in whole) + salt <= 100, food.id


def test_bought_products_are_invented_and_say_so(demo: Demo) -> None:
    products = bought(demo.kitchen)
    assert {(food.source, food.quality) for food in products} == {("invented for the demo", Quality.DECLARED)}
    assert any(value.kind is ValueKind.BELOW for food in products for value in food.values.values())
    assert [food.id for food in products if not food.allergens.checked] == ["stall-chicken-chipolatas"]
    used = {found.key for found in ingredients(demo)}
    used |= {swap.key for found in ingredients(demo) for swap in found.swaps}
    assert [food.id for food in products if food.id not in used] == []
    assert "invented" in (HUB / "README.md").read_text(encoding="utf-8")
