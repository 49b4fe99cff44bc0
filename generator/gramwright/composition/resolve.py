"""Takes a recipe page, gives its rows as ingredients: foods found, measures turned into grams, all problems logged."""

from __future__ import annotations

from collections.abc import Callable

from gramwright.composition.names import fold
from gramwright.composition.splits import measured, split
from gramwright.composition.table import FoodTable, described
from gramwright.composition.units import MASS, MeasureSystem
from gramwright.model import Dish, Food, Ingredient, Quantity, RecipePage, Row, Scale
from gramwright.problems import ProblemLog, Trouble
from gramwright.reading import vocabulary

DishOf = Callable[[str], Dish]
"""The computed recipe of a slug. Raises Trouble 'unknown-recipe', 'recipe-cycle'."""

MOST_GRAMS = 1e6
HIDDEN_KJ = 20.0
"""Energy a portion that 'to taste' may hide."""
PINCH_G = 1.0
"""What 'to taste' is taken for of a salt, herb or spice, in grams a portion (common practice, no source)."""
SPOONFUL_G = 5.0
"""The same of anything else: a teaspoon."""

_PINCHED = frozenset({"salt", "herb", "spice", "seasoning", "pepper"})
_PORTIONS = frozenset({"portion", "portions", "serving", "servings"})


def resolve(
    page: RecipePage, table: FoodTable, system: MeasureSystem, log: ProblemLog, dish_of: DishOf
) -> tuple[Ingredient, ...] | None:
    """One ingredient a row, in order, or None when a row has an error (every one is logged at its place)."""
    found: list[Ingredient] = []
    failed = False
    for row in page.rows:
        ingredient = _row(row, page.portions, table, system, log, dish_of)
        if ingredient is None:
            failed = True
        else:
            found.append(ingredient)
    return None if failed else tuple(found)


def _row(
    row: Row, portions: float, table: FoodTable, system: MeasureSystem, log: ProblemLog, dish_of: DishOf
) -> Ingredient | None:
    """One row with its swaps; None after a problem was logged."""
    swaps: tuple[Ingredient, ...] = ()
    failed = False
    if row.swaps:
        resolved: list[Ingredient] = []
        for swap in row.swaps:
            ingredient = None
            if swap.swaps:
                log.error(swap.place, "swap-in-swap", "expected a swap without swaps of its own, found some")
            else:
                ingredient = _row(swap, portions, table, system, log, dish_of)
            if ingredient is None:
                failed = True
            else:
                resolved.append(ingredient)
        swaps = tuple(resolved)
    try:
        if row.recipe is not None:
            made = _of_recipe(row, row.recipe, system, dish_of, swaps)
        elif row.quantity is None:
            made = _to_taste(row, portions, table, swaps)
        else:
            made = _of_food(row, row.quantity, table, system, swaps)
    except Trouble as trouble:
        log.add(trouble.at(row.place))
        return None
    return None if failed else made


def _of_food(
    row: Row, quantity: Quantity, table: FoodTable, system: MeasureSystem, swaps: tuple[Ingredient, ...]
) -> Ingredient:
    if row.food is None:
        food, per_unit, scale, measure = split(row.words, table, system)
    else:
        food, per_unit, scale, measure = measured(table.lookup(row.food), row.words, table, system)
    share = row.eaten
    if row.gross:
        share *= 1 - food.refuse
    if row.weighed is not None:
        share *= _weighing(row, food, scale)
    weighed = quantity.middle * per_unit
    if not weighed <= MOST_GRAMS:
        raise _absurd(row, weighed)
    counted = per_unit * share
    return Ingredient(
        row,
        food,
        None,
        scale,
        measure,
        weighed,
        quantity.middle * counted,
        quantity.low * counted,
        quantity.high * counted,
        swaps,
    )


def _weighing(row: Row, food: Food, scale: Scale) -> float:
    """Grams of the named food for one gram on the scale, when the scale saw it in another state.

    The row's yield is weight after cooking / weight before, either way round.
    """
    if row.row_yield is None:
        raise Trouble(
            "missing-yield",
            f"expected a yield with 'weighed: {row.weighed}', found none",
            "yield: weight after cooking / weight before (pasta about 2.2)",
        )
    if scale is not Scale.MASS:
        raise Trouble(
            "weighed-by-count",
            f"expected a weight with 'weighed: {row.weighed}', found '{row.text}'",
            "a measure holds for the food as it is named: write grams",
        )
    cooked = vocabulary.load().cooked(food.state)
    if cooked is (row.weighed == "cooked"):
        raise Trouble(
            "weighed-same-state",
            f"expected a food in another state than 'weighed: {row.weighed}', found {described(food)}",
            "delete 'weighed' and 'yield', or name the food in its other state",
        )
    if fold(food.state) == "dry" and row.row_yield < 1:
        raise Trouble(
            "implausible-yield",
            f"expected a dry food to gain weight in cooking, found yield {row.row_yield:g} for {described(food)}",
            "yield: weight after cooking / weight before (pasta about 2.2)",
        )
    return 1 / row.row_yield if row.weighed == "cooked" else row.row_yield


def _to_taste(row: Row, portions: float, table: FoodTable, swaps: tuple[Ingredient, ...]) -> Ingredient:
    """A row that counts as nothing; refused where that could hide energy."""
    food = table.lookup(row.words if row.food is None else row.food)
    grams = PINCH_G if _PINCHED & set(fold(food.group).split()) else SPOONFUL_G
    energy = food.values.get("ENERC_kJ")
    if energy is None or energy.amount * grams / 100 > HIDDEN_KJ:
        hides = "an unknown energy" if energy is None else f"about {energy.amount * grams / 100:.0f} kJ a portion"
        raise Trouble(
            "to-taste-energy",
            f"expected an amount of {described(food)}, found 'to taste', which hides {hides}",
            f"'to taste' is for what adds less than {HIDDEN_KJ:g} kJ a portion; weigh it: write grams",
        )
    return Ingredient(row, food, None, Scale.TASTE, "", 0.0, 0.0, 0.0, 0.0, swaps)


def _of_recipe(
    row: Row, slug: str, system: MeasureSystem, dish_of: DishOf, swaps: tuple[Ingredient, ...]
) -> Ingredient:
    """A row that names another recipe, in portions or by weight."""
    dish = dish_of(slug)
    quantity = row.quantity
    if quantity is None:
        raise Trouble("recipe-row", f"expected an amount of the recipe '{slug}', found 'to taste'", "write grams")
    tokens = row.words.split()
    unit, used = system.leading(tokens)
    if not dish.basis_g > 0:
        raise Trouble("empty-recipe", f"expected a recipe with weight, found '{slug}' without any", "weigh its rows")
    if len(tokens) == 1 and tokens[0].lower() in _PORTIONS:
        per_unit, scale, measure = dish.basis_g / dish.page.portions, Scale.PORTIONS, tokens[0].lower()
    elif unit is not None and unit.kind == MASS and used == len(tokens):
        per_unit, scale, measure = unit.factor, Scale.MASS, unit.name
    else:
        raise Trouble(
            "recipe-row",
            f"expected grams or portions of the recipe '{slug}', found '{row.text}'",
            "amount: 150 g, or amount: 2 portions",
        )
    weighed = quantity.middle * per_unit
    if not weighed <= MOST_GRAMS:
        raise _absurd(row, weighed)
    counted = per_unit * row.eaten
    return Ingredient(
        row,
        None,
        dish,
        scale,
        measure,
        weighed,
        quantity.middle * counted,
        quantity.low * counted,
        quantity.high * counted,
        swaps,
    )


def _absurd(row: Row, grams: float) -> Trouble:
    return Trouble("bad-amount", f"expected less than a tonne, found '{row.text}' ({grams / 1000:,.0f} kg)", "check it")
