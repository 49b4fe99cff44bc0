"""One recipe's cooking data. Takes a dish and its label, gives the data block, the table of single changes, the links.

Bench(rules, books, settings, measures, today).carry(dish, label, words) -> Carried
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from gramwright.labelling.rules_model import RuleSet
from gramwright.model import Dish, Label, Settings
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.variants import options, taken
from gramwright.site.cook.changes import ChangeView, changes
from gramwright.site.cook.data import Writer
from gramwright.site.cook.kitchen import Scales
from gramwright.site.cook.ledgers import Taker, choosable
from gramwright.site.words import Words


class Carried(NamedTuple):
    """What a recipe page gets of this room."""

    data: str
    """JSON for a script element: every '<' escaped."""
    choice: bool
    """Whether there is anything to choose."""
    changes: tuple[ChangeView, ...]


class Bench:
    """Everything that recipes share. One a process."""

    def __init__(self, rules: RuleSet, books: NutritionBooks, settings: Settings, today: date) -> None:
        self._settings = settings
        self._rules = rules
        self._today = today
        self._taker = Taker(rules, books)
        self._writer = Writer(rules, settings, today)
        self._scales = Scales()

    def carry(self, dish: Dish, label: Label, words: Words) -> Carried:
        """The data block of a page, and its table of single changes."""
        entry = self._scales.entry
        rows = ",".join([f"[{','.join([entry(each) for each in (item, *item.swaps)])}]" for item in dish.ingredients])
        data = f'{{"n":{dish.page.portions:.6g},"rows":[{rows}]}}'
        made: tuple[ChangeView, ...] = ()
        choice = bool(choosable(dish)) and _always_weighs(dish)
        if choice:
            ledgers = self._taker.ledgers(dish)
            data = f'{data[:-1]},"o":{self._writer.choices(dish, label, ledgers)}}}'
            made = changes(dish, ledgers, self._settings, self._rules, self._today, words)
        return Carried(data.replace("<", "\\u003c"), choice, made)


def _always_weighs(dish: Dish) -> bool:
    """Whether every choice leaves something with a weight."""
    least = 0.0
    for item in dish.ingredients:
        weights = [0.0 if (each := taken(item, option)) is None else each.grams for option in options(item)]
        least += min(weights)
    return least > 0
