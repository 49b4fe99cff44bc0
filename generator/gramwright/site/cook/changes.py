"""Single changes. Takes a dish taken apart, gives every swap and every optional row alone: what a portion has then."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from gramwright.labelling import allergen_rules
from gramwright.labelling.allergens import choices
from gramwright.labelling.energy import declared
from gramwright.labelling.rules_model import RuleSet
from gramwright.model import Dish, Figure, Presence, Settings
from gramwright.nutrition.ranges import Spread
from gramwright.nutrition.variants import LEFT_OUT, options, taken, written
from gramwright.site.cook.ledgers import Ledger, Ledgers
from gramwright.site.rows_view import said
from gramwright.site.words import Words


class ChangeView(NamedTuple):
    """One line of the table."""

    name: str
    energy: str
    """kcal a portion, with 'at least' where that is all that is known; '' for not known."""
    protein: str
    allergens: tuple[str, ...]
    """What the change adds or takes away, in words."""


def changes(
    dish: Dish, books: Ledgers, settings: Settings, rules: RuleSet, today: date, words: Words
) -> tuple[ChangeView, ...]:
    """The table in the order of the rows."""
    moved = {(each.index, each.swap): each for each in choices(dish.ingredients, rules.id, settings, today)}
    names = allergen_rules.load(rules.id).names(settings.language)
    picks = sorted({at for at, _ in books.options})
    protein = books.tags.index("PROCNT_g") if "PROCNT_g" in books.tags else None
    made: list[ChangeView] = []
    for at in picks:
        item = dish.ingredients[at]
        others = [
            books.options[other, written(dish.ingredients[other])]
            for other in picks
            if other != at and written(dish.ingredients[other]) != LEFT_OUT
        ]
        for option in options(item):
            chosen = taken(item, option)
            if option == written(item) or chosen is None:
                continue
            parts = [books.fixed, *others, books.options[at, option]]
            amount, name = said(chosen)
            key = "cook.add" if option == 0 else "cook.add_other" if item.row.optional else "cook.instead"
            change = moved.get((at, None if option == 0 else option - 1))
            told: list[str] = []
            if change is not None:
                for word, states in (("cook.gains", change.adds), ("cook.loses", change.removes)):
                    for presence in Presence:
                        ids = [names[each] for each, state in states.items() if state is presence and each in names]
                        if ids:
                            told.append(words(f"{word}_{presence.value}", names=words("list.comma").join(ids)))
            made.append(
                ChangeView(
                    name=words(key, amount=words.localised(amount), name=name, other=said(item)[1]),
                    energy=_energy(parts, dish.page.portions, settings, words),
                    protein=_protein(parts, protein, dish.page.portions, words),
                    allergens=tuple(told),
                )
            )
    return tuple(made)


def _energy(parts: list[Ledger], portions: float, settings: Settings, words: Words) -> str:
    kj = _sum([each.kj for each in parts])
    figure = declared(kj, _sum([each.kcal for each in parts]), _sum([each.table for each in parts]), settings).kcal
    return "" if figure is None else _least(words.number(figure.amount / portions), figure.coverage, words)


def _sum(spreads: list[Spread]) -> Figure | None:
    """The amount of several ledgers; its range is not asked for here."""
    amount = covered = share = 0.0
    for each in spreads:
        amount += each.amount
        covered += each.covered_g
        share += each.share_g
    if covered <= 0:
        return None
    whole = covered > share * (1 - 1e-12)
    return Figure(amount, amount, amount, 1.0 if whole else covered / share)


def _protein(parts: list[Ledger], at: int | None, portions: float, words: Words) -> str:
    if at is None:
        return ""
    known = [amount for each in parts if each.amounts and (amount := each.amounts[at]) is not None]
    if not known:
        return ""
    complete = not any(each.unknown_g[at] for each in parts if each.amounts)
    return _least(words.grams(sum(known) / portions), 1.0 if complete else 0.0, words)


def _least(text: str, coverage: float, words: Words) -> str:
    return text if coverage >= 1 else f"{words('declaration.at_least')} {text}"
