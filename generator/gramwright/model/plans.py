"""A prep plan as its author wrote it: people with targets, days, meals, sessions, the kitchen. Nothing is computed yet.

Days are counted: day 1 is the plan's first. A plan is dated (every day an ISO
date) or undated ('day 1', 'day 2', or weekdays).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from gramwright.model.foods import Tag
from gramwright.problems import Place

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True, slots=True)
class Target:
    """What one person's day is to have of one component: from, to, or both; in the tag's unit."""

    key: str
    """As written: 'energy', 'protein' ..."""
    tag: Tag
    """'ENERC_kcal', 'ENERC_kJ', 'PROCNT_g', 'SALT_g' ..."""
    low: float | None
    high: float | None
    text: str
    place: Place

    def met(self, amount: float) -> bool:
        return not self.under(amount) and not self.over(amount)

    def under(self, amount: float) -> bool:
        return self.low is not None and amount < self.low - 1e-9 * max(1.0, self.low)

    def over(self, amount: float) -> bool:
        return self.high is not None and amount > self.high + 1e-9 * max(1.0, self.high)


@dataclass(frozen=True, slots=True)
class Person:
    name: str
    targets: tuple[Target, ...]
    """Of every day."""
    place: Place


@dataclass(frozen=True, slots=True)
class Oven:
    """An oven and the temperatures it reaches, in degrees Celsius."""

    name: str
    low_c: float
    high_c: float
    place: Place
    shelves: int = 2
    """Trays that fit at the same time (two: common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Gear:
    """What the kitchen has. A count of 0 is none; what the plan does not say has the usual home kitchen's count."""

    hands: int = 1
    """People who cook."""
    rings: int = 4
    ovens: tuple[Oven, ...] = ()
    microwaves: int = 0
    air_fryers: int = 0
    bowls: int | None = None
    """None: not counted, enough."""
    place: Place = field(default_factory=lambda: Place(""))
    said: bool = False
    """Whether the plan says anything of its kitchen."""


@dataclass(frozen=True, slots=True)
class Named:
    """A food named in the plan, and where."""

    name: str
    place: Place


@dataclass(frozen=True, slots=True)
class Serving:
    """One recipe at one meal of one day."""

    day: int
    meal: str
    recipe: str
    """Slug."""
    portions: Mapping[str, float]
    """Person -> portions; people who do not eat it are absent."""
    swaps: tuple[Named, ...]
    """Swaps taken, by the food they bring in."""
    toppings: tuple[Named, ...]
    """Optional rows taken in, by their food."""
    keep: str
    """'fridge' or 'freezer': where it waits; '' where the author leaves it open (the fridge)."""
    fresh: bool
    """Cooked on the day it is eaten, whatever the sessions."""
    place: Place


@dataclass(frozen=True, slots=True)
class PlanDay:
    number: int
    """From 1."""
    date: str
    """ISO date; '' in an undated plan."""
    servings: tuple[Serving, ...]
    place: Place
    part: bool = False
    """The plan has only some of the day's meals: targets are not looked at."""


@dataclass(frozen=True, slots=True)
class Cook:
    """A recipe that a session is to cook, with the portions where the author wants more than is eaten."""

    recipe: str
    portions: float | None
    place: Place


@dataclass(frozen=True, slots=True)
class Session:
    """When several dishes are cooked together."""

    day: int
    start_min: float | None
    """Minutes after midnight; None: the author does not say."""
    cooks: tuple[Cook, ...]
    """What it is to cook; empty: everything that is eaten from that day on, until the next session."""
    together: tuple[Named, ...]
    """Recipes, by slug, that are to be ready at the same time."""
    place: Place


@dataclass(frozen=True, slots=True)
class PlanPage:
    """One plans/**/*.md as read."""

    slug: str
    title: str
    summary: str
    people: tuple[Person, ...]
    days: tuple[PlanDay, ...]
    """In order; days without a meal are absent."""
    sessions: tuple[Session, ...]
    """In order."""
    gear: Gear
    intro: str
    """Markdown before the plan block."""
    intro_line: int
    outro: str
    """Markdown after it."""
    outro_line: int
    place: Place
    lines: Mapping[str, int]
    """Line of each front matter key."""
    published: str = ""
    first_weekday: int | None = None
    """Of day 1 in an undated plan whose days are weekdays; 0 is Monday."""

    @property
    def dated(self) -> bool:
        return any(day.date for day in self.days)

    @property
    def servings(self) -> tuple[Serving, ...]:
        return tuple(serving for day in self.days for serving in day.servings)
