"""The browser's figures for a reader's choice against the generator's own rooms: equal texts, rounding included.

The generator is held to the law and to published tables by its own tests; here it is the measure.
"""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import ROUND_HALF_EVEN, Decimal

import pytest
from tests.demo.demo_read import Demo
from tests.site.cook_by_hand import Script, Table, as_page, every_choice

from gramwright.labelling import rulesets
from gramwright.labelling.rounding import plain_rounder
from gramwright.model import Dish, Food, Ingredient, Quality, Row, Scale, Weight
from gramwright.nutrition.dish import compute
from gramwright.nutrition.variants import variant
from gramwright.problems import Place, ProblemLog
from gramwright.site import words

RULE_SETS = ("eu", "uk", "us", "anz", "za", "codex")


def compare(script: Script, table: Table, dish: Dish, choice: dict[int, int], what: str) -> bool:
    """Whether the browser gave a range for this choice; everything else it says must be the generator's."""
    answer = script.ask(choice={str(at): option for at, option in choice.items()})
    wanted, _ = table.by_hand(dish, choice)
    found = as_page(answer)
    if not answer["ranged"]:
        for side in (wanted, found):
            for name in ("likely", "bracket", "described", "ticks", "numbers", "what", "where"):
                side["panel"].pop(name, None)
    if not found["doubts"]:  # not shown where a choice changes the method of the energy
        assert table.labelled(dish).energy_by != found["by"] or not wanted["doubts"]
        wanted["doubts"] = []
    assert found == wanted, f"{what} {choice}"
    return bool(answer["ranged"])


@pytest.mark.parametrize("rule_set", RULE_SETS)
@pytest.mark.parametrize("energy", ["factors", "table"])
def test_every_choice_of_the_demonstration(demo: Demo, script: Script, rule_set: str, energy: str) -> None:
    table = Table(demo.kitchen, rulesets.load(rule_set), words.load("en", None), energy)
    script.ask(**table.shared())
    tried = 0
    for slug, cooked in demo.recipes.items():
        data = table.carried(cooked.dish)
        if "o" not in data:
            continue
        script.ask(load=data)
        for choice in every_choice(cooked.dish, 40, random.Random(slug)):
            assert compare(script, table, cooked.dish, choice, f"{rule_set} {slug}")
            tried += 1
    assert tried > 40


# ---------------------------------------------------------------- invented recipes of shipped foods


def odd(food: Food, dice: random.Random) -> Food:
    """The food with gaps, unread allergens, no kind or another quality, by chance."""
    values = {tag: value for tag, value in food.values.items() if dice.random() > 0.06}
    allergens = food.allergens if dice.random() > 0.15 else replace(food.allergens, checked=False)
    kinds = food.kinds if dice.random() > 0.1 else frozenset()
    quality = dice.choice([food.quality, food.quality, Quality.DECLARED, Quality.ESTIMATED])
    return replace(
        food, id=f"{food.id}-odd", values=values or food.values, allergens=allergens, kinds=kinds, quality=quality
    )


def row_of(food: Food | None, dish: Dish | None, dice: random.Random, *, optional: bool = False) -> Ingredient:
    grams = dice.choice([0.1, 2.5, 7.0, 12.5, 33.3, 80.0, 125.0, 250.0, 400.0, 1 / 3, 17.25])
    taste = food is not None and dice.random() < 0.06
    scale = Scale.TASTE if taste else dice.choice([Scale.MASS, Scale.MASS, Scale.VOLUME, Scale.COUNT])
    grams = 0.0 if taste else grams
    place = Place("recipes/made.md", 7)
    row = Row("", None, "", place, "made", food=food.id if food else None, recipe="inner" if dish else None)
    return Ingredient(
        replace(row, optional=optional, eaten=dice.choice([1.0, 1.0, 0.5])),
        food,
        dish,
        scale,
        "tbsp" if scale is Scale.VOLUME else "",
        grams,
        grams,
        grams * dice.choice([1, 0.9]),
        grams * dice.choice([1, 1.2]),
    )


def invented(demo: Demo, dice: random.Random) -> Dish | None:
    """A recipe of shipped foods: options, swaps, rows that share a food, recipes inside, gaps, any kind of weight."""
    foods = list(dice.sample(demo.kitchen.table.foods, dice.randint(3, 14)))
    foods = [odd(food, dice) if dice.random() < 0.3 else food for food in foods]
    inner = [dice.choice(list(demo.recipes.values())).dish] if dice.random() < 0.3 else []
    rows: list[Ingredient] = []
    for _ in range(dice.randint(2, 9)):
        dish = dice.choice(inner) if inner and dice.random() < 0.2 else None
        made = row_of(None if dish else dice.choice(foods), dish, dice, optional=dice.random() < 0.25)
        if dice.random() < 0.35:
            swaps = [row_of(dice.choice(foods), None, dice) for _ in range(dice.randint(1, 2))]
            made = replace(made, swaps=tuple(swaps))
        rows.append(made)
    rows.append(row_of(foods[0], None, random.Random(3)))
    page = dice.choice(list(demo.recipes.values())).page
    page = replace(page, portions=dice.choice([1.0, 3.0, 4.0, 7.0]), finished_g=None, yield_factor=None, yield_name="")
    weights = {"": None, "measured": dice.uniform(50, 900), "factor": 0.85}
    kind = dice.choice(list(weights))
    if kind == "measured":
        page = replace(page, finished_g=weights[kind])
    elif kind == "factor":
        page = replace(page, yield_factor=0.85)
    return compute(page, tuple(rows), demo.kitchen.books, ProblemLog())


@pytest.mark.parametrize("seed", range(6))
def test_invented_recipes(demo: Demo, script: Script, seed: int) -> None:
    """About two thousand choices in all, of recipes made to be awkward."""
    dice = random.Random(seed)
    energy = dice.choice(["factors", "table"])
    table = Table(demo.kitchen, rulesets.load(RULE_SETS[seed]), words.load("en", None), energy)
    script.ask(**table.shared())
    ranged = tried = 0
    for _ in range(45):
        dish = invented(demo, dice)
        data = None if dish is None else table.carried(dish)
        if dish is None or data is None or "o" not in data:
            continue
        script.ask(load=data)
        for choice in every_choice(dish, 12, dice):
            ranged += compare(script, table, dish, choice, f"seed {seed}")
            tried += 1
    assert tried > 120
    assert ranged > 0.7 * tried


@pytest.mark.parametrize("rule_set", RULE_SETS)
def test_salt_to_taste(demo: Demo, script: Script, rule_set: str) -> None:
    """Salt to taste in a row that stays, in one that a reader takes, in a swap, in a recipe inside; pepper is none."""
    table = Table(demo.kitchen, rulesets.load(rule_set), words.load("en", None))
    script.ask(**table.shared())
    names = ("salt", "stock-cube-beef", "pepper-black", "oats-rolled-dry", "milk-whole", "rice-white-long-dry")
    salt, stock, pepper, oats, milk, rice = map(demo.kitchen.table.lookup, names)
    plain = random.Random(1)

    def taste(food: Food, *, optional: bool = False) -> Ingredient:
        made = row_of(food, None, plain, optional=optional)
        return replace(made, scale=Scale.TASTE, measure="", weighed_g=0.0, grams=0.0, low_g=0.0, high_g=0.0)

    choice = replace(row_of(oats, None, plain), swaps=(row_of(milk, None, plain),))
    page = replace(demo.recipes["first-outing-porridge"].page, finished_g=None)
    inner = compute(page, (row_of(milk, None, plain), taste(salt)), demo.kitchen.books, ProblemLog())
    assert inner is not None
    said = set()
    for rows in (
        (choice, row_of(rice, None, plain), taste(salt)),
        (choice, row_of(rice, None, plain), taste(salt, optional=True)),
        (choice, row_of(rice, None, plain), replace(taste(pepper), swaps=(taste(stock),))),
        (
            choice,
            row_of(rice, None, plain),
            replace(row_of(None, inner, plain), row=replace(choice.row, optional=True)),
        ),
    ):
        dish = compute(page, rows, demo.kitchen.books, ProblemLog())
        assert dish is not None
        script.ask(load=table.carried(dish))
        for each in every_choice(dish, 40, random.Random(2)):
            compare(script, table, dish, each, rule_set)
            said.add(script.ask(choice={str(at): option for at, option in each.items()})["atLeast"]["taste"])
    assert len(said) == 2, "with salt to taste something is said, without it nothing"
    assert "" in said


def test_a_changed_weight_is_no_measured_one(demo: Demo) -> None:
    cooked = demo.recipes["first-outing-porridge"]
    table = Table(demo.kitchen, rulesets.load("eu"), words.load("en", None))
    dish = variant(cooked.dish, {7: 0}, table.kitchen.books)
    assert cooked.dish.finished_by is Weight.MEASURED
    assert dish.finished_by is Weight.FACTOR
    assert dish.finished_g == pytest.approx(1690 + 40)
    assert variant(cooked.dish, {7: -1}, table.kitchen.books) is cooked.dish


# ---------------------------------------------------------------- rounding by itself


@pytest.mark.parametrize("rule_set", RULE_SETS)
def test_rounding_is_the_rule_sets(script: Script, rule_set: str) -> None:
    """Ties of every step, values beside them, and random ones."""
    rules = rulesets.load(rule_set)
    dice = random.Random(rule_set)
    for rounder in {id(each): each for each in (*rules.rounders.values(), *rules.share_rounders.values())}.values():
        data = plain_rounder(rounder)
        amounts = [0.0, -1.0, *(dice.uniform(0, 10.0 ** dice.randint(-3, 5)) for _ in range(40))]
        for band in rounder.bands:
            step = band.step or 1.0
            amounts += [(count + 0.5) * step for count in (0, 1, 2, 9, 24, 99)]
            if band.limit < 1e9:
                amounts += [band.limit, band.limit * (1 + 1e-9), band.limit * (1 - 1e-9)]
        for amount in amounts:
            assert tuple(script.ask(round=data, of=amount)) == rounder.rounded(amount), amount


def test_decimals_are_written_as_python_writes_them(script: Script) -> None:
    dice = random.Random(5)
    amounts = [0.125, 0.375, 2.5, 0.5, 1.5, 12.5, 0.25, 1e-7, 1234.5, *(dice.uniform(0, 1000) for _ in range(200))]
    for amount in amounts:
        for places in (0, 1, 2, 3):
            exact = Decimal(amount).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)
            assert script.ask(fixed=[amount, places]) == f"{exact:f}"
