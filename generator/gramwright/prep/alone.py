"""One recipe cooked by itself. Takes a dish whose page has steps, gives its timeline in a usual kitchen.

    alone(dish, log) -> Alone

The kitchen is the one that a plan has which says nothing of its own: one cook, four rings, one oven (common practice,
no source). What a step needs beyond that (a second pair of hands, a microwave, a hotter oven) is there too: whoever
cooks the recipe has it. Sub-recipes with steps are cooked first; those without are named, their times are not guessed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from gramwright.model import Dish, Gear, Oven
from gramwright.model.steps import Batch, Schedule
from gramwright.prep.cooking import opened
from gramwright.prep.schedule import schedule
from gramwright.prep.schedule_network import USUAL_OVEN, shelves_for
from gramwright.prep.times import check_times
from gramwright.problems import ProblemLog
from gramwright.reading.steps import items_of

MISSING = "steps-missing"


class Alone(NamedTuple):
    """A recipe's own timeline, and what it says nothing of."""

    schedule: Schedule | None
    """None: its times contradict one another (logged as a warning)."""
    gear: Gear
    untimed: tuple[int, ...]
    """Numbers of the method's items that no step stands for, where steps name items at all."""
    unmade: tuple[str, ...]
    """Titles of sub-recipes without steps."""


def alone(dish: Dish, log: ProblemLog) -> Alone:
    """The timeline of the recipe as written, eaten at once. Problems of its times are logged as warnings."""
    batches = tuple(opened(dish))
    gear = kitchen_for(batches)
    here = ProblemLog()
    made = schedule(batches, gear, here, exact=False, tries=0)
    for problem in here:
        if problem.code != MISSING:
            log.warn(problem.place, problem.code, problem.message, problem.hint)
    untimed = _untimed(dish)
    if made is not None:
        check_times(dish.page, made, len(batches) == 1, not untimed, log)
    return Alone(made, gear, untimed, tuple(batch.title for batch in batches if not batch.steps))


def kitchen_for(batches: Iterable[Batch]) -> Gear:
    """The usual kitchen, with what the steps need beyond it."""
    usual = Gear()
    hands, rings, microwaves, air_fryers = usual.hands, usual.rings, usual.microwaves, usual.air_fryers
    oven: Oven = USUAL_OVEN
    for step, factor in ((step, batch.factor) for batch in batches for step in batch.steps):
        hands = max(hands, step.cooks if step.hands is not None else 0)
        rings = max(rings, step.rings)
        microwaves = max(microwaves, step.microwaves)
        air_fryers = max(air_fryers, step.air_fryers)
        if step.oven_c is not None:
            oven = replace(
                oven,
                low_c=min(oven.low_c, step.oven_c),
                high_c=max(oven.high_c, step.oven_c),
                shelves=max(oven.shelves, shelves_for(step, factor)),
            )
    return Gear(hands, rings, (oven,), microwaves, air_fryers)


def _untimed(dish: Dish) -> tuple[int, ...]:
    named = {step.item for step in dish.page.steps if step.item is not None}
    if not named:
        return ()
    return tuple(item for item in range(1, items_of(dish.page.method) + 1) if item not in named)
