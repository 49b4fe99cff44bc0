"""Ranges against simulation: at least 90 % of draws inside, at most twice as wide as the central 95 % of them.

Recipes are put together at random from the shipped foods: by weight, spoon,
cup and piece, with amount ranges, food partly eaten, one food in several rows,
packs with declared values, sub-recipes two deep. Errors are drawn evenly over
their whole width (the hardest case: a half-width is then never left), evenly on
each side with the value in the middle, and normally with the half-width as 95 %
bound. Unknown values are drawn for one reason in all foods; see `ranges`. Drawn
each by itself they are checked where a recipe has at most three of them, since
with more the promise that unknown never lowers the upper end costs width.
"""

from __future__ import annotations

import dataclasses
import random

import numpy as np
import pytest
from tests.nutrition.nutrition_make import made_dish, made_row
from tests.nutrition.simulate import Simulation, combined, inside_and_width

from gramwright.composition.library import load_shipped
from gramwright.model import Dish, Food, Quality, Scale
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.figures import combine, per_100g
from gramwright.nutrition.parts import finished_ends
from gramwright.problems import ProblemLog
from gramwright.reading import vocabulary

pytestmark = pytest.mark.long

DRAWS = 3000
RECIPES = 16
LEAST_INSIDE = 0.90
MOST_WIDTH = 2.0

EU_KJ = {
    "PROCNT_g": 17.0, "FAT_g": 37.0, "CHOAVL_g": 17.0, "POLYL_g": -7.0, "FIBTG_g": 8.0, "ALC_g": 29.0,
    "OA_g": 13.0, "ERYTHL_g": -10.0,
}  # fmt: skip
NEEDED = frozenset({"PROCNT_g", "FAT_g", "CHOAVL_g", "FIBTG_g"})


@pytest.fixture(scope="module")
def shipped() -> list[Food]:
    return load_shipped(vocabulary.load(), ProblemLog())[0]


def random_dish(books: NutritionBooks, foods: list[Food], rng: random.Random, depth: int = 2) -> Dish:
    rows = []
    for _ in range(rng.randint(2, 13)):
        food = rng.choice(foods)
        if rng.random() < 0.15:
            food = dataclasses.replace(food, id=f"{food.id}-pack", quality=Quality.DECLARED)
        grams = rng.choice((2, 5, 15, 30, 60, 120, 250, 400)) * rng.uniform(0.7, 1.3)
        kind = rng.random()
        if kind < 0.5:
            rows.append(made_row(food, grams))
        elif kind < 0.7:
            rows.append(made_row(food, grams, scale=Scale.VOLUME, measure=rng.choice(("tsp", "tbsp", "cup", "ml"))))
        elif kind < 0.9:
            rows.append(made_row(food, grams, grams * 0.8, grams * 1.2, scale=Scale.COUNT, measure="medium"))
        else:
            rows.append(made_row(food, grams * 0.4, eaten=0.4))
    if rng.random() < 0.4 and rows[0].food is not None:
        rows.append(made_row(rows[0].food, rows[0].grams / 2, cooked_as=rng.choice((None, "3776"))))
    if depth and rng.random() < 0.5:
        inner = random_dish(books, foods, rng, depth - 1)
        scale = rng.choice((Scale.MASS, Scale.PORTIONS))
        rows.append(made_row(inner, rng.uniform(0.2, 1) * inner.basis_g, scale=scale))
    share = rng.choice((None, 0.85, 1.0))
    return made_dish(books, *rows, **({} if share is None else {"yield_factor": share}))


def gaps(dish: Dish, books: NutritionBooks, tag: str) -> int:
    """How many different foods of a dish do not know a component."""

    def foods_of(dish: Dish) -> dict[str, Food]:
        found: dict[str, Food] = {}
        for item in dish.counted:
            if item.dish is not None:
                found |= foods_of(item.dish)
            elif item.food is not None:
                found[item.food.id] = item.food
        return found

    return sum(tag not in food.values for food in foods_of(dish).values())


@pytest.mark.parametrize("shared_gaps", [True, False], ids=["one reason", "each by itself"])
@pytest.mark.parametrize("how", ["uniform", "median", "normal"])
def test_components(books: NutritionBooks, shipped: list[Food], how: str, shared_gaps: bool) -> None:
    rng = random.Random(17)
    wrong, checked = [], 0
    for number in range(RECIPES):
        dish = random_dish(books, shipped, rng)
        tags = [tag for tag in dish.totals if tag != "WATER_g"]
        draws = Simulation(books, DRAWS, how, shared_gaps, np.random.default_rng(number)).amounts(dish.counted, tags)
        for tag in tags:
            if not shared_gaps and gaps(dish, books, tag) > 3:
                continue
            figure = dish.totals[tag]
            inside, width = inside_and_width(draws[tag], figure.low, figure.high)
            checked += 1
            if inside < LEAST_INSIDE or width > MOST_WIDTH:
                wrong.append((number, tag, inside, width))
    assert checked >= 10 * RECIPES
    assert wrong == []


@pytest.mark.parametrize("how", ["uniform", "median", "normal"])
def test_energy_by_factors_and_per_100_g(books: NutritionBooks, shipped: list[Food], how: str) -> None:
    rng = random.Random(23)
    wrong = []
    for number in range(RECIPES):
        dish = random_dish(books, shipped, rng)
        generator = np.random.default_rng(number)
        simulation = Simulation(books, DRAWS, how, True, generator, as_none=frozenset(EU_KJ) - NEEDED)
        tags = [tag for tag in EU_KJ if tag in books.shelf.places]
        draws = combined(simulation.amounts(dish.counted, tags), EU_KJ)
        figure = combine(dish, books, EU_KJ, NEEDED)
        low, high = finished_ends(dish, books)
        weight = dish.basis_g * (1 + simulation.error(1 - low, high - 1))
        hundred = per_100g(dish, books, figure)
        for name, drawn, found in (("batch", draws, figure), ("per 100 g", 100 * draws / weight, hundred)):
            inside, width = inside_and_width(drawn, found.low, found.high)
            if inside < LEAST_INSIDE or width > MOST_WIDTH:
                wrong.append((number, name, inside, width))
    assert wrong == []


def test_the_check_can_fail(books: NutritionBooks, shipped: list[Food]) -> None:
    """Ranges of half the width would not hold 90 % of the draws, ranges of three times the width are found too wide."""
    dish = random_dish(books, shipped, random.Random(17))
    draws = Simulation(books, DRAWS, "uniform", True, np.random.default_rng(1)).amounts(dish.counted, ["PROCNT_g"])
    figure = dish.totals["PROCNT_g"]

    def stretched(by: float) -> tuple[float, float]:
        low = figure.amount - (figure.amount - figure.low) * by
        return inside_and_width(draws["PROCNT_g"], low, figure.amount + (figure.high - figure.amount) * by)

    assert stretched(0.5)[0] < LEAST_INSIDE
    assert stretched(3)[1] > MOST_WIDTH
