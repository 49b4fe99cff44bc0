"""The cautions of a few foods, for the tests of cautions."""

from __future__ import annotations

from tests.labelling.allergen_make import SETTINGS, dish_of, food, row_of

from gramwright.labelling import cautions
from gramwright.model import Caution, Dish, Figure, Food, RecipePage, Settings
from gramwright.problems import ProblemLog


def fig(amount: float, coverage: float = 1.0) -> Figure:
    return Figure(amount, amount, amount, coverage)


def shown(
    *foods: Food,
    page: RecipePage | None = None,
    per_portion: dict[str, Figure] | None = None,
    per_100g: dict[str, Figure] | None = None,
    rules: str = "eu",
    settings: Settings = SETTINGS,
    log: ProblemLog | None = None,
    dish: Dish | None = None,
) -> dict[str, Caution]:
    rows = [row_of(each) for each in foods] or [row_of(food())]
    made = dish if dish is not None else dish_of(*rows, page=page)
    into = log if log is not None else ProblemLog()
    found = cautions.apply(made, per_portion or {}, per_100g or {}, rules, settings, into)
    assert log is not None or not list(into)
    return {each.id: each for each in found}
