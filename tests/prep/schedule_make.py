"""Published and random scheduling problems, and a checker that shares no code with the scheduler."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from gramwright.model.plans import Gear, Oven
from gramwright.model.steps import Batch, Minutes, Schedule, Step, Task
from gramwright.prep.schedule_bounds import Placed
from gramwright.prep.schedule_network import Activity, Demand, Network
from gramwright.problems import Place

PSPLIB = Path(__file__).parent / "psplib"
HERE = Place("plans/week.md", 10, 3)


def read_instance(name: str) -> tuple[Network, int]:
    """A published instance as a network, and its optimum."""
    capacities: list[int] = []
    optimum = 0
    rows: dict[int, tuple[int, list[int], list[int]]] = {}
    for line in (PSPLIB / f"{name}.txt").read_text().splitlines():
        if line.startswith("#"):
            continue
        if line.startswith("capacities"):
            capacities = [int(word) for word in line.split()[1:]]
        elif line.startswith("optimum"):
            optimum = int(line.split()[1])
        else:
            left, _, right = line.partition(":")
            number, duration, *demands = (int(word) for word in left.split())
            rows[number] = (duration, demands, [int(word) for word in right.split()])
    at = {number: index for index, number in enumerate(rows)}
    activities = [
        Activity(d, tuple(Demand(f"r{k}", amount, 0, d) for k, amount in enumerate(demands) if amount))
        for d, demands, _ in rows.values()
    ]
    order = [(at[number], at[other]) for number, (_, _, followers) in rows.items() for other in followers]
    order += [(index, len(rows)) for index in range(len(rows))]
    names = {f"r{k}": capacity for k, capacity in enumerate(capacities)} | {"cook": 1}
    return Network((*activities, Activity(0)), names, tuple(order)), optimum


def broken_rules(network: Network, placed: Placed) -> list[str]:
    """Everything a schedule breaks, found minute by minute and pair by pair."""
    found = []
    starts = placed.starts
    acts = network.activities
    for i, j in network.order:
        if starts[j] < starts[i] + acts[i].duration:
            found.append(f"{j} starts before {i} ends")
    for i, j, lag in network.lags:
        if starts[j] - starts[i] < lag:
            found.append(f"{j} is not {lag} after {i}")
    end = max(start + a.duration for start, a in zip(starts, acts, strict=True))
    if min(starts) < 0:
        found.append("starts before zero")
    for minute in range(end):
        for name, capacity in network.capacities.items():
            used = sum(
                d.amount
                for start, a in zip(starts, acts, strict=True)
                for d in a.demands
                if d.resource == name and start + d.begin <= minute < start + d.end
            )
            if used > capacity:
                found.append(f"{used} of {capacity} {name} at {minute}")
        for number, room in enumerate(network.ovens):
            inside = [
                a
                for start, a, oven in zip(starts, acts, placed.ovens, strict=True)
                if oven == number and start <= minute < start + a.duration
            ]
            if sum(a.shelves for a in inside) > room.shelves:
                found.append(f"oven {number} too full at {minute}")
            heat = [a.oven_c for a in inside if a.oven_c is not None]
            if heat and (max(heat) > room.high_c or min(heat) < room.low_c or max(heat) - min(heat) > 10.001):
                found.append(f"oven {number} at {heat} at {minute}")
    for a, oven in zip(acts, placed.ovens, strict=True):
        if (a.oven_c is not None) != (oven >= 0):
            found.append("an oven dish without an oven")
    return found


def random_gear(dice: random.Random) -> Gear:
    ovens = tuple(Oven(f"o{k}", 50, dice.choice([220, 250]), HERE) for k in range(dice.choice([1, 1, 2])))
    bowls = dice.choice([None, 2, 4])
    return Gear(dice.choice([1, 1, 2]), dice.choice([2, 4]), ovens, 1, 1, bowls, HERE, True)


def random_batches(dice: random.Random, most: int = 5) -> list[Batch]:
    """Recipes with hands-on and waiting steps, ovens at several temperatures, limits and steps that end together."""
    found = []
    for number in range(dice.randint(1, most)):
        steps: list[Step] = []
        for at in range(dice.randint(1, 6)):
            kind = dice.choice(["hands", "hands", "ring", "oven", "micro", "both"])
            names = [step.name for step in steps]
            after = tuple(dice.sample(names, min(len(names), dice.choice([0, 1, 1, 2]))))
            short = Minutes(dice.randint(1, 5), dice.randint(6, 15))
            long = Minutes(dice.randint(5, 15), dice.randint(16, 50))
            steps.append(
                Step(
                    f"step {at}",
                    Place(f"recipes/r{number}.md", 10 + at, 3),
                    hands=short if kind in ("hands", "both") else None,
                    wait=long if kind != "hands" else None,
                    after=after,
                    oven_c=dice.choice([160.0, 165.0, 180.0, 200.0, 220.0]) if kind == "oven" else None,
                    rings=1 if kind in ("ring", "both") else 0,
                    microwaves=1 if kind == "micro" else 0,
                    bowls=1 if kind == "hands" and dice.random() < 0.3 else 0,
                    keep_warm=dice.choice([0, 5, 15, 40]) if dice.random() < 0.25 else None,
                )
            )
        found.append(
            Batch(
                f"r{number}",
                f"Dish {number}",
                tuple(_preheated(steps, _beside(dice))),
                HERE,
                factor=dice.choice([1, 1, 1.5, 2]),
                after=(f"r{number - 1}",) if number and dice.random() < 0.2 else (),
                chill_within=120 if dice.random() < 0.5 else None,
                together=dice.random() < 0.15,
            )
        )
    return found


def _beside(dice: random.Random) -> random.Random:
    """Dice that fall as these do, without moving them."""
    other = random.Random()
    other.setstate(dice.getstate())
    return other


def _preheated(steps: list[Step], dice: random.Random) -> list[Step]:
    """Some oven steps get a step that heats the empty oven before them."""
    found: list[Step] = []
    for step in steps:
        if step.oven_c is not None and dice.random() < 0.6:
            heat = Step(
                f"heat for {step.name}",
                step.place,
                wait=Minutes(8, dice.randint(8, 15)),
                oven_c=step.oven_c,
                shelves=0,
                keep_warm=dice.choice([None, 10.0, 20.0]),
            )
            found.append(heat)
            step = replace(step, after=(*step.after, heat.name))
        found.append(step)
    return found


def cold_ovens(schedule: Schedule, batches: list[Batch]) -> list[str]:
    """Every dish that goes into another oven than the one heated for it, or after something of another temperature."""
    found = []
    steps = {(batch.slug, step.name): step for batch in batches for step in batch.steps}
    at = {(task.batch, task.name): task for task in schedule.tasks if not task.chill}

    def oven(task: Task) -> str:
        return next(lane for lane in task.lanes if lane.startswith("oven"))

    for key, task in at.items():
        for other in steps[key].after:
            heating = steps.get((key[0], other))
            mine = steps[key].oven_c
            if heating is None or heating.oven_c is None or heating.shelves or mine is None:
                continue
            before = at[key[0], other]
            if oven(before) != oven(task):
                found.append(f"{key} is in {oven(task)}, heated was {oven(before)}")
            for one, between in at.items():
                heat = steps[one].oven_c
                inside = between.start < task.end and before.start < between.end
                if heat is not None and inside and oven(between) == oven(task) and abs(heat - mine) > 10:
                    found.append(f"{one} at {heat} comes between the heating and {key}")
    return found


def broken_promises(schedule: Schedule, batches: list[Batch], gear: Gear) -> list[str]:
    """Everything a finished schedule breaks, judged from the recipes' steps alone."""
    found = []
    of = {batch.slug: batch for batch in batches}
    at = {(task.batch, task.name): task for task in schedule.tasks if not task.chill}
    for batch in batches:
        for step in batch.steps:
            if (batch.slug, step.name) not in at:
                found.append(f"{batch.slug}/{step.name} is missing")
    for (slug, name), task in at.items():
        step = next(step for step in of[slug].steps if step.name == name)
        for other in step.after:
            first = at.get((slug, other))
            if first is not None and first.end > task.start:
                found.append(f"{slug}/{name} before {other} is done")
            before = next((one for one in of[slug].steps if one.name == other), None)
            keep = None if before is None else before.keep_warm
            if keep is not None and first is not None and task.start - first.end > keep:
                found.append(f"{slug}/{other} kept too long for {name}")
        for other in of[slug].after:
            if other in of and not step.after:
                late = [one for (s, _), one in at.items() if s == other and one.end > task.start]
                if late:
                    found.append(f"{slug} starts before {other} is done")
        if task.end - task.start < sum(span.low for span in (step.hands, step.wait) if span is not None):
            found.append(f"{slug}/{name} is too short")
    for minute in range(schedule.minutes):
        now = [(task, of[task.batch]) for task in at.values() if task.start <= minute < task.end]
        steps = [(task, next(s for s in batch.steps if s.name == task.name)) for task, batch in now]
        hands = sum(step.cooks for task, step in steps if minute < task.hands_end)
        if hands > gear.hands:
            found.append(f"{hands} cooks at {minute}")
        if sum(step.rings for _, step in steps) > gear.rings:
            found.append(f"rings at {minute}")
        if sum(step.microwaves for _, step in steps) > gear.microwaves:
            found.append(f"microwaves at {minute}")
        if gear.bowls is not None and sum(step.bowls for _, step in steps) > gear.bowls:
            found.append(f"bowls at {minute}")
        lanes = [lane for task, _ in steps for lane in task.lanes if not lane.startswith(("oven", "cook"))]
        if len(lanes) != len(set(lanes)):
            found.append(f"two tasks on one lane at {minute}: {sorted(lanes)}")
        for key in {lane for task, _ in steps for lane in task.lanes if lane.startswith("oven")}:
            heat = sorted(step.oven_c for task, step in steps if key in task.lanes and step.oven_c is not None)
            if heat[-1] - heat[0] > 10:
                found.append(f"{key} at {heat} at {minute}")
    for batch in batches:
        if batch.chill_within is None:
            continue
        chill = [task for task in schedule.tasks if task.batch == batch.slug and task.chill]
        last = max(task.end for (slug, _), task in at.items() if slug == batch.slug)
        if len(chill) != 1 or chill[0].start < last:
            found.append(f"{batch.slug} is not chilled once, after everything")
        hot = [at[batch.slug, s.name].end for s in batch.steps if s.oven_c or s.rings or s.microwaves or s.air_fryers]
        if hot and chill and chill[0].start > max(hot) + batch.chill_within:
            found.append(f"{batch.slug} stays out too long")
    ends = [
        at[batch.slug, step.name].end
        for batch in batches
        if batch.together
        for step in batch.steps
        if not any(step.name in other.after for other in batch.steps)
    ]
    if ends and max(ends) - min(ends) > 5:
        found.append("not together")
    found += cold_ovens(schedule, batches)
    starts = [task.start for task in schedule.tasks]
    if any(later < earlier for earlier, later in pairwise(starts)):
        found.append("not in order")
    return found
