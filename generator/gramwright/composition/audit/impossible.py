"""Takes a hub's own foods, gives the problems of figures that cannot be: the part of an audit that every publish pays.

More than 100 g of a component in 100 g, more energy than pure fat has, and parts of more than 100 g together (beyond
the audit's tolerance) are errors, and no explanation lets them pass. Parts above their whole and minerals or vitamins
above the audit's limit are warnings, until explained.csv says why they stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from gramwright.composition.audit import absurd, thresholds, wholes
from gramwright.composition.audit.explained import Explanation
from gramwright.composition.audit.finding import Finding, Table
from gramwright.model import Food
from gramwright.problems import Problem, Severity
from gramwright.reading.energy_parts import load_factors

WARNED = ("absurd-value", "child-above-parent")
GRAMS = {"g": 1.0, "mg": 1e-3, "ug": 1e-6}


def findings(foods: Sequence[Food], today: date) -> Iterator[tuple[Finding, bool]]:
    """Each finding and whether it is an error. Raises Trouble 'broken-content'."""
    rules = thresholds.load()
    table = Table(foods, rules, load_factors(), today)
    beyond = {food.id for food in foods if _beyond(food, rules.limits["ENERC_kJ"], rules.unit_limits["g"])}
    for check in (absurd.check, wholes.check):
        for finding in check(table):
            if finding.code == "parts-over-100":
                yield finding, True
            elif finding.code in WARNED:
                yield finding, finding.code == "absurd-value" and finding.food in beyond


def problems(found: Iterable[tuple[Finding, bool]], explanations: Sequence[Explanation]) -> Iterator[Problem]:
    """The problems that stay when explained warnings are let pass."""
    explained = {(one.food, one.code) for one in explanations}
    for finding, error in found:
        told = finding.as_problem()
        if error:
            hint = f"{finding.hint}; correct the line, or leave the cell empty where the figure is not known"
            yield Problem(Severity.ERROR, told.code, told.message, hint, told.place)
        elif (finding.food, finding.code) not in explained:
            hint = f"{finding.hint}; if it is right as it stands, say why in explained.csv"
            yield Problem(Severity.WARNING, told.code, told.message, hint, told.place)


def _beyond(food: Food, most_kj: float, most_g: float) -> bool:
    """Whether some figure is heavier than the food, or its energy above that of pure fat."""
    for tag, value in food.values.items():
        unit = tag.rpartition("_")[2]
        if value.amount > most_kj if unit == "kJ" else value.amount * GRAMS.get(unit, 0.0) > most_g:
            return True
    return False
