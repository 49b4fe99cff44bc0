"""Grams -> components. Takes a recipe page and its resolved ingredients, gives the computed dish.

Mixed method (EuroFIR report D2.2.9; FAO, Greenfield & Southgate 2003, appendix):
retention at ingredient level, yield at recipe level:

    total(n) = sum over rows of  grams x value(n) / 100 x kept(n)

over the rows that count (optional ones do not). Totals are of the whole batch,
unrounded. WATER_g is the finished dish's water: what went in, plus the change
of weight in cooking where the finished weight is known (the change of weight
is water), never below nothing. With no finished weight it is the raw sum.
"""

from __future__ import annotations

from collections.abc import Mapping

from gramwright.model import Dish, Ingredient, RecipePage, Tag
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.checks import check_dry_weights, check_rows, check_weight
from gramwright.nutrition.parts import content_of, water_change, weight_ends
from gramwright.nutrition.ranges import totals
from gramwright.nutrition.yields import finished_weight, page_place
from gramwright.problems import ProblemLog, Trouble


def compute(
    page: RecipePage, ingredients: tuple[Ingredient, ...], books: NutritionBooks, log: ProblemLog
) -> Dish | None:
    """The dish, or None when an error was logged. Warnings do not stop it."""
    checked = check_rows(ingredients, books, log)
    if checked is None:
        return None
    ingredients = checked
    counted = tuple(item for item in ingredients if not item.row.optional)
    raw_g = sum(item.grams for item in counted)
    if raw_g <= 0:
        log.error(
            page.place,
            "weighs-nothing",
            "expected at least one row that counts, found none with a weight",
            "Give a row an amount, or leave 'optional' away from one.",
        )
        return None
    try:
        finished = finished_weight(page, raw_g, books.yields)
    except Trouble as trouble:
        log.add(trouble.at(page_place(page, "yield")))
        return None
    check_weight(page, counted, raw_g, finished.grams, log)
    check_dry_weights(page, counted, raw_g, finished.grams, log)
    content = content_of(counted, books)
    ends = weight_ends(finished.grams, finished.by, page.yield_name, books)
    water = water_change(content, raw_g, finished.grams, ends, books)
    figures = totals(content, books, water)
    rows = tuple([amounts(item, books) for item in ingredients])
    dish = Dish(page, ingredients, raw_g, finished.grams, finished.by, figures, rows)
    books.last_content = (dish, content)
    return dish


def amounts(ingredient: Ingredient, books: NutritionBooks) -> Mapping[Tag, float]:
    """The known amounts of one row as eaten, after retention, over the whole batch; an unknown tag is absent.

    For a row that is a recipe: the recipe's totals by the share that is used.
    Raises Trouble 'unknown-retention-code'.
    """
    grams = ingredient.grams
    if ingredient.dish is not None:
        basis = ingredient.dish.basis_g
        factor = grams / basis if basis > 0 else 0.0
        return {tag: figure.amount * factor for tag, figure in ingredient.dish.totals.items()}
    if ingredient.food is None:
        return {}
    profile = books.profile(ingredient.food, ingredient.row.cooked_as)
    return dict(zip(profile.tags, [each * grams for each in profile.amounts]))  # noqa: B905  both of one making
