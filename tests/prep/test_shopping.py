"""The shopping list conserves grams, counts packs, takes what is in the house, and costs what its packs cost."""

from __future__ import annotations

import csv
import io
from math import ceil

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.prep.prep_make import SOUP, with_plan, worked_out
from tests.publishing.hub_make import FOODS, Hub, Run

from gramwright.labelling.shipped_data import read_yaml
from gramwright.model import Dish
from gramwright.prep.aisles import aisle_of, aisles
from gramwright.prep.made import PlanMade
from gramwright.prep.shopping import Item


def packed(oats: str = "500,1.25 EUR,2026-10-01", milk: str = "1000,0.90 EUR,2026-11-01") -> str:
    """The test foods with packs for oats and milk."""
    lines = FOODS.strip().split("\n")
    ends = {"test-oats": oats, "test-milk": milk}
    head = lines[0] + ",pack_g,pack_price,price_date"
    return "\n".join([head, *(f"{line},{ends.get(line.split(',')[0], ',,')}" for line in lines[1:])]) + "\n"


def leaves(dish: Dish, factor: float) -> dict[str, float]:
    """Food -> grams that are eaten of so many batches; written apart from the product."""
    found: dict[str, float] = {}
    for row in dish.ingredients:
        if row.row.optional:
            continue
        if row.dish is not None:
            for food, grams in leaves(row.dish, factor * row.grams / row.dish.basis_g).items():
                found[food] = found.get(food, 0.0) + grams
        elif row.food is not None:
            found[row.food.id] = found.get(row.food.id, 0.0) + row.grams * factor
    return found


def check_conserved(made: PlanMade) -> None:
    eaten: dict[str, float] = {}
    for plate in made.plates.plates:
        dish = plate.variant.dish
        for food, grams in leaves(dish, plate.portions / dish.page.portions).items():
            eaten[food] = eaten.get(food, 0.0) + grams
    listed = {item.food.id: item for item in made.shopping.items}
    assert set(listed) == set(eaten)
    for food, item in listed.items():
        assert item.eaten_g == pytest.approx(eaten[food], rel=1e-9, abs=1e-9)
        assert item.needed_g * (1 - item.food.refuse) >= item.eaten_g - 1e-6
        if item not in made.shopping.free:
            assert item.house_g + item.bought_g == pytest.approx(item.needed_g + item.left_g, rel=1e-9, abs=1e-6)


portion = st.sampled_from([0.25, 0.5, 1, 1.25, 2, 3.5, 7])


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    portions=st.tuples(portion, portion, portion, portion),
    pack=st.integers(1, 1500),
    house=st.floats(0, 900),
    chosen=st.sampled_from(["", ", toppings: [test nuts]", ", swaps: [test nuts]"]),
    share=st.sampled_from([0.0, 0.3, 1.0]),
)
def test_no_gram_is_lost(
    hub: Hub, portions: tuple[float, ...], pack: int, house: float, chosen: str, share: float
) -> None:
    """Over random portions, packs, stocks, choices and eaten shares, sub-recipes included."""
    a, b, c, d = portions
    with_plan(
        hub,
        "---\ntitle: P\n---\n```plan\npeople: {Ada: {}, Bo: {}}\nsession: {day: 1}\ndays:\n"
        f"  day 1: {{dinner: {{recipe: stew, portions: {{Ada: {a}, Bo: {b}}}{chosen}}}}}\n"
        f"  day 2: {{dinner: {{recipe: soup, portions: {{Ada: {c}, Bo: {d}}}}}}}\n```\n",
    )
    hub.write("recipes/soup.md", SOUP.replace("eaten: 0.5", f"eaten: {share}"))
    hub.write("foods/own.csv", packed(f"{pack},,", "1000,,"))
    hub.write("pantry.csv", f"food,grams,best_before\ntest oats,{house},\n")
    (made,), problems = worked_out(hub)
    assert [p for p in problems if p.severity == "error"] == []
    check_conserved(made)
    oats = next(item for item in made.shopping.items if item.food.id == "test-oats")
    assert oats.packs == ceil(max(0.0, oats.needed_g - oats.house_g) / pack - 1e-6)
    assert oats.left_g < pack


def items(made: PlanMade) -> dict[str, Item]:
    return {item.food.id: item for item in made.shopping.items}


def test_back_through_refuse_and_sub_recipes(hub: Hub) -> None:
    """By hand: stew 2.5, 2 with nuts, 1 with nuts for milk; soup 3.25 portions, with 250 g of stew in three."""
    with_plan(hub)
    (made,), _ = worked_out(hub)
    found = items(made)
    inner = 3.25 / 3 * 250 / 1000
    stews = 5.5 / 4 + inner
    assert found["test-oats"].needed_g == pytest.approx(300 * stews)
    gross, edible = 500 * stews, 300 * 3.25 / 3
    assert found["test-apple"].needed_g == pytest.approx(gross + edible / 0.9)  # weighed gross; refuse 10 %
    assert found["test-milk"].needed_g == pytest.approx(200 * (4.5 / 4 + inner) + 600 * 3.25 / 3)
    assert found["test-nuts"].needed_g == pytest.approx(40 * 2 / 4 + 100 * 1 / 4)


def test_weighed_cooked_goes_back_to_dry(hub: Hub) -> None:
    hub.write("recipes/porridge.md", (
        "---\ntitle: Porridge\nportions: 2\nfinished_weight: 500 g\n---\n```ingredients\n"
        "- {amount: 440 g, food: test oats, weighed: cooked, yield: 2.2}\n```\n\n1. Cook.\n"
    ))  # fmt: skip
    hub.write("plans/p.md", "---\ntitle: P\n---\n```plan\npeople: [Ada]\ndays: {day 1: {lunch: porridge}}\n```\n")
    (made,), _ = worked_out(hub)
    assert items(made)["test-oats"].needed_g == pytest.approx(440 / 2.2 / 2)


def test_what_is_in_the_house_goes_first_and_only_while_it_is_good(hub: Hub) -> None:
    dated = (
        "---\ntitle: P\n---\n```plan\npeople: [Ada]\nsession: {day: 2026-03-01}\n"
        "days: {2026-03-01: {dinner: stew}, 2026-03-03: {dinner: stew}}\n```\n"
    )
    with_plan(hub, dated)
    stock = "food,grams,best_before\ntest oats,1000,2026-03-02\ntest milk,20,\ntest milk,15,2026-03-05\n"
    hub.write("pantry.csv", stock)
    (made,), _ = worked_out(hub)
    assert items(made)["test-oats"].house_g == pytest.approx(75), "good on the first day only"
    assert items(made)["test-milk"].house_g == pytest.approx(35)
    assert made.shopping.checked_dates


def test_costs(hub: Hub) -> None:
    """By hand: 1.25 EUR for 500 g of oats, 0.90 EUR for 1000 g of milk; whole packs at the till."""
    with_plan(hub)
    hub.write("foods/own.csv", packed())
    (made,), _ = worked_out(hub)
    found, costs = items(made), made.costs
    assert costs is not None
    oats, milk = found["test-oats"], found["test-milk"]
    assert costs.total.amount == pytest.approx(oats.needed_g / 500 * 1.25 + milk.needed_g / 1000 * 0.9)
    assert costs.till == pytest.approx(ceil(oats.needed_g / 500) * 1.25 + ceil(milk.needed_g / 1000) * 0.9)
    assert (costs.currency, costs.oldest, costs.newest) == ("EUR", "2026-10-01", "2026-11-01")
    assert 0 < costs.total.known < 1
    assert sum(cost.amount for _, cost in costs.days) == pytest.approx(costs.total.amount)
    assert sum(line.whole.amount for line in costs.recipes) == pytest.approx(costs.total.amount)


@pytest.mark.parametrize(("cells", "code"), [("0,,", "bad-pack"), ("-5,,", "bad-pack"), ("500,cheap,", "bad-price")])
def test_a_bad_pack_is_a_problem_in_its_table(hub: Hub, run: Run, cells: str, code: str) -> None:
    with_plan(hub)
    hub.write("foods/own.csv", packed(oats=cells))
    exit_code, data = run("publish", hub.root)
    assert exit_code == 1
    assert [(p["code"], p["file"], p["line"]) for p in data["problems"] if p["severity"] == "error"] == [
        (code, "foods/own.csv", 2)
    ]
    assert not hub.site.exists()


def test_an_unknown_food_in_the_pantry_is_a_problem(hub: Hub) -> None:
    with_plan(hub)
    hub.write("pantry.csv", "food,grams\ntest oatz,100\n")
    found = [(p.code, p.place.file, p.place.line) for p in worked_out(hub)[1] if p.severity == "error"]
    assert found == [("unknown-food", "pantry.csv", 2)]


def test_every_group_has_an_aisle() -> None:
    """Each food group of the vocabulary is in some aisle, or is what nobody buys; each named group exists."""
    groups = set(read_yaml("foods/vocabulary.yaml")["groups"])
    told = read_yaml("prep/aisles.yaml")
    named = {group for entry in told["aisles"] if entry["groups"] != "any" for group in entry["groups"]}
    assert named | set(told["free"]) == groups
    assert len({aisle.id for aisle in aisles("en")}) == len(told["aisles"])


def test_the_lists_say_the_same(hub: Hub, run: Run) -> None:
    with_plan(hub)
    hub.write("foods/own.csv", packed())
    assert run("publish", hub.root)[0] == 0
    rows = list(csv.DictReader(io.StringIO(hub.published()["plans/two-days/shopping.csv"].decode())))
    (made,), _ = worked_out(hub)
    assert {row["id"]: float(row["needed_g"]) for row in rows} == {
        food: pytest.approx(item.needed_g, rel=1e-5) for food, item in items(made).items()
    }
    text = hub.published()["plans/two-days/shopping.txt"].decode()
    for row in rows:
        assert (row["food"] in text) is (row["id"] not in {item.food.id for item in made.shopping.free})
    assert aisle_of(items(made)["test-apple"].food, "en").id == "vegetables"
