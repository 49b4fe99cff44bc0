"""Mixed-integer programming for `tune`. Takes knobs and goals, gives whole steps, by SciPy's HiGHS.

    solve(knobs, goals, weight_g, within) -> tuple[int, ...]     steps up or down of every knob

First the least that the goals must be missed by (none, where they can be met), then the smallest change that misses
them by no more. What is asked `within` is never missed. An optional extra: `pip install gramwright[optimise]`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module, util
from typing import Any, NamedTuple

from gramwright.model import Tag
from gramwright.problems import Trouble

WEIGHT_COST = 1.0
"""What it costs to change the weight of the batch by all of it; changing one row by all of it costs 1."""
ROW_COST = 0.02
"""What it costs to change a row at all: few rows before many."""
TIE = 1e-6
"""Earlier rows before later ones where nothing else decides."""
INFEASIBLE = 2
"""SciPy's status of a program without a solution (scipy.optimize.milp)."""
MARGIN = 1e-7
"""Of a goal's size: kept clear of its ends."""


class Knob(NamedTuple):
    """A row that moves in whole steps."""

    least: int
    """At most so many steps down, as a number of 0 or less."""
    most: int
    cost: float
    """Relative change of the row a step."""
    grams: float
    """Of the batch, a step."""


@dataclass(frozen=True, slots=True)
class Goal:
    """A figure that is to lie between two ends: base + the sum of slope x steps."""

    tag: Tag
    base: float
    slopes: tuple[float, ...]
    low: float | None
    high: float | None

    @property
    def scale(self) -> float:
        """What a miss is measured against."""
        return max(abs(end) for end in (self.low, self.high, 1e-3) if end is not None)

    def at(self, counts: Sequence[int]) -> float:
        return self.base + sum(slope * count for slope, count in zip(self.slopes, counts, strict=True))


def available() -> bool:
    return util.find_spec("scipy") is not None


def solve(
    knobs: Sequence[Knob], goals: Sequence[Goal], weight_g: float, within: Goal | None = None
) -> tuple[int, ...] | None:
    """Steps of every knob; None where none keep `within`.

    Raises Trouble 'no-optimiser' without SciPy, 'no-answer' where it gives up.
    """
    if not available():
        raise Trouble(
            "no-optimiser",
            "expected SciPy, which finds the smallest change, found that it is not installed",
            "install it with: pip install 'gramwright[optimise]'",
        )
    program = _Program(import_module("scipy.optimize"), knobs, goals, weight_g)
    if within is not None:
        program.keep(within)
    missed = program.minimise(program.misses())
    if missed is None:
        return None
    least = sum(missed[program.slack :])
    best = program.minimise(program.change(), at_most=least + 1e-7) or missed
    count = len(knobs)
    return tuple(round(best[i]) - round(best[count + i]) for i in range(count))


class _Program:
    """Variables: steps up, steps down, whether a row changes (one each a knob), the weight's change, a slack a goal."""

    def __init__(self, optimize: Any, knobs: Sequence[Knob], goals: Sequence[Goal], weight_g: float) -> None:
        self.optimize = optimize
        self.knobs, self.goals = knobs, goals
        count = len(knobs)
        self.weight = 3 * count
        self.slack = self.weight + 1
        self.size = self.slack + len(goals)
        self.rows: list[list[float]] = []
        self.lows: list[float] = []
        self.highs: list[float] = []
        infinity = float("inf")
        for i, knob in enumerate(knobs):
            row = self._row()
            row[i] = row[count + i] = 1.0
            row[2 * count + i] = -float(max(knob.most, -knob.least, 1))
            self._add(row, -infinity, 0.0)
        for sign in (1.0, -1.0):
            row = self._row([sign * knob.grams / weight_g for knob in knobs])
            row[self.weight] = -1.0
            self._add(row, -infinity, 0.0)
        for at, goal in enumerate(goals):
            clear = MARGIN * goal.scale
            scaled = [slope / goal.scale for slope in goal.slopes]
            if goal.low is not None:
                row = self._row(scaled)
                row[self.slack + at] = 1.0
                self._add(row, (goal.low + clear - goal.base) / goal.scale, infinity)
            if goal.high is not None:
                row = self._row(scaled)
                row[self.slack + at] = -1.0
                self._add(row, -infinity, (goal.high - clear - goal.base) / goal.scale)

    def keep(self, within: Goal) -> None:
        """Bounds a figure without slack."""
        clear, infinity = MARGIN * within.scale, float("inf")
        self._add(
            self._row(within.slopes),
            -infinity if within.low is None else within.low + clear - within.base,
            infinity if within.high is None else within.high - clear - within.base,
        )

    def _row(self, steps: Sequence[float] = ()) -> list[float]:
        row = [0.0] * self.size
        for i, value in enumerate(steps):
            row[i], row[len(self.knobs) + i] = value, -value
        return row

    def _add(self, row: list[float], low: float, high: float) -> None:
        self.rows.append(row)
        self.lows.append(low)
        self.highs.append(high)

    def misses(self) -> list[float]:
        return [0.0] * self.slack + [1.0] * len(self.goals)

    def change(self) -> list[float]:
        each = [knob.cost + TIE * (1 + i) for i, knob in enumerate(self.knobs)]
        return [*each, *each, *[ROW_COST] * len(self.knobs), WEIGHT_COST, *[0.0] * len(self.goals)]

    def minimise(self, costs: list[float], at_most: float | None = None) -> list[float] | None:
        """The variables at the least cost; the misses together are `at_most`. None where nothing keeps every bound."""
        rows, lows, highs = list(self.rows), list(self.lows), list(self.highs)
        if at_most is not None:
            rows.append(self.misses())
            lows.append(0.0)
            highs.append(at_most)
        infinity = float("inf")
        upper = [float(knob.most) for knob in self.knobs] + [float(-knob.least) for knob in self.knobs]
        upper += [1.0] * len(self.knobs) + [infinity] * (1 + len(self.goals))
        found = self.optimize.milp(
            c=costs,
            constraints=self.optimize.LinearConstraint(rows, lows, highs),
            bounds=self.optimize.Bounds([0.0] * self.size, upper),
            integrality=[1] * (3 * len(self.knobs)) + [0] * (1 + len(self.goals)),
            options={"mip_rel_gap": 0.0},
        )
        if found.x is None and found.status == INFEASIBLE:
            return None
        if found.x is None:
            raise Trouble(
                "no-answer", f"expected an answer of the optimiser, found: {found.message}", "ask for fewer rows"
            )
        return [float(value) for value in found.x]
