"""What plans may call their days, and the kitchen that a hub's plans share."""

from __future__ import annotations

import pytest
import yaml
from tests.prep.prep_make import STEW, with_plan, worked_out
from tests.publishing.hub_make import HUB, Hub, Run

from gramwright.labelling.shipped_data import read_yaml
from gramwright.model import WEEKDAYS, Gear, PlanPage
from gramwright.problems import ProblemLog
from gramwright.reading.plan_days import weekdays
from gramwright.reading.plans import read_plan
from gramwright.reading.settings import read_settings
from gramwright.resources import themes


def read(
    block: str, language: str = "en", kitchen: Gear | None = None
) -> tuple[PlanPage | None, list[tuple[str, int]]]:
    log = ProblemLog()
    page = f"---\ntitle: Week\n---\n```plan\npeople: [Ada]\n{block}```\n"
    return read_plan(page, "plans/week.md", log, language, kitchen), [(p.code, p.place.line) for p in log.sorted()]


def days(block: str, language: str = "en") -> list[tuple[int, str]]:
    plan, problems = read(block, language)
    assert problems == []
    assert plan is not None
    return [(day.number, day.date) for day in plan.days]


@pytest.mark.parametrize(
    ("block", "expected", "first"),
    [
        ("days: {Monday: {lunch: stew}, wednesday: {lunch: stew}}\n", [(1, ""), (3, "")], 0),
        ("days: {SUNDAY: {lunch: stew}, Monday: {lunch: stew}}\n", [(1, ""), (2, "")], 6),
        ("days: {Monday: {lunch: stew}}\nfrom: Sunday\nsession: {day: sunday}\n", [(2, "")], 6),
        # 2026-12-06 was a Sunday
        ("days: {Monday: {lunch: stew}}\nfrom: 2026-12-06\nsession: {day: Sunday}\n", [(2, "2026-12-07")], None),
        ("days: {Sunday: {lunch: stew}}\nfrom: 2026-12-07\n", [(7, "2026-12-13")], None),
        ("days: {day 1: {lunch: stew}, day 3: {lunch: stew}}\nfrom: 2026-12-06\n",
         [(1, "2026-12-06"), (3, "2026-12-08")], None),
        ("days: {2026-12-07: {lunch: stew}}\nfrom: 2026-12-06\n", [(2, "2026-12-07")], None),
    ],
)  # fmt: skip
def test_days_by_their_names(block: str, expected: list[tuple[int, str]], first: int | None) -> None:
    assert days(block) == expected
    plan, _ = read(block)
    assert plan is not None
    assert plan.first_weekday == first


@pytest.mark.parametrize(
    ("block", "expected"),
    [
        ("days: {Monday: {lunch: stew}}\nsession: {day: Sunday}\n", ("no-from", 7)),
        ("days: {Monday: {lunch: stew}, day 2: {lunch: stew}}\n", ("mixed-days", 6)),
        ("days: {Monday: {lunch: stew}, 2026-12-08: {lunch: stew}}\n", ("mixed-days", 6)),
        ("days: {Monday: {lunch: stew}, monday: {lunch: stew}}\n", ("day-twice", 6)),
        ("days: {Munday: {lunch: stew}}\n", ("bad-day", 6)),
        ("days: {Monday: {lunch: stew}}\nfrom: Munday\n", ("bad-day", 7)),
        ("days: {day 1: {lunch: stew}}\nfrom: Monday\n", ("from-without-weekdays", 7)),
        ("days: {Monday: {lunch: stew}}\npart_days: [Tuesday]\n", ("unknown-day", 7)),
    ],
)
def test_days_that_cannot_be_told(block: str, expected: tuple[str, int]) -> None:
    plan, problems = read(block)
    assert plan is None
    assert problems == [expected]


@pytest.mark.parametrize("language", ["de", "af"])
def test_a_hubs_own_language_names_them(language: str) -> None:
    """Every name that pages show may be written; German has two for Saturday."""
    shown = read_words(language)
    for number, key in enumerate(WEEKDAYS):
        assert weekdays(language)[shown[key].casefold()] == number
        assert weekdays(language)[key] == number, "English is understood too"
    assert weekdays("de")["sonnabend"] == weekdays("de-AT")["samstag"] == 5
    assert "montag" not in weekdays("en")
    assert days(f"days: {{{shown['tuesday']}: {{lunch: stew}}}}\nfrom: {shown['monday']}\n", language) == [(2, "")]


def read_words(language: str) -> dict[str, str]:
    whole = yaml.safe_load((themes() / "galley" / "words" / f"{language}.yaml").read_text(encoding="utf-8"))
    found: dict[str, str] = whole["plan"]["weekdays"]
    return found


def test_the_shipped_names_are_whole() -> None:
    assert all(len(names) == len(WEEKDAYS) for names in read_yaml("prep/weekdays.yaml").values())


WEEK = """---
title: Week
---
```plan
people: [Ada]
session: {day: Sunday, at: "10:00"}
from: Sunday
days:
  Monday: {lunch: stew}
  Tuesday: {lunch: {recipe: stew, keep: freezer}}
```
"""


def test_the_page_shows_them(hub: Hub, run: Run) -> None:
    with_plan(hub, WEEK)
    assert run("publish", hub.root)[0] == 0
    page = " ".join((hub.site / "plans/two-days/index.html").read_text(encoding="utf-8").split())
    assert "Monday, lunch" in page
    assert "Sunday, 10:00" in page
    assert "Day 2" not in page
    (made,), _ = worked_out(hub)
    assert made.kept[1].use_by == 61
    assert "Thursday, day 61" in page, "60 days after a Sunday"
    hub.write("plans/two-days.md", WEEK.replace("from: Sunday", "from: 2026-12-06"))
    assert run("publish", hub.root)[0] == 0
    page = " ".join((hub.site / "plans/two-days/index.html").read_text(encoding="utf-8").split())
    assert "Monday 2026-12-07" in page or "Monday 7 December" in page


def test_problems_call_them_by_name(hub: Hub) -> None:
    with_plan(hub, WEEK.replace("Tuesday: {lunch: {recipe: stew, keep: freezer}}", "Saturday: {lunch: stew}"))
    told = [p for p in worked_out(hub)[1] if p.code == "kept-too-long"]
    assert len(told) == 1
    assert "eaten on saturday" in told[0].message


KITCHEN = "kitchen: {hands: 3, rings: 2, ovens: [{name: big, to: 240}], bowls: 5}\n"


def shared() -> Gear:
    log = ProblemLog()
    settings = read_settings(HUB + KITCHEN, "hub.yaml", log)
    assert settings is not None, log.sorted()
    assert settings.kitchen is not None
    return settings.kitchen


def test_a_kitchen_is_said_once_and_changed_key_by_key() -> None:
    block = "days: {day 1: {lunch: stew}}\n"
    plain, _ = read(block, kitchen=shared())
    assert plain is not None
    assert (plain.gear.hands, plain.gear.rings, plain.gear.bowls, plain.gear.ovens[0].name) == (3, 2, 5, "big")
    other, _ = read(block + "kitchen: {hands: 1, ovens: 2}\n", kitchen=shared())
    assert other is not None
    assert (other.gear.hands, other.gear.rings, other.gear.bowls) == (1, 2, 5)
    assert [oven.name for oven in other.gear.ovens] == ["", ""]
    none, _ = read(block + "kitchen: {hands: 1}\n")
    assert none is not None
    assert none.gear.ovens == (), "a plan's own kitchen has the ovens that it names"


def test_a_hubs_kitchen_is_what_its_plans_cook_with(hub: Hub) -> None:
    with_plan(hub, "---\ntitle: T\n---\n```plan\npeople: [Ada]\nsession: {day: 1}\ndays: {day 2: {lunch: stew}}\n```\n")
    hub.write("recipes/stew.md", STEW + "\n```steps\n- {step: bake, wait: 30 min, oven: 245 C}\n```\n")
    assert "oven-too-hot" not in {p.code for p in worked_out(hub)[1]}
    hub.write("hub.yaml", HUB + KITCHEN)
    (told,) = [p for p in worked_out(hub)[1] if p.code == "oven-too-hot"]
    assert "hub.yaml:3" in told.message + told.hint


def test_a_wrong_kitchen_of_the_hub_is_told_at_its_line() -> None:
    log = ProblemLog()
    assert read_settings(HUB + "kitchen: {hand: 3}\n", "hub.yaml", log) is None
    assert [(p.code, p.place.file, p.place.line) for p in log] == [("unknown-key", "hub.yaml", 3)]
