"""Cautions of what is left out as written. Takes a dish and its figures, gives those that only a choice brings.

The figures of a page are of the recipe as written, and so are its cautions
(see cautions). Honey that is optional is honey all the same: whoever takes it is
told beforehand, without having to choose it on the page first.

    by_choice(dish, per_portion, per_100g, rules_id, settings) -> tuple[ChoiceCaution, ...]

What the option itself brings is added to the figures as it goes in, nothing lost
in cooking: rather a caution too many. A caution that the author silences for the
recipe as written is silenced for that alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

from gramwright.labelling import cautions
from gramwright.labelling.caution_rules import limited_tags, matched_by
from gramwright.model import Caution, Dish, Figure, Ingredient, Settings, Tag
from gramwright.problems import ProblemLog


class ChoiceCaution(NamedTuple):
    """A caution that holds only with one of the named foods."""

    names: tuple[str, ...]
    caution: Caution


def by_choice(
    dish: Dish,
    per_portion: Mapping[Tag, Figure],
    per_100g: Mapping[Tag, Figure],
    rules_id: str,
    settings: Settings,
) -> tuple[ChoiceCaution, ...]:
    """In the order of the rows; () at no cost where there is nothing to choose."""
    if not any(each.swaps or each.row.optional for each in dish.ingredients):
        return ()
    fitting = _fitting(dish.counted)
    options = [
        (index, option)
        for index, option in _options(dish)
        if not _fitting([option]) <= fitting or any(_brings(option, tag) for tag in limited_tags())
    ]
    if not options:
        return ()
    bare = replace(dish, page=replace(dish.page, silenced=(), cautions=()))
    plain = replace(settings, cautions=())
    written = {each.id for each in cautions.apply(bare, per_portion, per_100g, rules_id, plain, ProblemLog())}
    found: dict[str, tuple[list[str], Caution]] = {}
    for index, option in options:
        rows = list(dish.ingredients)
        rows[index] = option
        portion, hundred = _with(option, dish, per_portion, per_100g)
        chosen = replace(bare, ingredients=tuple(rows))
        for caution in cautions.apply(chosen, portion, hundred, rules_id, plain, ProblemLog()):
            if caution.id not in written:
                names, _ = found.setdefault(caution.id, ([], caution))
                if option.name not in names:
                    names.append(option.name)
    return tuple(ChoiceCaution(tuple(names), caution) for names, caution in found.values())


def _fitting(ingredients: Iterable[Ingredient]) -> frozenset[int]:
    """What the cautions' rules ask of foods and some counted food answers, sub-recipes opened."""
    found: set[int] = set()
    for each in ingredients:
        if each.food is not None:
            found |= matched_by(each.food)
        elif each.dish is not None:
            found |= _fitting(each.dish.counted)
    return frozenset(found)


def _options(dish: Dish) -> Iterator[tuple[int, Ingredient]]:
    """Every swap and every optional row, as one that counts, with the row that it stands in for."""
    for index, each in enumerate(dish.ingredients):
        for option in (each, *each.swaps) if each.row.optional else each.swaps:
            yield index, replace(option, row=replace(option.row, optional=False))


def _with(
    option: Ingredient, dish: Dish, per_portion: Mapping[Tag, Figure], per_100g: Mapping[Tag, Figure]
) -> tuple[dict[Tag, Figure], dict[Tag, Figure]]:
    """The figures of a portion and of 100 g with what the option brings on top."""
    portion, hundred = dict(per_portion), dict(per_100g)
    for tag in limited_tags():
        brought = _brings(option, tag)
        if brought is None:
            continue
        portion[tag] = _more(portion.get(tag), brought / dish.page.portions, 1.0)
        share = dish.basis_g / (dish.basis_g + option.grams)
        hundred[tag] = _more(hundred.get(tag), 100 * brought / (dish.basis_g + option.grams), share)
    return portion, hundred


def _more(figure: Figure | None, brought: float, share: float) -> Figure:
    if figure is None:
        return Figure(brought, brought, brought, 0.0)
    amount = figure.amount * share + brought
    return Figure(amount, amount, amount, figure.coverage)


def _brings(option: Ingredient, tag: Tag) -> float | None:
    """How much of a component an option has; None where that is not known."""
    if option.food is not None:
        value = option.food.values.get(tag)
        return None if value is None else value.amount * option.grams / 100
    dish = option.dish
    if dish is None or tag not in dish.totals or not dish.basis_g:
        return None
    return dish.totals[tag].amount * option.grams / dish.basis_g
