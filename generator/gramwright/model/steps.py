"""Method steps as data, and the schedule made of them. Minutes and degrees Celsius throughout.

How the parts meet: a recipe page has `steps`; a plan's session makes `Batch`es of recipes with what its kitchen has
(`plans.Gear`); `prep.schedule.schedule(batches, gear, log)` gives a `Schedule`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from gramwright.problems import Place

TOGETHER_MIN = 5
"""Steps that finish together end at most this many minutes apart (common practice, no source)."""

COMPATIBLE_C = 10.0
"""Dishes share an oven when their temperatures differ by at most this (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Minutes:
    """A time as written; `low` and `high` differ for a range. Plans count on `high`."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a method: hands-on time first, waiting after it. Equipment is held from its start to its end."""

    name: str
    place: Place
    hands: Minutes | None = None
    wait: Minutes | None = None
    after: tuple[str, ...] = ()
    """Names of steps that end before it starts; a sub-recipe's slug stands for the whole of that recipe."""
    item: int | None = None
    """The numbered item of the method that says it in words."""
    cooks: int = 1
    """Pairs of hands needed during `hands`."""
    oven_c: float | None = None
    shelves: int = 1
    """Oven shelves taken at `oven_c`; 0 for heating an empty oven."""
    rings: int = 0
    microwaves: int = 0
    air_fryers: int = 0
    bowls: int = 0
    keep_warm: float | None = None
    """At most so many minutes until what follows it starts (after a last step: until the session ends)."""
    ends_with: tuple[str, ...] = ()
    """Names of steps that end when it ends, give or take TOGETHER_MIN."""
    chill_within: float | None = None
    """At most so many minutes from its end until the dish is in the fridge, where that is less than the rule says."""
    grows: bool | None = None
    """Whether its time grows with the batch; None: hands-on time does, waiting does not."""

    @property
    def heats(self) -> bool:
        return self.oven_c is not None or bool(self.rings or self.microwaves or self.air_fryers)


@dataclass(frozen=True, slots=True)
class Batch:
    """One recipe made once in a session."""

    slug: str
    title: str
    steps: tuple[Step, ...]
    place: Place
    """Where the plan asks for it; problems that are no step's are reported here."""
    factor: float = 1.0
    """How many times the recipe's own amount is made."""
    after: tuple[str, ...] = ()
    """Slugs of batches that it uses as ingredients."""
    chill_within: float | None = None
    """Minutes in which it must be in the fridge after its last heating; None: eaten at once."""
    chill_into: str = "fridge"
    """'fridge', 'freezer' or 'both'."""
    together: bool = False
    """Ends at the same time as every other batch that says so."""


@dataclass(frozen=True, slots=True)
class Task:
    """A step with its time in the session: whole minutes from the session's start."""

    batch: str
    title: str
    """The batch's title."""
    name: str
    start: int
    hands_end: int
    """Until when hands are needed; equal to `start` for pure waiting."""
    early_end: int
    """When it may be ready at the earliest (the low end of a range)."""
    end: int
    item: int | None = None
    chill: bool = False
    """Into the fridge: made by the plan, no step of the recipe."""
    into: str = ""
    """Chilling tasks: 'fridge', 'freezer' or 'both'."""
    due: int | None = None
    """Chilling tasks: the minute by which it has to be done."""
    lanes: tuple[str, ...] = ()
    """Keys of the lanes it uses, as in Schedule.lanes."""
    oven_c: float | None = None
    keep_warm_until: int | None = None
    """The minute up to which its result may be kept warm."""
    after: tuple[str, ...] = ()
    """Names of this batch's steps that it waits for."""


@dataclass(frozen=True, slots=True)
class Lane:
    """One resource of the chart: a cook, a ring, an oven ... `kind` is a word key, `number` counts from 1."""

    key: str
    kind: str
    number: int
    name: str = ""


@dataclass(frozen=True, slots=True)
class Schedule:
    """All tasks by start (in one minute what needs hands least comes first), and how good that is known to be."""

    tasks: tuple[Task, ...]
    lanes: tuple[Lane, ...]
    """Only those that are used, in the order cook, ring, oven, microwave, air_fryer, bowl."""
    minutes: int
    lower_bound: int
    """No schedule can be shorter than this."""
    proven: bool
    """Whether `minutes` is known to be the shortest possible."""
    idle_min: int
    """Hand minutes without work between the first and the last hands-on moment, over all cooks."""
    method: str
    """'rule' or 'solver'."""
    missing: tuple[str, ...] = field(default=())
    """Titles of batches without steps: not in the schedule."""
