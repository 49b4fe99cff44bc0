"""Plan pages as text: what is read, and what is wrong, all in one run, each at its line."""

from __future__ import annotations

import pytest

from gramwright.model import PlanPage
from gramwright.problems import ProblemLog, Trouble
from gramwright.reading.pantry import read_pantry
from gramwright.reading.plans import read_plan
from gramwright.reading.targets import parse_target

PAGE = """---
title: Week
---
Before.

```plan
people:
  Ada: {energy: 1900-2200 kcal, salt: ..6 g}
  Bo: {}
kitchen: {hands: 2, rings: 3, ovens: [{name: big, from: 60 C, to: 240, shelves: 3}], bowls: 4}
sessions:
  - {day: 2, at: "18:00", cooks: [{recipe: soup, portions: 6}]}
  - {day: day 1, at: "9:30"}
part_days: [1]
days:
  day 2: {lunch: soup}
  day 1:
    dinner:
      - {recipe: stew, portions: {Ada: 1, Bo: 1 1/2}, swaps: [milk], toppings: nuts, keep: freezer}
      - {recipe: bread, fresh: yes}
```
After.
"""


def read(text: str) -> tuple[PlanPage | None, list[tuple[str, int]]]:
    log = ProblemLog()
    return read_plan(text, "plans/week.md", log), [(p.code, p.place.line) for p in log.sorted()]


def test_everything_is_read() -> None:
    plan, problems = read(PAGE)
    assert problems == []
    assert plan is not None
    assert [person.name for person in plan.people] == ["Ada", "Bo"]
    energy, salt = plan.people[0].targets
    assert (energy.tag, energy.low, energy.high) == ("ENERC_kcal", 1900, 2200)
    assert (salt.tag, salt.low, salt.high) == ("SALT_g", None, 6)
    assert [(s.day, s.start_min) for s in plan.sessions] == [(1, 570), (2, 1080)]
    assert plan.sessions[1].cooks[0].portions == 6
    assert (plan.gear.hands, plan.gear.rings, plan.gear.bowls) == (2, 3, 4)
    oven = plan.gear.ovens[0]
    assert (oven.low_c, oven.high_c, oven.shelves) == (60, 240, 3)
    assert [(day.number, day.part) for day in plan.days] == [(1, True), (2, False)]
    stew, bread = plan.days[0].servings
    assert stew.portions == {"Ada": 1, "Bo": 1.5}
    assert (stew.swaps[0].name, stew.toppings[0].name, stew.keep) == ("milk", "nuts", "freezer")
    assert bread.fresh
    assert plan.intro == "Before."
    assert (plan.intro_line, plan.outro.strip()) == (4, "After.")


def test_dated_days_count_from_the_earliest_also_of_a_session() -> None:
    plan, problems = read(
        "---\ntitle: Dated\n---\n```plan\npeople: {Ada: {}}\nsession: {day: 2026-02-27}\n"
        "days: {2026-03-01: {lunch: soup}, 2026-02-28: {lunch: soup}}\n```\n"
    )
    assert problems == []
    assert plan is not None
    assert [(day.number, day.date) for day in plan.days] == [(2, "2026-02-28"), (3, "2026-03-01")]
    assert plan.sessions[0].day == 1


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("people:\n  Ada: {energy: 1900-2200 kcal, salt: ..6 g}\n  Bo: {}\n", "people: {}\n", ("no-people", 7)),
        ("  day 2: {lunch: soup}", "  1: {lunch: soup}", ("day-twice", 17)),
        ("  day 2: {lunch: soup}", "  day 1: {lunch: soup}", ("yaml-duplicate-key", 17)),
        ("  day 2: {lunch: soup}", "  day 61: {lunch: soup}", ("bad-day", 16)),
        ("  day 2: {lunch: soup}", "  tomorrow: {lunch: soup}", ("bad-day", 16)),
        ("  day 2: {lunch: soup}", "  2026-03-01: {lunch: soup}", ("mixed-days", 17)),
        ("energy: 1900", "enrgy: 1900", ("unknown-target", 8)),
        ("1900-2200 kcal", "2200-1900 kcal", ("bad-target", 8)),
        ("1900-2200 kcal", "2000 kcal", ("bad-target", 8)),
        ("Ada: 1,", "Adda: 1,", ("unknown-person", 19)),
        ("Bo: 1 1/2}", "Bo: 99}", ("out-of-range", 19)),
        ("hands: 2", "hands: 0", ("out-of-range", 10)),
        ("hands: 2", "hand: 2", ("unknown-key", 10)),
        ("from: 60 C, to: 240", "from: 250 C, to: 240", ("bad-temperature", 10)),
        ('at: "18:00"', 'at: "28:00"', ("bad-clock", 12)),
        ("keep: freezer", "keep: freeezer", ("unknown-choice", 19)),
        ("recipe: stew", "recpie: stew", ("unknown-key", 19)),
        ("```plan", "```plans", ("no-plan", 4)),
        ("title: Week", "titel: Week", ("unknown-key", 2)),
    ],
)
def test_bad_plans(old: str, new: str, expected: tuple[str, int]) -> None:
    assert old in PAGE
    plan, problems = read(PAGE.replace(old, new))
    assert plan is None
    assert expected in problems


def test_all_problems_in_one_run() -> None:
    bad = PAGE.replace("energy: 1900", "enrgy: 1900").replace("hands: 2", "hands: 0").replace("Ada: 1,", "Adda: 1,")
    assert {code for code, _ in read(bad)[1]} == {"unknown-target", "out-of-range", "unknown-person"}


def test_near_names_are_said() -> None:
    log = ProblemLog()
    read_plan(PAGE.replace("hands: 2", "hand: 2"), "plans/week.md", log)
    assert [p.hint for p in log] == ["did you mean 'hands'?"]


@pytest.mark.parametrize(
    "text", ["", "---\n---\n", "```plan\n```", "---\ntitle: x\n---\n```plan\n[]\n```", "---\n- x\n---\n"]
)
def test_broken_pages_are_problems(text: str) -> None:
    plan, problems = read(text)
    assert plan is None
    assert problems


@pytest.mark.parametrize(
    ("key", "text", "expected"),
    [
        ("energy", "8000..9000 kJ", ("ENERC_kJ", 8000, 9000)),
        ("protein", "at least 90", ("PROCNT_g", 90, None)),
        ("fibre", "30 g..", ("FIBTG_g", 30, None)),
        ("sodium", "..2 g", ("NA_mg", None, 2000)),
        ("fat", "30 to 60 g", ("FAT_g", 30, 60)),
    ],
)
def test_targets(key: str, text: str, expected: tuple[str, float | None, float | None]) -> None:
    assert parse_target(key, text) == expected


@pytest.mark.parametrize(("key", "text"), [("energy", "1,900-2,200"), ("salt", ".."), ("fat", "3 bar.."), ("x", "3..")])
def test_bad_targets(key: str, text: str) -> None:
    with pytest.raises(Trouble):
        parse_target(key, text)


def test_the_pantry() -> None:
    log = ProblemLog()
    text = "# mine\nfood,grams,best_before\noats,500,2026-12-01\nmilk,-1,\nsalt,20,1st of May\n,3,\nhoney,0,\n"
    lines = read_pantry(text, "pantry.csv", log)
    assert [(line.food, line.grams, line.best_before) for line in lines] == [
        ("oats", 500, "2026-12-01"),
        ("honey", 0, ""),
    ]
    assert [(p.code, p.place.line) for p in log.sorted()] == [
        ("negative-value", 4),
        ("bad-date", 5),
        ("missing-cell", 6),
    ]
