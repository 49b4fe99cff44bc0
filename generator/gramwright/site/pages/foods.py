"""The foods that the recipes are computed from. Takes foods and cards, gives foods/index.html.

Template `foods.html` gets `shell` and `foods`, a FoodsView.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from gramwright.model import KJ_PER_KCAL, Food
from gramwright.site.cards import Card
from gramwright.site.pages.listing import path_name
from gramwright.site.theme import Theme, safe_path
from gramwright.site.words import Words

PATH = "foods/index.html"


class FoodRow(NamedTuple):
    name: str
    href: str
    energy: str
    """kcal in 100 g; '' when it is not known."""
    source: str
    used: str


class FoodGroup(NamedTuple):
    name: str
    anchor: str
    rows: tuple[FoodRow, ...]


@dataclass(frozen=True, slots=True)
class FoodsView:
    """What `foods.html` gets."""

    count: str
    groups: tuple[FoodGroup, ...]


def render(theme: Theme, foods: Sequence[Food], cards: Sequence[Card]) -> dict[str, bytes]:
    """The page; every food given must have a page of its own."""
    words = theme.words
    root = theme.root(PATH)
    counts: dict[str, int] = {}
    for card in cards:
        for food_id in {use.food for use in card.uses}:
            counts[food_id] = counts.get(food_id, 0) + 1
    grouped: dict[str, list[Food]] = {}
    for food in sorted(foods, key=lambda food: (food.name.casefold(), food.id)):
        grouped.setdefault(food.group, []).append(food)
    view = FoodsView(
        count=words("foods.description", n=len(foods)),
        groups=tuple(
            FoodGroup(
                _group_name(group, words),
                path_name(group) or "other",
                tuple(_row(food, counts, words, root) for food in grouped[group]),
            )
            for group in sorted(grouped, key=lambda group: (not group, _group_name(group, words)))
        ),
    )
    shell = theme.shell(PATH, kind="foods", title=words("foods.title"), description=view.count, section="foods")
    return {PATH: theme.render("foods.html", shell, foods=view)}


def _group_name(group: str, words: Words) -> str:
    if not group:
        return words("foods.other_group")
    return words.get(f"food_groups.{group}", group.replace("-", " ").capitalize())


def _row(food: Food, counts: dict[str, int], words: Words, root: str) -> FoodRow:
    energy = food.values.get("ENERC_kJ")
    used = counts.get(food.id, 0)
    return FoodRow(
        name=food.name,
        href=f"{root}foods/{safe_path(food.id)}/index.html",
        energy="" if energy is None else words.number(energy.amount / KJ_PER_KCAL),
        source=food.source,
        used=words("foods.used", n=used) if used else words("foods.unused"),
    )
