"""Conditions of claims that only the rows can answer. Takes a dish, gives yes, no or None (not known) with the reason.

A yes needs proof from every counted row, at any depth of sub-recipes: a plain
food of a composition table, or a figure that leaves no room for an addition.
Rows "to taste" count: whoever seasons to taste adds salt.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from gramwright.labelling.by_food import ByFood
from gramwright.labelling.claim_data import Added, claim_data
from gramwright.labelling.rules_model import Rows
from gramwright.labelling.sentences import Sentences
from gramwright.model import Dish, Food, Quality, Scale

_WORD = re.compile(r"[a-zà-ÿ]+(?:-[a-zà-ÿ]+)*")


class Answer(NamedTuple):
    holds: bool | None
    because: str


def leaves(dish: Dish) -> list[tuple[Food, Scale]]:
    """Every counted food and how it was measured, sub-recipes opened (each once), in row order."""
    found: list[tuple[Food, Scale]] = []
    _open(dish, set(), found)
    return found


def _open(dish: Dish, opened: set[int], found: list[tuple[Food, Scale]]) -> None:
    opened.add(id(dish))
    for ingredient in dish.ingredients:
        if ingredient.row.optional:
            continue
        if ingredient.food is not None:
            found.append((ingredient.food, ingredient.scale))
        elif ingredient.dish is not None and id(ingredient.dish) not in opened:
            _open(ingredient.dish, opened, found)


def answer(rows: Rows, foods: Iterable[Food], law: str, liquid: bool, spoken: Sentences) -> Answer:
    """Whether a row condition holds for a dish of these foods under a law, with the reason in a language."""
    if rows is Rows.COMPARISON:
        return Answer(None, spoken["rows.comparison"])
    if rows is Rows.PROTEIN_QUALITY:
        return Answer(None, spoken.say("rows.protein_quality", law=law))
    if rows is Rows.UNLISTED:
        return Answer(False, spoken.say("rows.not_listed", law=law))
    if rows is Rows.LIQUID:
        return Answer(liquid, spoken["rows.drink" if liquid else "rows.no_drink"])
    if rows is Rows.NO_ADDED_SUGARS:
        return _every(foods, _sugars_verdict, "sugars", spoken)
    return _every(foods, _salt_verdict, "salt", spoken)


def _every(foods: Iterable[Food], judge: ByFood[bool | None], what: str, spoken: Sentences) -> Answer:
    """`judge` says of a food: True nothing is added, False something is, None not known."""
    doubtful: list[str] = []
    for food in foods:
        verdict = judge(food)
        if verdict is False:
            return Answer(False, spoken.say("rows.adds", food=food.name))
        if verdict is None:
            doubtful.append(food.name)
    if doubtful:
        many = len(doubtful)
        return Answer(None, spoken.counted(f"rows.doubtful_{what}", many, foods=spoken.some(doubtful)))
    return Answer(True, spoken[f"rows.no_added_{what}"])


def _sugars(food: Food) -> bool | None:
    added = claim_data().sugars
    sugars, extra = food.values.get("SUGAR_g"), food.values.get("SUGAD_g")
    if food.group in added.adds or "honey" in food.kinds:
        if sugars is None:
            return None
        return sugars.amount <= 0
    if extra is not None and extra.amount > 0:
        return False
    if extra is not None or (sugars is not None and sugars.amount <= 0 and sugars.limit is None):
        return None if food.group in added.maybe else True
    return _plain(food, added)


def _salt(food: Food) -> bool | None:
    added = claim_data().salt
    sodium = food.values.get("NA_mg")
    if food.group in added.adds:
        return sodium is not None and sodium.amount <= added.free_mg
    if sodium is None:
        return None
    if sodium.amount >= added.certain_mg:
        return False
    if sodium.amount <= added.free_mg:
        return True
    return _plain(food, added) if sodium.amount <= added.natural_mg else None


def _plain(food: Food, added: Added) -> bool | None:
    """True for a plain food of a composition table; None otherwise."""
    if food.quality not in (Quality.TABLE, Quality.ANALYSED) or food.group not in added.plain:
        return None
    said = f" {' '.join(_WORD.findall(f'{food.name} {food.state}'.lower()))} "
    return None if any(f" {word} " in said for word in added.words) else True


def salts(food: Food) -> bool:
    """Whether a food surely brings salt: salt itself, a stock, whatever holds as much as no food does by nature."""
    return _salt_verdict(food) is False


_sugars_verdict: ByFood[bool | None] = ByFood(_sugars)
_salt_verdict: ByFood[bool | None] = ByFood(_salt)
