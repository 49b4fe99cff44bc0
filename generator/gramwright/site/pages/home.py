"""The first page. Takes cards, gives index.html: all recipes along one rule, by meal, the newest.

Template `home.html` gets `shell`, `list` (a DishesView) and `home`, a HomeView.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from gramwright.site.allergen_line import allergen_names
from gramwright.site.cards import Card
from gramwright.site.listing_view import dishes
from gramwright.site.pages.listing import by_title, meals
from gramwright.site.panel import Ruling, ruling
from gramwright.site.panel_view import NumberView, numbers, ticks_path
from gramwright.site.theme import INDEX, Theme
from gramwright.site.words import Words

NEWEST = 8
"""Recipes listed on the first page."""
SOUNDING_BINS = 48
"""Columns of the drawing of all recipes, at most."""
SOUNDING_TOP = 0.98
"""Share of the recipes that the drawing's rule must reach; the few above stand at its end."""


@dataclass(frozen=True, slots=True)
class MealView:
    name: str
    href: str
    count: str


class ColumnView(NamedTuple):
    """One column of the drawing: how many recipes have an energy in its span."""

    x: str
    width: str
    y: str
    height: str


class SoundingView(NamedTuple):
    """All recipes along one rule."""

    columns: tuple[ColumnView, ...]
    ticks: str
    numbers: tuple[NumberView, ...]
    described: str


@dataclass(frozen=True, slots=True)
class HomeView:
    """What `home.html` gets beside the list."""

    title: str
    description: str
    count: str
    newest_title: str
    meals: tuple[MealView, ...]
    sounding: SoundingView | None
    find: str
    all: str
    method: str


def render(theme: Theme, cards: Sequence[Card]) -> dict[str, bytes]:
    """The first page; the newest recipes by date of publication, the first by name where no page has one."""
    words = theme.words
    by_name = sorted(cards, key=by_title)
    newest = sorted(by_name, key=lambda card: card.published, reverse=True)[:NEWEST]
    view = HomeView(
        title=theme.settings.title,
        description=theme.settings.description,
        count=words("home.all", n=len(cards)),
        newest_title=words("home.newest" if any(card.published for card in newest) else "home.some"),
        meals=tuple(
            MealView(meal.name, meal.path, words("home.more", n=len(meal.cards))) for meal in meals(by_name, words)
        ),
        sounding=_sounding(cards, words),
        find="find/index.html",
        all="recipes/index.html",
        method="method/index.html",
    )
    shell = theme.shell(INDEX, kind="home", title=theme.settings.title, description=theme.settings.description)
    listed = dishes(newest, words, allergen_names(theme.settings))
    return {INDEX: theme.render("home.html", shell, home=view, list=listed)}


def _sounding(cards: Sequence[Card], words: Words) -> SoundingView | None:
    """The recipes counted in columns along a rule; None when no energy is known."""
    energies = sorted(card.energy_kcal for card in cards if card.energy_kcal is not None)
    if not energies:
        return None
    rule = ruling(energies[min(int(len(energies) * SOUNDING_TOP), len(energies) - 1)])
    counts = _counted(energies, rule)
    most = max(counts)
    width = 100 / len(counts)
    return SoundingView(
        columns=tuple(
            ColumnView(f"{at * width:.3f}%", f"{width:.3f}%", f"{100 - 100 * n / most:.1f}%", f"{100 * n / most:.1f}%")
            for at, n in enumerate(counts)
            if n
        ),
        ticks=ticks_path(rule),
        numbers=numbers(rule, words),
        described=words(
            "home.sounding",
            n=len(energies),
            low=words.number(energies[0]),
            middle=words.number(energies[len(energies) // 2]),
            high=words.number(energies[-1]),
        ),
    )


def _counted(energies: Sequence[float], rule: Ruling) -> list[int]:
    """Recipes per column; a column spans as many short ticks as keep the columns few."""
    ticks = round(rule.end / rule.minor)
    together = next(n for n in (1, 2, 5, 10, 20, 50, 100) if ticks / n <= SOUNDING_BINS)
    counts = [0] * -(-ticks // together)
    for kcal in energies:
        counts[min(int(kcal / (rule.minor * together)), len(counts) - 1)] += 1
    return counts
