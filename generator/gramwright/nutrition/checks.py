"""Does a recipe make sense? Takes rows and weights, adds located problems to the log."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from gramwright.model import Ingredient, RecipePage
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.yields import page_place
from gramwright.problems import ProblemLog, Trouble

DRY_UPTAKE = 2.2
"""Grams of water that 1 g of a dry food takes up at most in cooking: rice to 3.2 times its weight (from memory)."""

SWELLING_GROUPS = frozenset({"pasta-and-noodles", "rice", "pulses"})
"""Groups whose dry foods are always cooked in water before they are eaten (ids of content/foods/vocabulary.yaml)."""

LEAST_UPTAKE = 0.8
"""Grams of water that 1 g of those takes up at least: pasta to 2.0 times its weight (from memory), a little under."""

MOST_DRY_PER_PORTION = 250.0
"""Grams of such a dry food in a portion above which it was rather weighed cooked (own judgement: 3,700 kJ and more)."""

_MOST_GAIN = 1.1
_LEAST_KEPT = 0.2
_SOLID_KEPT = 0.8
_HEATED_AGAIN = ("reheat", "heated", "canned", "ready", "rte")


def check_rows(
    ingredients: tuple[Ingredient, ...], books: NutritionBooks, log: ProblemLog
) -> tuple[Ingredient, ...] | None:
    """The rows as they count, with their swaps, or None when an error was logged.

    A food whose figures are of the cooked food keeps all of them, whatever its row says: that is a warning.
    """
    found: list[Ingredient] = []
    fine = True
    for item in ingredients:
        checked: Ingredient | None = item
        if item.row.cooked_as is not None:
            checked = _check_code(item, item.row.cooked_as, books, log)
        if item.row.weighed is not None:
            _check_row_yield(item, books, log)
        if item.swaps:
            swaps = check_rows(item.swaps, books, log)
            if swaps is None:
                checked = None
            elif checked is not None and swaps is not item.swaps:
                checked = replace(checked, swaps=swaps)
        if checked is None:
            fine = False
        else:
            found.append(checked)
    if not fine:
        return None
    same = all(made is item for made, item in zip(found, ingredients, strict=True))
    return ingredients if same else tuple(found)


def _check_row_yield(item: Ingredient, books: NutritionBooks, log: ProblemLog) -> None:
    """Warns of a yield that the row's food can hardly have: chicken that doubles, lentils that take up nothing."""
    food, found = item.food, item.row.row_yield
    if food is None or found is None:
        return
    limits = books.row_yields
    state = "dry" if (food.group, "dry") in limits else "raw"
    if item.row.weighed == "cooked":
        state = food.state
    low, high = limits.get((food.group, state)) or limits.get((food.group, "")) or (0.0, found)
    if not low <= found <= high:
        log.warn(
            item.row.place,
            "implausible-yield",
            f"expected a yield from {low:g} to {high:g} for '{food.name}' (weight after cooking / weight before), "
            f"found {found:g}",
            "Weigh it raw and cooked once, or name the food in the state it was weighed in and delete 'weighed'.",
        )


def _check_code(item: Ingredient, code: str, books: NutritionBooks, log: ProblemLog) -> Ingredient | None:
    """The row as it counts: without the code where the food's figures have the loss in them already."""
    place = item.row.place
    if item.food is None:
        log.error(
            place,
            "retention-of-recipe",
            f"expected cooked_as only on a food, found it on the recipe '{item.name}', whose rows carry their own",
            "Put cooked_as on the rows of that recipe.",
        )
        return None
    try:
        preparation = books.retention.get(code)
    except Trouble as trouble:
        log.add(trouble.at(place))
        return None
    words = preparation.description.casefold()
    if item.food.state in books.looseness.already_cooked and not any(word in words for word in _HEATED_AGAIN):
        log.warn(
            place,
            "cooked-twice",
            f"expected cooked_as on a raw food, found it on '{item.food.name}' ({item.food.state}): its figures are "
            f"of the cooked food already, so the loss of '{preparation.description}' is not taken off again",
            "Delete cooked_as, or name the raw food and its raw weight.",
        )
        return replace(item, row=replace(item.row, cooked_as=None))
    return item


def check_weight(
    page: RecipePage, counted: Sequence[Ingredient], raw_g: float, finished_g: float | None, log: ProblemLog
) -> None:
    """Warns of a finished weight that the rows can hardly come to."""
    if finished_g is None:
        return
    place = page_place(page, "finished_weight", "yield")
    dry = sum(item.grams for item in counted if item.food is not None and item.food.state == "dry")
    most = raw_g * _MOST_GAIN + dry * DRY_UPTAKE
    if finished_g > most:
        log.warn(
            place,
            "finished-too-heavy",
            f"expected a finished weight up to about {most:.0f} g from {raw_g:.0f} g of ingredients, "
            f"found {finished_g:.0f} g",
            "Add the water that the dish takes up as a row, or check the weight and that the dish was weighed "
            "without its tin.",
        )
        return
    if finished_g >= _SOLID_KEPT * raw_g:  # no dry matter is more than all of it
        return
    least = max(raw_g * _LEAST_KEPT, _SOLID_KEPT * _dry_matter(counted))
    if finished_g < least:
        log.warn(
            place,
            "finished-too-light",
            f"expected a finished weight of at least about {least:.0f} g from {raw_g:.0f} g of ingredients, "
            f"found {finished_g:.0f} g: more is gone than the water that was in it",
            "Weigh the whole batch, not a portion; give rows that are drained or left over an 'eaten' share.",
        )


def check_dry_weights(
    page: RecipePage, counted: Sequence[Ingredient], raw_g: float, finished_g: float | None, log: ProblemLog
) -> None:
    """Warns of a dry food that was weighed cooked: too much for a portion, or a batch too light for it."""
    for item in counted:
        food = item.food
        if food is None or food.state != "dry" or food.group not in SWELLING_GROUPS or item.row.weighed is not None:
            continue
        share = item.grams / page.portions
        found = ""
        if share > MOST_DRY_PER_PORTION:
            found = f"found {share:.0f} g a portion of '{food.name}'"
        elif finished_g is not None and item.grams > 0.2 * raw_g:
            water = _water(other for other in counted if other is not item)
            if water is not None and finished_g - raw_g + water < LEAST_UPTAKE * item.grams:
                found = (
                    f"found {item.grams:.0f} g of '{food.name}' in a dish of {finished_g:.0f} g that leaves it "
                    f"{max(0.0, finished_g - raw_g + water):.0f} g of water to take up"
                )
        if found:
            log.warn(
                item.row.place,
                "dry-weighed-cooked",
                f"expected the dry weight of a dry food, {found}",
                "If it was weighed cooked, say so: weighed: cooked with its yield, or name the cooked food.",
            )


def _water(rows: Iterable[Ingredient]) -> float | None:
    """Grams of water in some rows; None where it is not known of one of them."""
    total = 0.0
    for item in rows:
        if item.food is not None:
            value = item.food.values.get("WATER_g")
            if value is None:
                return None
            total += item.grams * value.amount / 100
        elif item.dish is not None:
            figure = item.dish.totals.get("WATER_g")
            if figure is None or figure.coverage < 1:
                return None
            total += figure.amount * item.grams / item.dish.basis_g
    return total


def _dry_matter(counted: Sequence[Ingredient]) -> float:
    """Grams that cannot boil away: rows less their water, as far as it is known (0 where it is not)."""
    solid = 0.0
    for item in counted:
        if item.food is not None and "WATER_g" in item.food.values:
            alcohol = item.food.values["ALC_g"].amount if "ALC_g" in item.food.values else 0.0
            solid += item.grams * max(0.0, 100 - item.food.values["WATER_g"].amount - alcohol) / 100
    return solid
