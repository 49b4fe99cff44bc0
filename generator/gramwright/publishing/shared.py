"""Takes every recipe's record, gives the pages that belong to no single recipe: home, lists, find, foods, feeds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from gramwright.model import Food
from gramwright.prep.made import PlanMade
from gramwright.problems import ProblemLog
from gramwright.publishing import tree
from gramwright.publishing.house import food_fingerprint
from gramwright.publishing.kitchen import Kitchen
from gramwright.publishing.state import Record
from gramwright.site import feeds
from gramwright.site.cards import Card, Use
from gramwright.site.pages import bands, corrections, find, food, foods, home, listing, method, missing, offline, plan
from gramwright.site.standing import Standing
from gramwright.site.theme import Theme

Uses = Mapping[str, Sequence[tuple[Card, Use]]]
"""Food id -> the recipes that use it, and how."""


def shared_pages(
    kitchen: Kitchen,
    theme: Theme,
    records: Sequence[Record],
    plans: Sequence[PlanMade],
    log: ProblemLog,
    standing: Standing | None = None,
) -> dict[str, bytes]:
    """Path -> bytes of everything that belongs to no single recipe, but for the pages that stay as they are."""
    cards = [record.card for record in records]
    uses = uses_of(cards)
    shown = [entry for entry in kitchen.table.foods if entry.id in uses or entry.id in kitchen.own_foods]
    standing = standing or Standing()
    pages: dict[str, bytes] = {}
    pages.update(home.render(theme, cards))
    pages.update(listing.render(theme, cards, standing))
    pages.update(foods.render(theme, shown, cards))
    pages.update(food_pages(kitchen, theme, shown, records, uses, standing))
    pages.update(method.render(theme, kitchen.rules, shown, kitchen.also))
    pages.update(corrections.render(theme, logged(kitchen, frozenset(entry.id for entry in shown))))
    pages.update(missing.render(theme))
    slugs = frozenset(card.slug for card in cards)
    with_pages = frozenset(entry.id for entry in shown)
    pages.update(plan.render(theme, plans, kitchen.rules, with_pages, slugs.__contains__, log))
    pages.update(find_pages(theme, cards, shown, standing))
    pages.update(theme.asset_files())
    unlisted = plan.unlisted(plans)
    pages.update(feeds.files(theme, cards, [path for path in (*pages, *standing.stayed) if path not in unlisted]))
    pages.update(offline.render(theme))
    return pages


def standing_of(records: Sequence[Record], known: Mapping[str, str]) -> Standing:
    """What the shared pages are compared with. `known`: what the last publish noted, in the same house."""
    return Standing({record.slug: tree.digest(record.card_text.encode()) for record in records}, known)


def food_pages(
    kitchen: Kitchen, theme: Theme, shown: Sequence[Food], records: Sequence[Record], uses: Uses, standing: Standing
) -> dict[str, bytes]:
    """A page for every food shown, but for those that stay as they are."""
    marks = {record.slug: _use_mark(record.card_text) for record in records}
    pages: dict[str, bytes] = {}
    for entry in shown:
        mine = uses.get(entry.id, ())
        made_from = [f"{marks[card.slug]} {card.slug} {card.energy_kcal} {card.title}" for card, _ in mine]
        fingerprint = food_fingerprint(entry, kitchen.settings, kitchen.today)
        if not standing.made_from(food.path_of(entry.id), made_from, fingerprint, entry.aliases):
            pages.update(food.render(theme, entry, mine))
    return pages


def _use_mark(card_text: str) -> str:
    """Changes when the foods of a card do: its JSON from there on (a quote inside a text of the card is escaped)."""
    return tree.digest(card_text[card_text.index('"uses":') :].encode())


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


def find_pages(
    theme: Theme, cards: Sequence[Card], shown: Sequence[Food], standing: Standing | None = None
) -> dict[str, bytes]:
    """The finder with its index, and the lists by energy, protein and tag that need no script."""
    also = {entry.name: entry.aliases for entry in shown}
    index = find.index(theme, cards, also=also)
    return {**index, **find.render(theme, cards, index), **bands.render(theme, cards, standing)}
