"""Takes every recipe's record, gives the pages that belong to no single recipe: home, lists, find, foods, feeds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from gramwright.model import Food
from gramwright.prep.made import PlanMade
from gramwright.problems import ProblemLog
from gramwright.publishing.kitchen import Kitchen
from gramwright.publishing.state import Record
from gramwright.site import feeds
from gramwright.site.cards import Card, Use
from gramwright.site.pages import bands, corrections, find, food, foods, home, listing, method, missing, plan
from gramwright.site.theme import Theme

Uses = Mapping[str, Sequence[tuple[Card, Use]]]
"""Food id -> the recipes that use it, and how."""


def shared_pages(
    kitchen: Kitchen, theme: Theme, records: Sequence[Record], plans: Sequence[PlanMade], log: ProblemLog
) -> dict[str, bytes]:
    """Path -> bytes of everything that belongs to no single recipe."""
    cards = [record.card for record in records]
    uses = uses_of(cards)
    shown = [entry for entry in kitchen.table.foods if entry.id in uses or entry.id in kitchen.own_foods]
    pages: dict[str, bytes] = {}
    pages.update(home.render(theme, cards))
    pages.update(listing.render(theme, cards))
    pages.update(foods.render(theme, shown, cards))
    for entry in shown:
        pages.update(food.render(theme, entry, uses.get(entry.id, ())))
    pages.update(method.render(theme, kitchen.rules, shown, kitchen.also))
    pages.update(corrections.render(theme, logged(kitchen, frozenset(entry.id for entry in shown))))
    pages.update(missing.render(theme))
    slugs = frozenset(card.slug for card in cards)
    with_pages = frozenset(entry.id for entry in shown)
    pages.update(plan.render(theme, plans, kitchen.rules, with_pages, slugs.__contains__, log))
    pages.update(find_pages(theme, cards, shown))
    pages.update(theme.asset_files())
    pages.update(feeds.files(theme, cards, [path for path in pages if path not in plan.unlisted(plans)]))
    return pages


def uses_of(cards: Sequence[Card]) -> Uses:
    """What each food is used in, in the order of the cards."""
    uses: dict[str, list[tuple[Card, Use]]] = {}
    for card in cards:
        for use in card.uses:
            uses.setdefault(use.food, []).append((card, use))
    return uses


def logged(kitchen: Kitchen, with_pages: frozenset[str]) -> list[corrections.Correction]:
    """The log of corrections with the foods' names."""
    return [
        corrections.Correction(
            date=entry.date,
            food=entry.food,
            food_name=kitchen.name_of(entry.food),
            tag=entry.component,
            old=entry.old,
            new=entry.new,
            reason=entry.reason,
            has_page=entry.food in with_pages,
        )
        for entry in kitchen.corrections
    ]


def find_pages(theme: Theme, cards: Sequence[Card], shown: Sequence[Food]) -> dict[str, bytes]:
    """The finder with its index, and the lists by energy, protein and tag that need no script."""
    also = {entry.name: entry.aliases for entry in shown}
    index = find.index(theme, cards, also=also)
    return {**index, **find.render(theme, cards, index), **bands.render(theme, cards)}
