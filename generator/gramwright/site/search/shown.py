"""Figures as lists show them. Takes unrounded figures, gives the whole numbers that the index packs.

A list rounds as the guidance for EU declarations does (European Commission,
guidance on tolerances, December 2012, section 6; secondary copy): energy to
1 kcal, grams to 0.1 g below 10 g and to 1 g from there on, salt to 0.01 g
below 1 g and to 0.1 g from there on; half up. Filters compare what is shown,
so that "at least 30 g" keeps a recipe that says 30 g.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal

_ONE = Decimal(1)
_FAR = 1e-6
"""So far from a half that binary and decimal arithmetic round alike."""


def half_up(amount: float, per_unit: int = 1) -> int:
    """The nearest whole number of 1/per_unit steps, half up from the decimal as written; never below 0."""
    steps = amount * per_unit + 0.5
    nearest = math.floor(steps)
    if _FAR < steps - nearest < 1 - _FAR:
        return max(0, nearest)
    return max(0, int((Decimal(repr(amount)) * per_unit).quantize(_ONE, ROUND_HALF_UP)))


def graded(amount: float, per_unit: int = 10) -> int:
    """The step of a scale with `per_unit` steps to a unit up to 100 steps, and steps ten times as wide beyond.

    With 10 to the unit: 0.1 g steps below 10 g (0 to 99), then 1 g steps (100
    is 10 g, 101 is 11 g). `ungraded` is the way back.
    """
    fine = half_up(amount, per_unit)
    return fine if fine < 100 else 90 + half_up(amount * per_unit / 10)


def tenths(amount: float) -> int:
    """Tenths of a gram: the nearest below 10 g; from there on begun ones are dropped, to keep the whole grams right.

    (29.46 g are 29 g. Rounded to 29.5 g first they would become 30 g.)
    """
    nearest = half_up(amount, 10)
    return nearest if nearest < 100 else max(100, math.floor(Decimal(repr(amount)) * 10))


def graded_tenths(step: int) -> int:
    """Tenths of a gram that a step of `graded` with ten to the unit stands for."""
    return step if step < 100 else (step - 90) * 10


def regraded(steps: int) -> int:
    """The step of `graded` for so many fine steps."""
    return steps if steps < 100 else 90 + (steps + 5) // 10


def ungraded(step: int, per_unit: int = 10) -> float:
    """The amount that a step of `graded` stands for."""
    return graded_tenths(step) / per_unit


def whole_minutes(minutes: float) -> int:
    """Minutes as shown: a begun minute counts."""
    return max(0, math.ceil(minutes - 1e-9))
