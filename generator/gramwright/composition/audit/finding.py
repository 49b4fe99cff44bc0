"""What a check gives: a finding with its place, its figures and its weight; and what every check is given."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from gramwright.composition.audit.thresholds import Thresholds
from gramwright.model import Food, Tag
from gramwright.problems import Place, Problem, Severity
from gramwright.reading.energy_parts import EnergyFactors

MAD_TO_SIGMA = 1.4826
"""Median absolute deviation -> standard deviation, for a normal distribution."""


class Finding(NamedTuple):
    """One reason to look at a food's line again."""

    code: str
    food: str
    """The food's id, or 'group:<group>' and 'column' where many foods share the reason."""
    name: str
    place: Place
    message: str
    hint: str
    weight: float
    """How far 100 g of the food may be off, in per cent of a day's reference intake."""

    def as_problem(self) -> Problem:
        return Problem(Severity.WARNING, self.code, f"{self.name}: {self.message}", self.hint, self.place)


@dataclass(slots=True)
class Table:
    """The foods under audit with everything a check may need."""

    foods: Sequence[Food]
    thresholds: Thresholds
    factors: EnergyFactors
    today: date
    groups: Mapping[str, Sequence[Food]] = field(init=False)

    def __post_init__(self) -> None:
        groups: dict[str, list[Food]] = {}
        for food in self.foods:
            groups.setdefault(food.group, []).append(food)
        self.groups = groups

    def weight(self, tag: Tag, amount: float) -> float:
        """Per cent of a day's reference intake; a component without one counts as nothing much."""
        reference = self.thresholds.reference.get(tag)
        return 0.1 if reference is None else round(100 * abs(amount) / reference, 2)

    def tags(self) -> list[Tag]:
        """Every component that some food has, sorted."""
        return sorted({tag for food in self.foods for tag in food.values})


def known(food: Food, tag: Tag) -> float | None:
    value = food.values.get(tag)
    return None if value is None else value.amount


def spread(values: Sequence[float], least: float) -> tuple[float, float]:
    """Median and usual distance from it (median absolute deviation x 1.4826), at least `least`."""
    middle = median(values)
    return middle, max(least, MAD_TO_SIGMA * median(abs(value - middle) for value in values))


def median(values: Iterable[float]) -> float:
    """The middle of one or more values. (The library's `statistics` costs every publish some milliseconds to load.)"""
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def plain(amount: float) -> str:
    """A figure for a message, three digits."""
    return f"{amount:.0f}" if abs(amount) >= 100 else f"{amount:.3g}"


def found(
    code: str, food: Food, message: str, hint: str, weight: float, place: Place | None = None
) -> Iterator[Finding]:
    yield Finding(code, food.id, food.name, place or food.place, message, hint, weight)
