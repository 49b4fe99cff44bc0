"""Takes a computed dish and a rule set, gives its energy: kJ and kcal as two sums, what it comes from, row by row.

Energy by factors counts when every required component (protein, fat,
carbohydrate, fibre where the law counts it) is known for every counted row;
alcohol, polyols, erythritol and organic acids that are not known count as none.
Otherwise, or when hub.yaml says `energy: table`, the composition table's own
energy counts, if it is known for more of the dish. All sums are of the whole batch.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from gramwright.labelling.rules_model import RuleSet
from gramwright.model import KJ_PER_KCAL, Dish, EnergyPart, Figure, Ingredient, Settings, Tag
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.figures import combine, uncertain

COMPLETE = 1 - 1e-9
"""Coverage from which a figure counts as known throughout."""

TABLE_KCAL: Mapping[Tag, float] = {"ENERC_kJ": 1 / KJ_PER_KCAL}


class Energy(NamedTuple):
    """Energy of the whole batch. `kj` and `kcal` are what is declared; None where nothing is known."""

    by: str
    """'factors' or 'table'."""
    kj: Figure | None
    kcal: Figure | None
    factor_kj: Figure | None
    factor_kcal: Figure | None
    table_kj: Figure | None
    table_kcal: Figure | None


def energy(dish: Dish, rules: RuleSet, books: NutritionBooks, settings: Settings) -> Energy:
    """The batch's energy under a rule set, by factors and by the table, and which of the two is declared."""
    rule = rules.energy
    kj = _known(combine(dish, books, rule.weights_kj, rule.required))
    kcal = _known(combine(dish, books, rule.weights_kcal, rule.required))
    table_kj = _known(dish.totals.get("ENERC_kJ"))
    return declared(kj, kcal, table_kj, settings)


def declared(kj: Figure | None, kcal: Figure | None, table_kj: Figure | None, settings: Settings) -> Energy:
    """Energy by factors and by the table, and which of the two counts. A figure known for no row is None."""
    table_kcal = None if table_kj is None else table_kj.scaled(1 / KJ_PER_KCAL)
    by_table = table_kj is not None and (
        kj is None
        or settings.energy == "table"
        or (kj.coverage < COMPLETE and table_kj.coverage > kj.coverage + (1 - COMPLETE))
    )
    return Energy(
        by="table" if by_table else "factors",
        kj=table_kj if by_table else kj,
        kcal=table_kcal if by_table else kcal,
        factor_kj=kj,
        factor_kcal=kcal,
        table_kj=table_kj,
        table_kcal=table_kcal,
    )


def _known(figure: Figure | None) -> Figure | None:
    """None for a figure that is known for no row."""
    return None if figure is None or figure.coverage <= 0 else figure


def parts(dish: Dish, rules: RuleSet) -> tuple[EnergyPart, ...]:
    """What a portion's energy comes from by the rule set's factors, in its order; parts that give nothing are left out.

    When the table's energy is declared the parts need not add up to it: the panel shares it out in proportion.
    """
    totals, portions = dish.totals, dish.page.portions
    found = []
    for term in rules.energy.terms:
        total = totals.get(term.add)
        if total is None or not term.kj:
            continue
        grams = total.amount
        for tag in term.less:
            less = totals.get(tag)
            if less is not None:
                grams -= less.amount
        if grams > 1e-12:
            grams /= portions
            found.append(EnergyPart(term.key, grams, grams * term.kj, grams * term.kcal))
    return tuple(found)


def row_kcal(dish: Dish, rules: RuleSet, by: str) -> tuple[float | None, ...]:
    """Energy of each ingredient row per portion in kcal, by the declared method; unknown components add nothing.

    None for a row of which nothing is known: that is not the same as none.
    """
    portions, rows = dish.page.portions, zip(dish.ingredients, dish.row_totals, strict=True)
    if by == "table":
        return tuple(
            [
                None if (kj := row.get("ENERC_kJ", _none(item))) is None else kj / KJ_PER_KCAL / portions
                for item, row in rows
            ]
        )
    weights = rules.energy.weights_kcal.items()
    return tuple(
        [
            sum(known) / portions
            if (known := [weight * row[tag] for tag, weight in weights if tag in row]) or _none(item) is not None
            else None
            for item, row in rows
        ]
    )


def _none(item: Ingredient) -> float | None:
    """What a row gives of which nothing is known: nothing where it weighs nothing."""
    return None if item.grams > 0 else 0.0


def loose_rows(dish: Dish, rules: RuleSet, books: NutritionBooks, by: str) -> tuple[tuple[int, float], ...]:
    """Which rows make the energy uncertain: (ingredient index, half-width in kcal a portion), largest first."""
    weights, required = (
        (TABLE_KCAL, ("ENERC_kJ",)) if by == "table" else (rules.energy.weights_kcal, rules.energy.required)
    )
    portions = dish.page.portions
    return tuple((index, half / portions) for index, half in uncertain(dish, books, weights, required))
