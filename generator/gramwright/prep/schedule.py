"""Takes the batches of a session and what its kitchen has, gives the Schedule: what to start when, on what.

    schedule(batches, gear, log, exact=None, tries=...) -> Schedule | None

The order is computed, never guessed: batches without steps are left out, named in `Schedule.missing`, and asked for
('steps-missing', a warning). With the optional solver installed the schedule is the best there is, or within the
proven bound that it shows; without it, priority rules make it. `exact` False or True asks for one of the two, `tries`
for how many shaken orders the rules try beside the plain ones (none: a few milliseconds for one recipe).
What the answer depends on beside its arguments: `solver.version()`.

Problems: 'steps-missing', 'impossible-times', 'no-schedule', and those of `schedule_network.network`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from gramwright.model.plans import Gear
from gramwright.model.steps import Batch, Lane, Schedule, Step, Task
from gramwright.prep import schedule_bounds, schedule_rule, solver
from gramwright.prep.schedule_bounds import Placed
from gramwright.prep.schedule_network import HANDS, Job, Network, network, rooms
from gramwright.problems import ProblemLog

KINDS = (HANDS, "ring", "oven", "microwave", "air_fryer", "bowl")


def schedule(
    batches: Sequence[Batch],
    gear: Gear,
    log: ProblemLog,
    exact: bool | None = None,
    tries: int = schedule_rule.TRIES,
) -> Schedule | None:
    """The best schedule of all batches that have steps; None when a problem was logged or no batch has steps."""
    missing = [batch for batch in batches if not batch.steps]
    for batch in missing:
        log.warn(
            batch.place,
            "steps-missing",
            f"expected the times of the steps of '{batch.title}' ({batch.slug}), found none, so it is in no schedule",
            "add a block that opens with ```steps to the recipe, with lines as in "
            "'- {step: roast, wait: 35-40 min, oven: 180 C}'",
        )
    known = [batch for batch in batches if batch.steps]
    built = network(known, gear, log)
    if built is None or not known:
        return None
    problem, jobs = built
    if schedule_bounds.earliest(problem) is None:
        _impossible(known, log)
        return None
    use_solver = solver.available() if exact is None else exact
    placed = schedule_rule.schedule(problem, tries)
    bound = schedule_bounds.lower_bound(problem)
    if use_solver:
        solved = solver.solve(problem, placed)
        placed, bound = solved.placed or placed, max(bound, solved.lower_bound)
    if placed is None:
        names = ", ".join(f"'{batch.title}'" for batch in known)
        log.error(
            known[0].place,
            "no-schedule",
            f"expected an order in which {names} can be cooked together, found none that keeps every limit",
            "allow more time in keep_warm, ends_with or together, or divide the session in two",
        )
        return None
    minutes = schedule_bounds.length(problem, placed)
    lanes, used = _lanes(problem, placed, gear)
    tasks = _tasks(known, jobs, problem, placed, used)
    return Schedule(
        tasks=tuple(sorted(tasks, key=lambda t: (t.start, t.chill, t.hands_end, t.batch, t.end, t.name))),
        lanes=lanes,
        minutes=minutes,
        lower_bound=bound,
        proven=bound == minutes,
        idle_min=schedule_bounds.idle(problem, placed.starts),
        method="solver" if use_solver else "rule",
        missing=tuple(batch.title for batch in missing),
    )


def _impossible(batches: Sequence[Batch], log: ProblemLog) -> None:
    """Says which batch cannot keep its own limits, or that they contradict one another."""
    for batch in batches:
        alone = network([batch], Gear(), ProblemLog([]))
        if alone is not None and schedule_bounds.earliest(alone[0]) is None:
            limited = [step for step in batch.steps if _limited(step)]
            log.error(
                limited[0].place if limited else batch.place,
                "impossible-times",
                f"expected limits that '{batch.title}' can keep, found steps between that take longer than its "
                "keep_warm, ends_with or time until it is chilled allow",
                "allow more time, or put the long steps before what must not wait",
            )
            return
    log.error(
        batches[0].place,
        "impossible-times",
        "expected limits that can be kept together, found dishes that cannot end or follow one another as asked",
        "take one of them out of 'together', or allow more time in keep_warm",
    )


def _limited(step: Step) -> bool:
    return step.keep_warm is not None or bool(step.ends_with) or step.chill_within is not None


def _lanes(problem: Network, placed: Placed, gear: Gear) -> tuple[tuple[Lane, ...], list[tuple[str, ...]]]:
    """The lanes that are used, and the lanes of each activity: the lowest numbers that are free when it starts."""
    taken: dict[str, list[int]] = {name: [0] * most for name, most in problem.capacities.items()}
    used: list[list[str]] = [[] for _ in problem.activities]
    wanted = sorted(
        (placed.starts[i] + d.begin, placed.starts[i] + d.end, KINDS.index(d.resource), i, d)
        for i, activity in enumerate(problem.activities)
        for d in activity.demands
    )
    for start, end, _, i, demand in wanted:
        free = [number for number, until in enumerate(taken[demand.resource]) if until <= start]
        for number in free[: demand.amount]:
            taken[demand.resource][number] = end
            used[i].append(f"{demand.resource}-{number + 1}")
    for i, oven in enumerate(placed.ovens):
        if oven >= 0:
            used[i].append(f"oven-{oven + 1}")
    names = {f"oven-{number}": oven.name for number, oven in enumerate(rooms(gear), 1)}
    keys = {key for lanes in used for key in lanes}
    found = []
    for key in keys:
        kind, _, count = key.rpartition("-")
        found.append(Lane(key, kind, int(count), names.get(key, "")))
    found.sort(key=lambda lane: (KINDS.index(lane.kind), lane.number))
    return tuple(found), [tuple(lanes) for lanes in used]


def _tasks(
    batches: Sequence[Batch], jobs: Sequence[Job], problem: Network, placed: Placed, lanes: Sequence[tuple[str, ...]]
) -> list[Task]:
    tasks = []
    for i, job in enumerate(jobs):
        batch, step = batches[job.batch], job.step
        start = placed.starts[i]
        if step is not None:
            end = start + problem.activities[i].duration
            tasks.append(
                Task(
                    batch=batch.slug,
                    title=batch.title,
                    name=step.name,
                    start=start,
                    hands_end=start + job.hands,
                    early_end=min(end, start + max(job.early, job.hands)),
                    end=end,
                    item=step.item,
                    lanes=lanes[i],
                    oven_c=step.oven_c,
                    keep_warm_until=None if step.keep_warm is None else end + math.floor(step.keep_warm),
                    after=step.after,
                )
            )
        elif job.limits:
            due = min(placed.starts[other] + problem.activities[other].duration + most for other, most in job.limits)
            tasks.append(
                Task(
                    batch=batch.slug,
                    title=batch.title,
                    name="",
                    start=start,
                    hands_end=start,
                    early_end=start,
                    end=start,
                    chill=True,
                    into=batch.chill_into,
                    due=due,
                )
            )
    return tasks
