"""Schedules of sessions: nothing is ever broken, problems are located, the order is said as a cook would say it."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import pytest
from tests.prep.schedule_make import HERE, broken_promises, random_batches, random_gear

from gramwright.model.plans import Gear, Oven
from gramwright.model.steps import Batch, Minutes, Schedule, Step
from gramwright.prep import solver
from gramwright.prep.schedule import schedule
from gramwright.prep.schedule_spoken import calls, clock
from gramwright.problems import Place, ProblemLog

KITCHEN = Gear(1, 2, (Oven("oven", 50, 240, HERE),), 1, 1, 4, HERE, True)


def step(name: str, hands: float = 0, wait: float = 0, line: int = 20, **more: object) -> Step:
    made = Step(
        name,
        Place("recipes/a.md", line, 3),
        Minutes(hands, hands) if hands else None,
        Minutes(wait, wait) if wait else None,
    )
    return replace(made, **more)  # type: ignore[arg-type]


def batch(slug: str, *steps: Step, **more: object) -> Batch:
    return replace(Batch(slug, slug.title(), steps, HERE), **more)  # type: ignore[arg-type]


def made(*batches: Batch, gear: Gear = KITCHEN, exact: bool | None = False) -> Schedule:
    log = ProblemLog()
    found = schedule(batches, gear, log, exact)
    assert found is not None, [problem.message for problem in log]
    return found


def codes(*batches: Batch, gear: Gear = KITCHEN) -> list[tuple[str, Place]]:
    log = ProblemLog()
    schedule(batches, gear, log, False)
    return [(problem.code, problem.place) for problem in log]


@pytest.mark.parametrize("seed", range(60))
def test_no_random_session_breaks_a_rule(seed: int) -> None:
    dice = random.Random(seed)
    gear, batches = random_gear(dice), random_batches(dice)
    log = ProblemLog()
    found = schedule(batches, gear, log, False)
    if found is None:
        assert {problem.code for problem in log} <= {"impossible-times", "no-schedule"}
        return
    assert broken_promises(found, batches, gear) == []
    assert found.lower_bound <= found.minutes


@pytest.mark.parametrize("seed", range(12))
def test_the_solver_is_never_worse_and_breaks_nothing(seed: int) -> None:
    dice = random.Random(seed)
    gear, batches = random_gear(dice), random_batches(dice, 3)
    rule = schedule(batches, gear, ProblemLog(), False)
    exact = schedule(batches, gear, ProblemLog(), True)
    assert (rule is None) == (exact is None)
    if rule is None or exact is None:
        return
    assert broken_promises(exact, batches, gear) == []
    assert exact.minutes <= rule.minutes
    assert rule.lower_bound <= exact.lower_bound <= exact.minutes
    if exact.proven and exact.minutes == rule.minutes:
        assert exact.idle_min <= rule.idle_min


@pytest.mark.parametrize("seed", [33, 37, 45])
def test_where_the_rules_find_no_order_there_is_none(seed: int) -> None:
    dice = random.Random(seed)
    gear, batches = random_gear(dice), random_batches(dice)
    for exact in (False, True):
        log = ProblemLog()
        assert schedule(batches, gear, log, exact) is None
        assert [problem.code for problem in log] == ["no-schedule"]


def test_the_longest_chain_starts_first_and_hands_work_while_it_waits() -> None:
    stew = batch("stew", step("brown", 10, rings=1), step("simmer", 0, 60, rings=1, after=("brown",)))
    salad = batch("salad", step("cut", 20))
    found = made(salad, stew)
    assert found.minutes == 70 == found.lower_bound
    assert [(task.name, task.start) for task in found.tasks] == [("brown", 0), ("simmer", 10), ("cut", 10)]


def test_an_oven_is_shared_within_ten_degrees_only() -> None:
    hot, warm = step("a", 0, 30, oven_c=200.0), step("b", 0, 30, oven_c=190.0)
    assert made(batch("x", hot), batch("y", warm)).minutes == 30
    assert made(batch("x", hot), batch("y", replace(warm, oven_c=189.0))).minutes == 60


def test_shelves_are_counted_and_grow_with_the_batch() -> None:
    tray = step("a", 0, 30, oven_c=200.0)
    assert made(batch("x", tray), batch("y", tray), batch("z", tray)).minutes == 60
    assert made(batch("x", tray, factor=2.0), batch("y", tray)).minutes == 60
    assert codes(batch("x", tray, factor=3.0)) == [("oven-too-full", tray.place)]


def test_hands_on_time_grows_with_the_batch_and_waiting_does_not() -> None:
    assert made(batch("x", step("a", 10, 30), factor=2.0)).minutes == 50
    assert made(batch("x", step("a", 10, 30, grows=False), factor=2.0)).minutes == 40
    assert made(batch("x", step("a", 10, 30, grows=True), factor=2.0)).minutes == 80


def test_what_may_not_wait_is_made_later() -> None:
    """Cutting takes one pair of hands for an hour; the eggs may wait five minutes for the mixing after it."""
    eggs = step("boil", 0, 10, rings=1, keep_warm=5.0)
    mix = step("mix", 5, after=("boil", "cut"))
    found = made(batch("x", eggs, step("cut", 60, after=()), mix))
    start = {task.name: task.start for task in found.tasks}
    assert start["boil"] >= 45
    assert start["mix"] - (start["boil"] + 10) <= 5


def test_dishes_asked_to_end_together_do() -> None:
    short, long = (
        batch("rice", step("boil", 2, 20, rings=1), together=True),
        batch("fish", step("cut", 30), step("bake", 0, 30, oven_c=200.0, after=("cut",)), together=True),
    )
    found = made(short, long)
    ends = [max(task.end for task in found.tasks if task.batch == slug) for slug in ("rice", "fish")]
    assert abs(ends[0] - ends[1]) <= 5


def test_a_chilled_dish_is_in_the_fridge_within_its_limit_of_the_last_heating() -> None:
    pot = batch("pot", step("cook", 5, 30, rings=1), step("cool", 0, 60, after=("cook",)), chill_within=120.0)
    chill = [task for task in made(pot).tasks if task.chill]
    assert [(task.start, task.due) for task in chill] == [(95, 155)]


def test_a_recipe_cannot_cool_longer_than_the_limit() -> None:
    pot = batch("pot", step("cook", 5, 30, rings=1), step("cool", 0, 150, after=("cook",)), chill_within=120.0)
    assert [code for code, _ in codes(pot)] == ["impossible-times"]


def test_a_sub_recipe_comes_before_what_uses_it() -> None:
    sauce = batch("sauce", step("cook", 5, 30, rings=1))
    bake = batch("bake", step("cut", 10), step("fill", 5, after=("cut", "sauce")), after=("sauce",))
    start = {(task.batch, task.name): task.start for task in made(bake, sauce).tasks}
    assert start["bake", "cut"] < 35 <= start["bake", "fill"]


def test_a_recipe_without_steps_is_asked_for_and_left_out() -> None:
    log = ProblemLog()
    found = schedule([batch("soup"), batch("x", step("a", 5))], KITCHEN, log, False)
    assert found is not None
    assert found.missing == ("Soup",)
    assert [(p.code, p.severity.value, "soup" in p.message) for p in log] == [("steps-missing", "warning", True)]
    assert schedule([batch("soup")], KITCHEN, ProblemLog(), False) is None


def test_what_the_kitchen_lacks_is_said_at_the_step() -> None:
    bad = batch(
        "x",
        step("a", 5, 10, line=11, oven_c=260.0),
        step("b", 5, line=12, rings=3),
        step("c", 5, line=13, cooks=2),
        step("d", 5, line=14, microwaves=2),
        step("e", 5, line=15, bowls=9),
    )
    assert [(code, place.line) for code, place in codes(bad)] == [
        ("oven-too-hot", 11),
        ("too-many-rings", 12),
        ("too-few-hands", 13),
        ("no-such-equipment", 14),
        ("no-such-equipment", 15),
    ]
    none = replace(KITCHEN, ovens=())
    assert [code for code, _ in codes(batch("x", step("a", 0, 5, oven_c=180.0)), gear=none)] == ["oven-too-hot"]


def test_a_plan_that_says_nothing_of_its_kitchen_has_a_usual_oven() -> None:
    assert made(batch("x", step("a", 0, 5, oven_c=180.0)), gear=Gear()).minutes == 5


def test_an_order_that_reads_aloud() -> None:
    stew = batch("stew", step("brown", 10, rings=1), step("simmer", 0, 60, rings=1, after=("brown",)))
    found = calls(made(batch("salad", step("cut", 20)), stew))
    assert [(clock(c.minute), [t.name for t in c.begin], [t.name for t in c.ready]) for c in found] == [
        ("0:00", ["brown"], []),
        ("0:10", ["simmer", "cut"], []),
        ("1:10", [], ["simmer"]),
    ]
    later = calls(
        made(
            batch("salad", step("cut", 20)), batch("tea", step("boil", 0, 5, rings=1), step("pour", 1, after=("boil",)))
        )
    )
    assert any("boil" in [t.name for t in call.meanwhile] or "boil" in [t.name for t in call.ready] for call in later)


def test_the_solver_says_its_version() -> None:
    assert solver.available()
    assert solver.version()[0].isdigit()


def baked(slug: str, celsius: float, minutes: int, keep_warm: float | None = 10.0) -> Batch:
    """A dish with its oven heated first."""
    place = Place(f"recipes/{slug}.md", 10, 3)
    steps = (
        Step("heat", place, wait=Minutes(12, 15), oven_c=celsius, shelves=0, keep_warm=keep_warm),
        Step("mix", place, hands=Minutes(10, 10)),
        Step("bake", place, wait=Minutes(minutes, minutes), oven_c=celsius, after=("heat", "mix")),
        Step("turn", place, hands=Minutes(2, 2), after=("bake",)),
        Step("bake on", place, wait=Minutes(10, 10), oven_c=celsius - 10, after=("turn",)),
    )
    return Batch(slug, slug.title(), steps, HERE)


@pytest.mark.parametrize("exact", [False, True])
def test_a_dish_goes_into_the_oven_that_was_heated_for_it(exact: bool) -> None:
    """Two ovens, four dishes of three temperatures: also what is put back later finds its oven hot."""
    ovens = tuple(Oven("", 50, 250, HERE) for _ in range(2))
    gear = Gear(2, 4, ovens, 0, 0, None, HERE, True)
    batches = [baked("bread", 210, 40), baked("tray", 210, 35), baked("cake", 170, 45, None), baked("stew", 150, 60)]
    found = schedule(batches, gear, ProblemLog(), exact)
    assert found is not None
    assert broken_promises(found, batches, gear) == []
    lanes = {
        batch.slug: {lane for task in found.tasks if task.batch == batch.slug for lane in task.lanes if "oven" in lane}
        for batch in batches
    }
    assert all(len(used) == 1 for used in lanes.values()), lanes
    for lane in ("oven-1", "oven-2"):
        spans = sorted(
            (min(t.start for t in tasks), max(t.end for t in tasks), batch.slug)
            for batch in batches
            if lane in lanes[batch.slug]
            and (tasks := [t for t in found.tasks if t.batch == batch.slug and lane in t.lanes])
        )
        for (_, end, one), (start, _, other) in pairwise(spans):
            assert start >= end or {one, other} == {"bread", "tray"}, "another temperature while it is kept hot"


@pytest.mark.parametrize("exact", [False, True])
def test_what_no_one_oven_can_do_is_taken_apart(exact: bool) -> None:
    """A dish heated at 165 and finished at 155 degrees, with an oven that ends at 160 and one that begins there."""
    ovens = (Oven("slow", 50, 160, HERE), Oven("hot", 160, 250, HERE))
    gear = Gear(1, 4, ovens, 0, 0, None, HERE, True)
    batch = baked("cake", 165, 30)
    found = schedule([batch], gear, ProblemLog(), exact)
    assert found is not None
    at = {task.name: task.lanes for task in found.tasks}
    assert "oven-2" in at["bake"]
    assert "oven-1" in at["bake on"]
