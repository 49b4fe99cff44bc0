"""Draws a recipe many times over: an independent check on ranges (numpy, tests only).

Nothing of `ranges` is used here. A recipe is drawn from its foods' half-widths
and its rows' half-widths by plain simulation: one error a food and tag, shared
by all rows of that food; one error for all grams of a food measured in one way;
one error for the amount of a sub-recipe.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from gramwright.model import Dish, Ingredient, Scale, Tag
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.parts import finished_ends, grams_error

Draws = NDArray[np.float64]


@dataclass
class Simulation:
    """`how`: 'uniform' over the whole width, 'median' (as often below as above, uniform on each side), 'normal'."""

    books: NutritionBooks
    count: int
    how: str
    shared_gaps: bool
    rng: np.random.Generator
    as_none: frozenset[Tag] = frozenset()
    """Tags whose unknown values count as none."""
    errors: dict[tuple[str, Tag], Draws] = field(default_factory=dict)
    gap: dict[Tag, Draws] = field(default_factory=dict)

    def error(self, down: float, up: float) -> Draws:
        """One error with the given half-widths."""
        return self.stretch(self.position(), down, up)

    def position(self) -> Draws:
        if self.how == "normal":
            return self.rng.normal(0, 1 / 1.959964, self.count)
        return self.rng.uniform(-1, 1, self.count)

    def stretch(self, position: Draws, down: float, up: float) -> Draws:
        if self.how == "uniform":
            return (position + 1) / 2 * (up + down) - down
        return np.where(position < 0, position * down, position * up)

    def value(self, item: Ingredient, tag: Tag) -> Draws:
        """Per gram of a food after its preparation."""
        assert item.food is not None
        profile = self.books.profile(item.food, item.row.cooked_as)
        place = self.books.shelf.places[tag]
        for gap_place, most in profile.gaps:
            if gap_place == place:
                if tag in self.as_none:
                    return np.zeros(self.count)
                return self.unknown(item.food.id, tag) * most
        key = (item.food.id, tag)
        if key not in self.errors:
            self.errors[key] = self.position()
        down, up, below, above = profile.halves[place]
        return profile.amount_at(place) + self.stretch(self.errors[key], down + below, up + above)

    def unknown(self, food: str, tag: Tag) -> Draws:
        """Where between nothing and the most an unknown value lies: for one reason in all foods, or each by itself."""
        key = tag if self.shared_gaps else f"{food} {tag}"
        if key not in self.gap:
            self.gap[key] = self.rng.uniform(0, 1, self.count)
        return self.gap[key]

    def amounts(self, rows: Sequence[Ingredient], tags: Sequence[Tag]) -> dict[Tag, Draws]:
        """Drawn totals of some rows (known and unknown parts)."""
        total = {tag: np.zeros(self.count) for tag in tags}
        batches: dict[tuple[object, ...], list[Ingredient]] = {}
        for item in rows:
            if item.grams > 0:
                row = item.row
                key: tuple[object, ...] = (
                    item.key, row.cooked_as, item.scale, item.measure, row.gross, row.eaten, row.weighed
                )  # fmt: skip
                if item.dish is not None:
                    key = (*key, id(item))
                batches.setdefault(key, []).append(item)
        for batch in batches.values():
            grams = sum(item.grams for item in batch)
            drawn = grams + self.error(*grams_error(batch, grams, self.books))
            first = batch[0]
            if first.dish is None:
                for tag in tags:
                    total[tag] += drawn * self.value(first, tag)
            else:
                self.add_dish(total, first, first.dish, drawn, tags)
        return total

    def add_dish(
        self, total: dict[Tag, Draws], item: Ingredient, dish: Dish, drawn: Draws, tags: Sequence[Tag]
    ) -> None:
        basis = np.full(self.count, dish.basis_g)
        if item.scale is not Scale.PORTIONS:
            low, high = finished_ends(dish, self.books)
            basis = basis + self.error(dish.basis_g * (1 - low), dish.basis_g * (high - 1))
        inner = self.amounts(dish.counted, tags)
        for tag in tags:
            total[tag] += inner[tag] * drawn / basis


def inside_and_width(draws: Draws, low: float, high: float) -> tuple[float, float]:
    """Share of draws inside the interval, and its width / the width of the central 95 % of draws."""
    inside = float(np.mean((draws >= low - 1e-9) & (draws <= high + 1e-9)))
    needed = float(np.quantile(draws, 0.975) - np.quantile(draws, 0.025))
    return inside, (high - low) / needed if needed > 0 else 1.0


def combined(draws: Mapping[Tag, Draws], weights: Mapping[Tag, float]) -> Draws:
    zero = np.zeros_like(next(iter(draws.values())))
    return sum((weight * draws[tag] for tag, weight in weights.items() if tag in draws), zero)
