"""Foods: what a composition table says of them. Values are per 100 g edible portion."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from gramwright.problems import Place

Tag = str

KJ_PER_KCAL = 4.184
"""kJ in one kcal (FAO/INFOODS component identifiers, ENERC)."""


class Quality(StrEnum):
    """How good a food's figures are, best first."""

    ANALYSED = "analysed"
    TABLE = "table"
    DECLARED = "declared"
    ESTIMATED = "estimated"


class ValueKind(StrEnum):
    NUMBER = "number"
    TRACE = "trace"
    BELOW = "below"
    BORROWED = "borrowed"


@dataclass(frozen=True, slots=True)
class Value:
    """A known figure of a food, per 100 g edible portion in its tag's unit.

    `amount` is what counts in sums: the number itself, 0 for a trace, half the
    limit for "below a limit". An unknown figure has no Value at all.
    """

    amount: float
    kind: ValueKind = ValueKind.NUMBER
    limit: float | None = None
    """The limit of a `below` figure."""


@dataclass(frozen=True, slots=True)
class AllergenStatement:
    """What is said of a food's allergens. `checked` has no default: nobody can forget to say it.

    With `checked` false, whatever is not named in `contains` or `may_contain` is *not known*.
    """

    checked: bool
    contains: frozenset[str] = frozenset()
    may_contain: frozenset[str] = frozenset()
    exceptions: frozenset[str] = frozenset()
    """Named legal exceptions that apply (an id of content/allergens/exceptions)."""

    def __post_init__(self) -> None:
        both = self.contains & self.may_contain
        if both:
            raise ValueError(f"both contains and may contain: {', '.join(sorted(both))}")


@dataclass(frozen=True, slots=True)
class Measure:
    """One household measure of one food: the grams of one of it.

    `volume_ml` is set when the measure is a spoon or a cup of something: the
    volume the grams were taken with, so that another country's spoon can be used.
    """

    name: str
    grams: float
    source: str
    volume_ml: float | None = None


@dataclass(frozen=True, slots=True)
class Food:
    """One line of a composition table with its household measures."""

    id: str
    name: str
    aliases: tuple[str, ...]
    group: str
    state: str
    refuse: float
    """Share of the bought weight that is not eaten (stones, peel, bone), 0 to 1."""
    density_g_ml: float | None
    values: Mapping[Tag, Value]
    allergens: AllergenStatement
    kinds: frozenset[str]
    """What it is made of, for diets (ids of content/allergens/kinds.yaml); empty: not known."""
    source: str
    source_ref: str
    quality: Quality
    updated: str
    """ISO date of the figures (the pack's reading date for bought products); may be empty."""
    place: Place
    measures: tuple[Measure, ...] = ()
    extra: Mapping[str, str] = field(default_factory=dict)
    """Further table columns that are no component (pack size, drained weight ...)."""
