"""Computed recipes: ingredients in grams, totals with ranges and coverage, for the whole batch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from gramwright.model.foods import Food, Tag
from gramwright.model.hub import RecipePage, Row


class Scale(StrEnum):
    """What kind of measure a row's grams came from; says how loose they are."""

    MASS = "mass"
    VOLUME = "volume"
    COUNT = "count"
    PORTIONS = "portions"
    TASTE = "taste"


@dataclass(frozen=True, slots=True)
class Ingredient:
    """A resolved row. Exactly one of `food` and `dish` is set."""

    row: Row
    food: Food | None
    dish: Dish | None
    scale: Scale
    measure: str
    """The measure's display name ('tbsp', 'medium', 'g'); '' for a bare count."""
    weighed_g: float
    """Grams on the scale, before refuse and `eaten`."""
    grams: float
    """Grams that are eaten: these count."""
    low_g: float
    high_g: float
    """`grams` at the ends of what the amount and its measure allow."""
    swaps: tuple[Ingredient, ...] = ()

    @property
    def key(self) -> str:
        """The food id, or 'recipe:slug'."""
        return self.food.id if self.food is not None else f"recipe:{self._inner.page.slug}"

    @property
    def name(self) -> str:
        return self.food.name if self.food is not None else self._inner.page.title

    @property
    def _inner(self) -> Dish:
        if self.dish is None:
            raise ValueError("an ingredient without a food and without a dish")
        return self.dish


class Figure(NamedTuple):
    """A computed amount in its tag's unit, what it is likely between, and the share of eaten mass it is known for."""

    amount: float
    low: float
    high: float
    coverage: float

    def scaled(self, factor: float) -> Figure:
        return Figure(self.amount * factor, self.low * factor, self.high * factor, self.coverage)


class Weight(StrEnum):
    """How a finished weight is known."""

    MEASURED = "measured"
    FACTOR = "factor"
    TYPICAL = "typical"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Dish:
    """A computed recipe: the whole batch, optional rows left out."""

    page: RecipePage
    ingredients: tuple[Ingredient, ...]
    """Every row, optional ones too."""
    raw_g: float
    """Sum of the counted (not optional) rows' eaten grams."""
    finished_g: float | None
    finished_by: Weight
    totals: Mapping[Tag, Figure]
    """Of the whole batch; a tag known for no row is absent."""
    row_totals: tuple[Mapping[Tag, float], ...]
    """Per ingredient (same order): known amounts after retention, whole batch."""

    @property
    def counted(self) -> tuple[Ingredient, ...]:
        return tuple(i for i in self.ingredients if not i.row.optional)

    @property
    def portion_g(self) -> float | None:
        return None if self.finished_g is None else self.finished_g / self.page.portions

    @property
    def basis_g(self) -> float:
        """The weight that per-100 g figures refer to: finished when known, else raw."""
        return self.raw_g if self.finished_g is None else self.finished_g
