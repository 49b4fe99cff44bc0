"""What foods say of their allergens and kinds, checked. Takes foods of a hub's own tables, logs what cannot be.

Nothing here changes a finding: what cannot be counts as not known whether it is
reported or not (see allergens). Reporting it is what lets an author mend it.

    check(foods, rules_id, settings, today, log) -> None

Errors: 'pack-from-the-future', 'pack-date', 'unknown-exception', 'unknown-kind',
'contradictory-allergens'. Warnings: 'pack-too-old', 'pack-without-date',
'exception-elsewhere', 'kind-without-allergen', 'allergen-not-named',
'allergen-not-listed'.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from gramwright.labelling import allergen_rules
from gramwright.labelling.allergen_rules import AllergenRules
from gramwright.labelling.kinds import kinds_table
from gramwright.labelling.packs import Pack, pack_state
from gramwright.model import Food, Settings
from gramwright.problems import ProblemLog, either, near


def check(foods: Iterable[Food], rules_id: str, settings: Settings, today: date, log: ProblemLog) -> None:
    """Raises Trouble 'unknown-rule-set'."""
    rules = allergen_rules.load(rules_id)
    for food in foods:
        _pack(food, settings, today, log)
        _exceptions(food, rules, log)
        _kinds(food, log)
        _words(food, rules, log)


def _pack(food: Food, settings: Settings, today: date, log: ProblemLog) -> None:
    state = pack_state(food.quality, food.updated, settings.pack_months, today)
    if state is Pack.FUTURE:
        log.error(
            food.place,
            "pack-from-the-future",
            f"expected the day the pack of '{food.id}' was read, found {food.updated}, after today ({today})",
            "write the day the pack was read as YYYY-MM-DD",
        )
    elif state is Pack.UNREADABLE:
        log.error(
            food.place,
            "pack-date",
            f"expected a day as YYYY-MM-DD under updated of '{food.id}', found '{food.updated}'",
            "write the day the pack was read",
        )
    elif state is Pack.UNDATED:
        log.warn(
            food.place,
            "pack-without-date",
            f"expected the day the pack of '{food.id}' was read, found none; its allergens count as not known",
            "write the day under updated, as YYYY-MM-DD",
        )
    elif state is Pack.OLD:
        log.warn(
            food.place,
            "pack-too-old",
            f"the pack of '{food.id}' was read on {food.updated}, more than {settings.pack_months} months ago; "
            "its allergens count as not known",
            "read the pack again and write the new day under updated",
        )


def _exceptions(food: Food, rules: AllergenRules, log: ProblemLog) -> None:
    known = allergen_rules.exceptions()
    for name in sorted(food.allergens.exceptions):
        exception = known.get(name)
        if exception is None:
            close = near(name, known)
            log.error(
                food.place,
                "unknown-exception",
                f"expected the name of a legal exception for '{food.id}', found '{name}'",
                f"did you mean {either(close)}?" if close else f"known are: {', '.join(known)}",
            )
            continue
        both = exception.allergens & (food.allergens.contains | food.allergens.may_contain)
        if both:
            log.error(
                food.place,
                "contradictory-allergens",
                f"'{food.id}' names {' and '.join(sorted(both))} and the exception '{name}' that takes it off",
                "name the allergen or the exception, not both",
            )
        if rules.id not in exception.laws:
            log.warn(
                food.place,
                "exception-elsewhere",
                f"'{name}' of '{food.id}' is no exception under the rule set '{rules.id}'; the allergen counts",
                f"it is one under {either(sorted(exception.laws))}",
            )


def _kinds(food: Food, log: ProblemLog) -> None:
    table = kinds_table()
    for kind in sorted(food.kinds):
        if kind not in table.allergen:
            close = near(kind, table.allergen)
            log.error(
                food.place,
                "unknown-kind",
                f"expected a kind for '{food.id}' (what it is made of), found '{kind}'",
                f"did you mean {either(close)}?" if close else f"known are: {', '.join(table.allergen)}",
            )
            continue
        allergen = table.allergen[kind]
        if food.allergens.checked and allergen and allergen not in _spoken_of(food):
            log.warn(
                food.place,
                "kind-without-allergen",
                f"'{food.id}' is of the kind '{kind}', but does not name {allergen}; it counts as not known",
                f"write {allergen} under contains, or the legal exception under exceptions",
            )


def _words(food: Food, rules: AllergenRules, log: ProblemLog) -> None:
    words = allergen_rules.vocabulary()
    for allergen in sorted(food.allergens.contains | food.allergens.may_contain):
        if allergen in words.generic:
            members = sorted(words.members[words.generic[allergen]])
            log.warn(
                food.place,
                "allergen-not-named",
                f"'{food.id}' says {allergen}, but not which; each of them counts as not known",
                f"name it: {either(members)}",
            )
        elif allergen not in rules.entry_of and _listed_elsewhere(allergen):
            log.warn(
                food.place,
                "allergen-not-listed",
                f"'{food.id}' names {allergen}, which the rule set '{rules.id}' does not list; no page shows it",
                "leave it in for other rule sets, and say it in the text where it matters",
            )


def _listed_elsewhere(allergen: str) -> bool:
    return any(allergen in allergen_rules.load(other).entry_of for other in allergen_rules.available())


def _spoken_of(food: Food) -> frozenset[str]:
    """Allergens that the food is said to contain, or takes off by an exception."""
    known = allergen_rules.exceptions()
    taken_off = (known[name].allergens for name in food.allergens.exceptions if name in known)
    return food.allergens.contains.union(*taken_off)
