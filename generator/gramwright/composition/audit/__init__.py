"""Checks a food table. Takes foods, gives findings ranked by how much they could move a recipe.

One check a file, each `check(table) -> Iterator[Finding]`:

    energy      declared energy against its parts; no energy where there is fat
    wholes      sums above (or well below) 100 g, parts larger than their whole
    absurd      figures that no food can have; density, refuse
    units       figures a thousand times off: a food, a group, a column
    outliers    energy and macronutrients far from the rest of the group
    names       the same name or the same figures twice
    sources     no source, no code, no date, or an old one

What counts as a finding is data: content/audit/thresholds.yaml. Findings that are right as they stand are explained
in content/audit/explained.csv (or a hub's explained.csv): `explained.py`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from gramwright.composition.audit import absurd, energy, names, outliers, sources, thresholds, units, wholes
from gramwright.composition.audit.finding import Finding, Table
from gramwright.composition.audit.thresholds import Thresholds
from gramwright.model import Food
from gramwright.reading.energy_parts import load_factors

__all__ = ["CHECKS", "Finding", "audit"]

CHECKS: tuple[Callable[[Table], Iterator[Finding]], ...] = (
    energy.check,
    wholes.check,
    absurd.check,
    units.check,
    outliers.check,
    names.check,
    sources.check,
)


def audit(foods: Sequence[Food], today: date, rules: Thresholds | None = None) -> list[Finding]:
    """Every finding of one table, heaviest first. Raises Trouble 'broken-content'."""
    table = Table(foods, rules or thresholds.load(), load_factors(), today)
    findings = [finding for check in CHECKS for finding in check(table)]
    return sorted(findings, key=lambda f: (-f.weight, f.code, f.place, f.food))
