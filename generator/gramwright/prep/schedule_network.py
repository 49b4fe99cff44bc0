"""Takes batches and a kitchen, gives the scheduling problem as a network: activities, resources, time lags.

It is the resource-constrained project scheduling problem with minimal and maximal time lags and renewable resources,
in whole minutes. A lag (i, j, w) says start(j) - start(i) >= w: with w >= 0 that i comes first, with w < 0 how long j
may come after i. Times are the high ends of ranges, rounded up, so nothing is planned earlier than it can be.

A network may also be made without any kitchen: published instances of the problem are.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from gramwright.model.plans import Gear, Oven
from gramwright.model.steps import COMPATIBLE_C, TOGETHER_MIN, Batch, Step
from gramwright.problems import Place, ProblemLog

HANDS = "cook"
USUAL_OVEN = Oven("", 50.0, 250.0, Place(""))
"""Stands in where a plan says nothing of its kitchen (common practice, no source)."""


class Demand(NamedTuple):
    """`amount` of a resource from minute `begin` to minute `end` of an activity."""

    resource: str
    amount: int
    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class Activity:
    duration: int
    demands: tuple[Demand, ...] = ()
    oven_c: float | None = None
    shelves: int = 0
    heated: int = -1
    """Activities with the same number (not -1) are in one oven, which stays hot from the first's start to the last's
    end: the number is that of the activity that heats it."""


class OvenRoom(NamedTuple):
    """One oven: what it can be set to, and its shelves."""

    low_c: float
    high_c: float
    shelves: int

    def takes(self, activity: Activity) -> bool:
        celsius = activity.oven_c
        return celsius is not None and self.low_c <= celsius <= self.high_c and activity.shelves <= self.shelves


class Network(NamedTuple):
    """The problem. The last activity is the end of everything: it takes no time and follows all others."""

    activities: tuple[Activity, ...]
    capacities: Mapping[str, int]
    order: tuple[tuple[int, int], ...]
    """(i, j): i ends before j starts."""
    lags: tuple[tuple[int, int, int], ...] = ()
    """(i, j, w): start(j) - start(i) >= w, beyond what `order` says."""
    ovens: tuple[OvenRoom, ...] = ()

    def heats(self) -> dict[int, tuple[int, ...]]:
        """Activities of each oven that is heated for them, by `heated`."""
        found: dict[int, list[int]] = {}
        for index, activity in enumerate(self.activities):
            if activity.heated >= 0:
                found.setdefault(activity.heated, []).append(index)
        return {heated: tuple(members) for heated, members in found.items()}

    def arcs(self) -> list[tuple[int, int, int]]:
        """All lags, those of `order` included."""
        return [*((i, j, self.activities[i].duration) for i, j in self.order), *self.lags]

    def mirrored(self) -> Network:
        """The same problem with time running backwards."""
        length = [activity.duration for activity in self.activities]
        return Network(
            tuple(
                Activity(
                    a.duration,
                    tuple(Demand(d.resource, d.amount, a.duration - d.end, a.duration - d.begin) for d in a.demands),
                    a.oven_c,
                    a.shelves,
                    a.heated,
                )
                for a in self.activities
            ),
            self.capacities,
            tuple((j, i) for i, j in self.order),
            tuple((j, i, w + length[j] - length[i]) for i, j, w in self.lags),
            self.ovens,
        )


def compatible(first: Activity, second: Activity) -> bool:
    """Whether two activities may be in one oven at the same time."""
    if first.oven_c is None or second.oven_c is None:
        return True
    return abs(first.oven_c - second.oven_c) <= COMPATIBLE_C + 1e-9


class Job(NamedTuple):
    """What an activity stands for: a step of a batch, or (step None) the batch being ready."""

    batch: int
    step: Step | None
    hands: int = 0
    early: int = 0
    """Minutes it takes at least."""
    limits: tuple[tuple[int, int], ...] = ()
    """Batch ends: (activity, minutes): in the fridge at most so long after that activity's end."""


@dataclass(slots=True)
class _Builder:
    gear: Gear
    log: ProblemLog
    activities: list[Activity] = field(default_factory=list)
    jobs: list[Job] = field(default_factory=list)
    order: list[tuple[int, int]] = field(default_factory=list)
    lags: list[tuple[int, int, int]] = field(default_factory=list)
    ends: dict[str, int] = field(default_factory=dict)
    """Slug -> the activity in which the batch is ready."""
    together: list[int] = field(default_factory=list)


def rooms(gear: Gear) -> tuple[Oven, ...]:
    """The ovens counted on."""
    return gear.ovens if gear.ovens or gear.said else (USUAL_OVEN,)


def network(batches: Sequence[Batch], gear: Gear, log: ProblemLog) -> tuple[Network, tuple[Job, ...]] | None:
    """The network of all batches that have steps, and what each activity stands for (the last one: nothing).

    None when a problem was logged: 'no-hands', 'too-few-hands', 'too-many-rings', 'no-such-equipment',
    'oven-too-hot', 'oven-too-full', 'circular-batches'. Batches without steps are left out; say so where they are.
    """
    before = sum(problem.severity == "error" for problem in log)
    made = _Builder(gear, log)
    for number, batch in enumerate(batches):
        _add_batch(made, number, batch)
    for batch in batches:
        _link(made, batches, batch)
    _bind_together(made)
    sink = len(made.activities)
    followed = {i for i, _ in made.order}
    for index, job in enumerate(made.jobs):
        if index not in followed:
            made.order.append((index, sink))
        if job.step is None and batches[job.batch].chill_within is None:
            for last in [i for i, j in made.order if j == index]:
                step = made.jobs[last].step
                if step is not None and step.keep_warm is not None:
                    made.lags.append((sink, last, -made.activities[last].duration - math.floor(step.keep_warm)))
    made.activities.append(Activity(0))
    if sum(problem.severity == "error" for problem in log) > before:
        return None
    capacities = {
        HANDS: gear.hands,
        "ring": gear.rings,
        "microwave": gear.microwaves,
        "air_fryer": gear.air_fryers,
    }
    if gear.bowls is not None:
        capacities["bowl"] = gear.bowls
    ovens = tuple(OvenRoom(oven.low_c, oven.high_c, oven.shelves) for oven in rooms(gear))
    activities = _with_an_oven(made.activities, ovens)
    found = Network(activities, capacities, tuple(made.order), tuple(made.lags), ovens)
    return found, tuple(made.jobs)


def _with_an_oven(activities: Sequence[Activity], ovens: Sequence[OvenRoom]) -> tuple[Activity, ...]:
    """The activities; those heated together that no one oven can take are taken apart."""
    members: dict[int, list[Activity]] = {}
    for activity in activities:
        members.setdefault(activity.heated, []).append(activity)
    apart = {
        heated
        for heated, group in members.items()
        if heated >= 0 and not any(all(room.takes(each) for each in group) for room in ovens)
    }
    return tuple(replace(each, heated=-1) if each.heated in apart else each for each in activities)


def _heated(batch: Batch, index: Mapping[str, int]) -> dict[str, int]:
    """Step -> the activity that heated its oven: the last heating of an empty oven before it, at its temperature."""
    steps = {step.name: step for step in batch.steps}
    found: dict[str, int] = {}

    def heated(name: str) -> int:
        step = steps[name]
        if name not in found:
            found[name] = -1
            if step.oven_c is not None and step.shelves == 0:
                found[name] = index[name]
            else:
                able = (heated(other) for other in step.after if other in steps)
                found[name] = next((one for one in able if one >= 0 and _as_hot(step, one)), -1)
        return found[name]

    def _as_hot(step: Step, heating: int) -> bool:
        oven = batch.steps[heating - min(index.values())].oven_c
        return step.oven_c is None or (oven is not None and abs(step.oven_c - oven) <= COMPATIBLE_C + 1e-9)

    for step in batch.steps:
        heated(step.name)
    return {name: one for name, one in found.items() if steps[name].oven_c is not None}


def _add_batch(made: _Builder, number: int, batch: Batch) -> None:
    """The batch's steps and its end, with their order and lags."""
    if not batch.steps:
        return
    index = {step.name: len(made.activities) + at for at, step in enumerate(batch.steps)}
    heated = _heated(batch, index)
    for step in batch.steps:
        _check(made, batch, step)
        activity, job = _activity(step, batch.factor, number, made.gear.bowls is not None)
        made.activities.append(replace(activity, heated=heated.get(step.name, -1)))
        made.jobs.append(job)
    end = len(made.activities)
    made.ends[batch.slug] = end
    followers: dict[int, list[int]] = {i: [] for i in index.values()}
    for step in batch.steps:
        for name in step.after:
            if name in index:
                made.order.append((index[name], index[step.name]))
                followers[index[name]].append(index[step.name])
    finals = [i for i, after in followers.items() if not after]
    made.order += [(i, end) for i in finals]
    limits = _chilling(batch, index, followers) if batch.chill_within is not None else ()
    made.activities.append(Activity(0))
    made.jobs.append(Job(number, None, limits=limits))
    made.lags += [(end, i, -made.activities[i].duration - minutes) for i, minutes in limits]
    for step in batch.steps:
        i = index[step.name]
        if step.keep_warm is not None:
            follow = followers[i] or ([end] if batch.chill_within is not None else [])
            made.lags += [(j, i, -made.activities[i].duration - math.floor(step.keep_warm)) for j in follow]
        for name in step.ends_with:
            _end_together(made, i, index[name])
    if batch.together:
        made.together += finals


def _activity(step: Step, factor: float, batch: int, bowls: bool) -> tuple[Activity, Job]:
    """A step's activity. Hands-on time grows with the batch and waiting does not, unless the step says otherwise."""
    by_hand = 1.0 if step.grows is False else factor
    by_wait = factor if step.grows else 1.0
    hands = 0 if step.hands is None else math.ceil(step.hands.high * by_hand - 1e-9)
    wait = 0 if step.wait is None else math.ceil(step.wait.high * by_wait - 1e-9)
    low = (0.0 if step.hands is None else step.hands.low * by_hand) + (
        0.0 if step.wait is None else step.wait.low * by_wait
    )
    length = hands + wait
    counted = [("ring", step.rings), ("microwave", step.microwaves), ("air_fryer", step.air_fryers)]
    if bowls:
        counted.append(("bowl", step.bowls))
    demands = [Demand(HANDS, step.cooks, 0, hands)] if hands else []
    demands += [Demand(name, amount, 0, length) for name, amount in counted if amount]
    shelves = shelves_for(step, factor) if step.oven_c is not None else 0
    return Activity(length, tuple(demands), step.oven_c, shelves), Job(batch, step, hands, math.floor(low + 1e-9))


def shelves_for(step: Step, factor: float) -> int:
    """Oven shelves that a step takes when its recipe is made `factor` times."""
    return math.ceil(step.shelves * max(factor, 1.0) - 1e-9)


def _chilling(
    batch: Batch, index: Mapping[str, int], followers: Mapping[int, list[int]]
) -> tuple[tuple[int, int], ...]:
    """How long after which step the batch may be out of the fridge: after every last heating, or every last step."""
    by_index = {index[step.name]: step for step in batch.steps}
    heated_later: dict[int, bool] = {}

    def later(i: int) -> bool:
        if i not in heated_later:
            heated_later[i] = any(_cooks(by_index[j]) or later(j) for j in followers[i])
        return heated_later[i]

    found = [i for i, step in by_index.items() if _cooks(step) and not later(i)]
    if not found:
        found = [i for i in by_index if not followers[i]]
    rule = batch.chill_within if batch.chill_within is not None else math.inf
    said = {i: step.chill_within for i, step in by_index.items() if step.chill_within is not None}
    limits = {i: min(rule, said.get(i, rule)) for i in found} | {i: min(rule, own) for i, own in said.items()}
    return tuple((i, math.floor(minutes)) for i, minutes in sorted(limits.items()))


def _cooks(step: Step) -> bool:
    """Heats food (heating an empty oven does not)."""
    return step.heats and not (step.oven_c is not None and step.shelves == 0)


def _link(made: _Builder, batches: Sequence[Batch], batch: Batch) -> None:
    """What uses another batch waits for it: the steps that name it, or else all that start the batch."""
    if batch.slug not in made.ends:
        return
    end = made.ends[batch.slug]
    first = end - len(batch.steps)
    for slug in batch.after:
        other = made.ends.get(slug)
        if other is None or other == end:
            continue
        waiting = [first + at for at, step in enumerate(batch.steps) if slug in step.after]
        if not waiting:
            names = {step.name for step in batch.steps}
            waiting = [first + at for at, step in enumerate(batch.steps) if not names.intersection(step.after)]
        made.order += [(other, i) for i in waiting]


def _bind_together(made: _Builder) -> None:
    for at, i in enumerate(made.together):
        for j in made.together[at + 1 :]:
            _end_together(made, i, j)


def _end_together(made: _Builder, i: int, j: int) -> None:
    """Both ends within TOGETHER_MIN of one another."""
    one, other = made.activities[i].duration, made.activities[j].duration
    made.lags.append((i, j, one - other - TOGETHER_MIN))
    made.lags.append((j, i, other - one - TOGETHER_MIN))


def _check(made: _Builder, batch: Batch, step: Step) -> None:
    """Logs what the step needs and the kitchen does not have."""
    gear, log = made.gear, made.log
    where = f" (kitchen: {gear.place})" if gear.said else ""
    what = f"'{step.name}' of '{batch.title}'"
    needs = [
        (step.cooks if step.hands is not None else 0, gear.hands, "too-few-hands", "cooks", "hands"),
        (step.rings, gear.rings, "too-many-rings", "hob rings", "rings"),
        (step.microwaves, gear.microwaves, "no-such-equipment", "microwaves", "microwave"),
        (step.air_fryers, gear.air_fryers, "no-such-equipment", "air fryers", "air fryer"),
        (step.bowls, step.bowls if gear.bowls is None else gear.bowls, "no-such-equipment", "bowls", "bowls"),
    ]
    for needed, has, code, words, key in needs:
        if needed > has:
            log.error(
                step.place,
                code,
                f"{what} needs {needed} of the kitchen's {words}, which has {has}{where}",
                f"say it in the plan's kitchen ({key}), or change the step",
            )
    if step.oven_c is None:
        return
    ovens = rooms(gear)
    fitting = [oven for oven in ovens if oven.low_c <= step.oven_c <= oven.high_c]
    if not fitting:
        reach = ", ".join(f"{oven.low_c:g} to {oven.high_c:g} C" for oven in ovens) or "no oven"
        log.error(
            step.place,
            "oven-too-hot",
            f"{what} needs an oven at {step.oven_c:g} C, the kitchen has {reach}{where}",
            "say in the plan's kitchen what the oven reaches, or leave the recipe out",
        )
        return
    shelves = shelves_for(step, batch.factor)
    most = max(oven.shelves for oven in fitting)
    if shelves > most:
        log.error(
            step.place,
            "oven-too-full",
            f"{what} takes {shelves} oven shelves when {batch.factor:g} times the recipe is made, the oven has {most}",
            "make it in two sessions, or less of it",
        )
