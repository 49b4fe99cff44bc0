"""The largest plausible values. Takes content/nutrition/plausible.yaml and a food, gives what an unknown value may be.

A limit is the least of: the food group's largest value, what the food's other
known parts leave of 100 g, the parent component, and what its energy allows.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from gramwright.model import Food, Tag
from gramwright.nutrition.content import number, read_yaml
from gramwright.problems import Place, ProblemLog, Trouble

FILE = "nutrition/plausible.yaml"

Sides = Mapping[Tag, tuple[float, float, float]]
"""Known values of a food: amount, half-width below, half-width above."""


class Plausible(NamedTuple):
    """Everything in plausible.yaml."""

    anywhere: Mapping[Tag, float]
    groups: Mapping[str, Mapping[Tag, float]]
    units: Mapping[str, float]
    within: Mapping[Tag, tuple[Tag, ...]]
    whole: tuple[Tag, ...]
    energy_per_g: Mapping[Tag, float]
    energy_at_most: Mapping[Tag, float]
    expected: Mapping[Tag, frozenset[str]]
    """Components that most tables leave out for being none: the groups where unknown does not mean that."""

    def group_limit(self, group: str, tag: Tag) -> float:
        """The largest plausible value in a food group, per 100 g."""
        limit = self.groups.get(group, {}).get(tag)
        if limit is None:
            limit = self.anywhere.get(tag)
        return self.units.get(tag.rpartition("_")[2], 1e6) if limit is None else limit

    def limit(self, food: Food, tag: Tag, known: Sides) -> float:
        """The largest plausible value of one component of a food, its own value (if any) left aside."""
        limit = self.group_limit(food.group, tag)
        for parent in self.within.get(tag, ()):
            if parent in known:
                amount, _, up = known[parent]
                limit = min(limit, amount + up)
        if tag in self.whole:
            limit = min(limit, max(0.0, 100.0 - self._others(tag, known)))
        if tag in self.energy_per_g and "ENERC_kJ" in known:
            amount, _, up = known["ENERC_kJ"]
            limit = min(limit, (amount + up) / self.energy_per_g[tag])
        if tag == "ENERC_kJ":
            limit = min(limit, self._energy(known))
        return limit

    def _others(self, tag: Tag, known: Sides) -> float:
        """Grams that the other known parts take at least; carbohydrate counts once, by whichever way shows more."""
        least = {part: max(0.0, known[part][0] - known[part][1]) for part in self.whole if part in known}
        total, available, fibre = (least.pop(part, 0.0) for part in ("CHOCDF_g", "CHOAVL_g", "FIBTG_g"))
        if tag == "CHOCDF_g":
            carbohydrate = 0.0
        elif tag == "CHOAVL_g":
            carbohydrate = fibre
        elif tag == "FIBTG_g":
            carbohydrate = available
        else:
            carbohydrate = max(total, available + fibre)
        least.pop(tag, None)
        return carbohydrate + sum(least.values())

    def _energy(self, known: Sides) -> float:
        """kJ that the parts bring at most; no limit unless water, protein, fat and carbohydrate are all known.

        What they leave of 100 g may be alcohol or acids: vinegar has its energy from there.
        """
        needed = ("WATER_g", "PROCNT_g", "FAT_g", "CHOCDF_g")
        if any(part not in known for part in needed):
            return float("inf")
        parts = sum(
            factor * (known[part][0] + known[part][2]) for part, factor in self.energy_at_most.items() if part in known
        )
        return parts + max(0.0, 100.0 - self._others("ENERC_kJ", known)) * max(self.energy_at_most.values())


def load_plausible(log: ProblemLog) -> Plausible:
    """Reads the shipped file. It must be whole: raises Trouble 'broken-content' (and logs its place) when it is not."""
    try:
        return _read(read_yaml(FILE))
    except Trouble as trouble:
        log.add(trouble.at(Place(f"content/{FILE}")))
        raise


def _read(data: Mapping[str, Any]) -> Plausible:
    def block(key: str) -> Mapping[str, Any]:
        found = data.get(key)
        if not isinstance(found, dict):
            raise Trouble("broken-content", f"expected a mapping '{key}' in content/{FILE}, found {found!r}")
        return found

    def numbers(found: Mapping[str, Any], where: str) -> dict[str, float]:
        return {key: number(found, key, where) for key in found}

    return Plausible(
        anywhere=numbers(block("any"), "any"),
        groups={group: numbers(entry, group) for group, entry in block("groups").items()},
        units=numbers(block("units"), "units"),
        within={tag: tuple(parents) for tag, parents in block("within").items()},
        whole=tuple(data.get("whole", ())),
        energy_per_g=numbers(block("energy_per_g"), "energy_per_g"),
        energy_at_most=numbers(block("energy_at_most"), "energy_at_most"),
        expected={tag: frozenset(groups) for tag, groups in block("expected").items()},
    )
