"""What each person's day comes to. Takes plates, gives figures with range and coverage, and how the targets fare.

A day's figure is the sum of the recipes' per-portion figures (those of
facts.json) times the portions eaten; its ends are the sums of their ends, for
the same foods and the same scale stand behind several dishes of a day; its
coverage is the share of the eaten mass, as weighed raw, that is known. Salt that
a dish takes to taste is in no figure: a day with such a dish has "at least" its salt.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import NamedTuple

from gramwright.model import Figure, Person, PlanDay, Tag, Target
from gramwright.prep.plates import Plates
from gramwright.prep.recipes import Variant

COMPLETE = 1 - 1e-9
"""Coverage from which a figure counts as known throughout."""


class Fare(StrEnum):
    """How a day's figure stands to a target."""

    MET = "met"
    UNDER = "under"
    OVER = "over"
    UNKNOWN = "unknown"
    """Within the limit as far as it is known, and it is not known throughout; or not known at all."""


class Outcome(NamedTuple):
    """One target and the day's figure; None where nothing of it is known."""

    target: Target
    figure: Figure | None
    fare: Fare
    to_taste: bool = False
    """What some dish takes to taste is not in the figure."""

    @property
    def at_least(self) -> bool:
        return self.figure is not None and (self.to_taste or self.figure.coverage < COMPLETE)

    @property
    def missed(self) -> bool:
        return self.fare in (Fare.UNDER, Fare.OVER)


class DayTotal(NamedTuple):
    """One person's day."""

    person: Person
    day: PlanDay
    figures: Mapping[Tag, Figure]
    """Every tag that any dish of the day knows, energy as declared among them."""
    eaten_g: float
    """Mass eaten, as weighed raw: what coverage refers to."""
    outcomes: tuple[Outcome, ...]

    @property
    def missed(self) -> tuple[Outcome, ...]:
        return tuple(outcome for outcome in self.outcomes if outcome.missed)


def day_totals(plates: Plates) -> tuple[DayTotal, ...]:
    """Every day of every person who eats on it: by day, then by person."""
    return tuple(
        total_of(person, day, eaten)
        for day in plates.plan.days
        for person in plates.plan.people
        if (eaten := [(plate.variant, portions) for plate, portions in plates.eaten_by(person.name, day.number)])
    )


def total_of(person: Person, day: PlanDay, eaten: Iterable[tuple[Variant, float]]) -> DayTotal:
    """The sum of some dishes, in portions of each."""
    dishes = list(eaten)
    figures, grams = summed(dishes)
    targets = () if day.part else person.targets
    salted = to_taste(dishes)
    return DayTotal(person, day, figures, grams, tuple(outcome(target, figures, salted) for target in targets))


def summed(eaten: Iterable[tuple[Variant, float]]) -> tuple[dict[Tag, Figure], float]:
    """Figures of some portions together, and the mass behind them."""
    parts = [(variant.label.per_portion, portions, raw_g(variant)) for variant, portions in eaten]
    mass = sum(portions * grams for _, portions, grams in parts)
    figures: dict[Tag, Figure] = {}
    for tag in dict.fromkeys(tag for known, _, _ in parts for tag in known):
        amount = low = high = covered = 0.0
        for known, portions, grams in parts:
            figure = known.get(tag)
            if figure is not None:
                amount += figure.amount * portions
                low += figure.low * portions
                high += figure.high * portions
                covered += figure.coverage * grams * portions
        figures[tag] = Figure(amount, low, high, min(1.0, covered / mass) if mass > 0 else 0.0)
    return figures, mass


def to_taste(eaten: Iterable[tuple[Variant, float]]) -> frozenset[Tag]:
    """Tags of which some dish leaves out what is added to taste."""
    return frozenset().union(*(variant.label.to_taste for variant, _ in eaten))


def raw_g(variant: Variant) -> float:
    """Mass of a portion, as weighed raw."""
    return variant.dish.raw_g / variant.dish.page.portions


def outcome(target: Target, figures: Mapping[Tag, Figure], left_out: frozenset[Tag] = frozenset()) -> Outcome:
    """A target against the day's figures; of the tags `left_out` some is added to taste. Unknown is never within."""
    figure, more = figures.get(target.tag), target.tag in left_out
    if figure is None:
        return Outcome(target, None, Fare.UNKNOWN)
    if target.over(figure.amount):
        return Outcome(target, figure, Fare.OVER, more)
    if target.under(figure.amount):
        return Outcome(target, figure, Fare.UNDER, more)
    if target.high is not None and (more or figure.coverage < COMPLETE):
        return Outcome(target, figure, Fare.UNKNOWN, more)
    return Outcome(target, figure, Fare.MET, more)
