"""Takes a kitchen, gives the figures of its recipes without rendering a page: what `correct` and `compare` look at."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from gramwright.labelling.label import label
from gramwright.model import Dish
from gramwright.problems import ProblemLog
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.kitchen import Kitchen
from gramwright.site.facts import facts

Progress = Callable[[int, int], None]


class Weighed(NamedTuple):
    """One recipe's figures and the foods they come from."""

    slug: str
    facts: Mapping[str, Any]
    foods: frozenset[str]
    """Ids of every food in it, optional rows, swaps and sub-recipes too."""


def weigh(
    kitchen: Kitchen, slugs: Mapping[str, str], files: Iterable[str], log: ProblemLog, progress: Progress | None = None
) -> Iterator[Weighed]:
    """Computes recipes in the order given; those with errors are logged and left out."""
    cookbook = Cookbook(kitchen, slugs)
    listed = list(files)
    for number, file in enumerate(listed, 1):
        mine = ProblemLog()
        page = cookbook.page(file, kitchen.hub.read(file), mine)
        dish = None if page is None else cookbook.dish(page, mine)
        if dish is not None:
            labelled = label(
                dish, kitchen.rules, kitchen.books, kitchen.settings, kitchen.vocabulary, mine, kitchen.today
            )
            if not mine.has_errors:
                yield Weighed(dish.page.slug, facts(dish, labelled), frozenset(foods_in(dish)))
        log.extend(mine)
        if progress:
            progress(number, len(listed))


def foods_in(dish: Dish) -> Iterator[str]:
    """Ids of all foods of a dish at any depth, repeats included."""
    for ingredient in dish.ingredients:
        for one in (ingredient, *ingredient.swaps):
            if one.food is not None:
                yield one.food.id
            elif one.dish is not None:
                yield from foods_in(one.dish)
