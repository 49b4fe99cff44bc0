"""Takes site_demo/, gives every recipe read, computed and labelled on a fixed day, with all problems met."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from gramwright.labelling import statements
from gramwright.labelling.label import label
from gramwright.model import Dish, Label, RecipePage
from gramwright.problems import ProblemLog
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.hub import scan
from gramwright.publishing.kitchen import Kitchen, open_kitchen

HUB = Path(__file__).resolve().parents[2] / "site_demo"
TODAY = date(2026, 11, 25)
"""A day after all the demo's own dates."""


@dataclass(frozen=True)
class Cooked:
    """One recipe all the way through."""

    source: str
    page: RecipePage
    dish: Dish
    label: Label

    def a_portion(self, tag: str) -> float:
        return self.label.per_portion[tag].amount


@dataclass(frozen=True)
class Demo:
    kitchen: Kitchen
    recipes: dict[str, Cooked]
    problems: list[str]


def read_demo() -> Demo:
    log = ProblemLog()
    hub = scan(HUB)
    kitchen = open_kitchen(hub, TODAY, log)
    assert kitchen is not None, [str(problem) for problem in log]
    own = [food for food in kitchen.table.foods if food.place.file.startswith("foods/")]
    statements.check(own, kitchen.rules.id, kitchen.settings, TODAY, log)
    slugs = {Path(name).stem: name for name in hub.under("recipes")}
    book = Cookbook(kitchen, slugs)
    recipes: dict[str, Cooked] = {}
    for slug, file in sorted(slugs.items()):
        data = hub.read(file)
        page = book.page(file, data, log)
        dish = None if page is None else book.dish(page, log)
        if page is None or dish is None:
            continue
        found = label(dish, kitchen.rules, kitchen.books, kitchen.settings, kitchen.vocabulary, log, TODAY)
        recipes[slug] = Cooked(data.decode("utf-8"), page, dish, found)
    problems = [f"{p.place}: {p.severity} {p.code}: {p.message}" for p in log.sorted()]
    return Demo(kitchen, recipes, problems)
