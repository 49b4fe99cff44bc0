"""Takes a plan laid out, gives the schedule of each of its sessions.

    sessions(plates, cool_within_h, log) -> tuple[SessionSchedule, ...]

Sub-recipes are batches of their own, before what uses them, unless the session cooks them anyway: then it cooks more.
A batch is chilled when a portion of it waits for another day or is left over; others are eaten at once.
"""

from __future__ import annotations

from dataclasses import dataclass

from gramwright.model import Dish, Session
from gramwright.model.steps import Batch, Schedule
from gramwright.prep.plates import Plates
from gramwright.prep.schedule import schedule
from gramwright.problems import Place, ProblemLog


@dataclass(frozen=True, slots=True)
class SessionSchedule:
    """One session; `schedule` is None where none of its recipes says its times, or a problem was logged."""

    index: int
    """Index in PlanPage.sessions."""
    session: Session
    batches: tuple[Batch, ...]
    schedule: Schedule | None


@dataclass(slots=True)
class _Wanted:
    """One recipe of a session while its uses are added up."""

    dish: Dish
    place: Place
    factor: float = 0.0
    waits: bool = False
    inner: tuple[str, ...] = ()


def batches_of(plates: Plates, session: int, cool_within_h: float) -> tuple[Batch, ...]:
    """What is cooked in a session, sub-recipes first; `cool_within_h` is the hours until it is in the fridge."""
    wanted: dict[str, _Wanted] = {}
    for at, made in enumerate(plates.batches):
        if made.session == session:
            waits = made.extra > 1e-9 or any(plate.serving.day > made.day for plate in plates.of(at))
            _want(wanted, made.recipe, made.dish, made.factor, made.place, waits)
    together = plates.plan.sessions[session].together
    return tuple(
        Batch(
            slug=slug,
            title=one.dish.page.title,
            steps=one.dish.page.steps,
            place=one.place,
            factor=one.factor,
            after=one.inner,
            chill_within=cool_within_h * 60 if one.waits else None,
            together=slug in together,
        )
        for slug, one in wanted.items()
    )


def _want(wanted: dict[str, _Wanted], slug: str, dish: Dish, factor: float, place: Place, waits: bool) -> None:
    """Adds a recipe to what is cooked, after the recipes that it uses itself."""
    inner: list[str] = []
    for ingredient in dish.counted:
        if ingredient.dish is not None:
            other = ingredient.dish
            inner.append(other.page.slug)
            _want(wanted, other.page.slug, other, factor * ingredient.weighed_g / other.basis_g, place, False)
    one = wanted.setdefault(slug, _Wanted(dish, place, inner=tuple(dict.fromkeys(inner))))
    one.factor += factor
    one.waits = one.waits or waits


def sessions(plates: Plates, cool_within_h: float, log: ProblemLog) -> tuple[SessionSchedule, ...]:
    """Every session of the plan that cooks something, in order. Problems are those of `schedule.schedule`."""
    found = []
    for index, session in enumerate(plates.plan.sessions):
        batches = batches_of(plates, index, cool_within_h)
        if batches:
            made = schedule(batches, plates.plan.gear, log)
            found.append(SessionSchedule(index, session, batches, made))
    return tuple(found)
