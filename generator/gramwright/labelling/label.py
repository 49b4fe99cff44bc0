"""Takes a computed dish and a rule set, gives its Label: figures, declaration, allergens, diets, claims, cautions."""

from __future__ import annotations

from datetime import date

from gramwright.labelling import allergens, cautions, diets
from gramwright.labelling.claim_words import check_words
from gramwright.labelling.claims import Judge, weigh
from gramwright.labelling.declaration import SALTED, declaration
from gramwright.labelling.energy import Energy, energy, loose_rows, parts, row_kcal
from gramwright.labelling.keeping_advice import check_keeps
from gramwright.labelling.rules_model import RuleSet
from gramwright.model import Dish, Figure, Label, Settings, Tag
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.parts import finished_ends
from gramwright.problems import ProblemLog
from gramwright.reading.vocabulary import Vocabulary

SALT_FROM_SODIUM = 0.0025
"""Grams of salt for a milligram of sodium: salt = sodium x 2.5 (Regulation (EU) No 1169/2011, Annex I)."""

BY_TABLE = "The energy declared is the composition table's, because a component of the sum is not known for every row."
BY_CHOICE = "The energy declared is the composition table's, because the hub says so."


def label(
    dish: Dish,
    rules: RuleSet,
    books: NutritionBooks,
    settings: Settings,
    vocabulary: Vocabulary,
    log: ProblemLog,
    today: date,
) -> Label:
    """The dish under one rule set. Claims, cautions and declared diets that are wrong go into the log.

    For a second rule set of the same page pass a log of its own: it may not know
    the claims that the page asks for. `vocabulary` is the one the foods were read with.
    """
    page, ingredients = dish.page, dish.ingredients
    found = energy(dish, rules, books, settings)
    totals = _totals(dish, found)
    share = 1 / page.portions
    per_portion = {
        tag: Figure(figure.amount * share, figure.low * share, figure.high * share, figure.coverage)
        for tag, figure in totals.items()
    }
    lightest, heaviest = finished_ends(dish, books)
    factor = 100 / dish.basis_g
    least, most = factor / heaviest, factor / lightest
    per_100g = {
        tag: Figure(figure.amount * factor, figure.low * least, figure.high * most, figure.coverage)
        for tag, figure in totals.items()
    }
    listed = allergens.findings(ingredients, rules.id, settings, today)
    diets.declared_problems(page, listed, log, ingredients)
    judge = Judge(dish, rules, found, (lightest, heaviest))
    claims = weigh(judge, log)
    check_words(judge, settings.language, log)
    cautioned = cautions.apply(dish, per_portion, per_100g, rules.id, settings, log)
    check_keeps(page, rules, cautioned, log)
    to_taste = SALTED.intersection(per_portion) if judge.salted else frozenset[Tag]()
    return Label(
        rule_set=rules.id,
        energy_by=found.by,
        per_portion=per_portion,
        per_100g=per_100g,
        lines=declaration(rules, per_portion, per_100g, to_taste),
        energy_parts=parts(dish, rules),
        row_energy_kcal=row_kcal(dish, rules, found.by),
        allergens=listed,
        suits=diets.suits(ingredients),
        claims=claims,
        cautions=cautioned,
        uncertain=loose_rows(dish, rules, books, found.by),
        notes=_notes(rules, settings, found),
        to_taste=to_taste,
    )


def _totals(dish: Dish, found: Energy) -> dict[Tag, Figure]:
    """Everything the public figures hold, of the whole batch: energy, components by tag, salt."""
    totals: dict[Tag, Figure] = {}
    for tag, figure in (
        ("ENERC_kJ", found.kj),
        ("ENERC_kcal", found.kcal),
        ("ENERC_table_kJ", found.table_kj),
        ("ENERC_table_kcal", found.table_kcal),
    ):
        if figure is not None:
            totals[tag] = figure
    for tag, figure in dish.totals.items():
        if tag != "ENERC_kJ" and figure.coverage > 0:
            totals[tag] = figure
    sodium = totals.get("NA_mg")
    if sodium is not None:
        totals["SALT_g"] = sodium.scaled(SALT_FROM_SODIUM)
    return totals


def _notes(rules: RuleSet, settings: Settings, found: Energy) -> tuple[str, ...]:
    if found.by == "factors":
        return rules.notes
    return (BY_CHOICE if settings.energy == "table" else BY_TABLE, *rules.notes)
