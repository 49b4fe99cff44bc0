"""What a plan may not say: each is a problem at its place with a way out, and the site stays as it was."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from tests.prep.prep_make import PLAN, SOUP, STEW, TODAY, with_plan, worked_out
from tests.publishing.hub_make import FOODS, Hub, files_in

from gramwright.problems import Problem
from gramwright.publishing.build import publish

STEPS = """
```steps
- {step: chop, hands: 10 min}
- {step: bake, wait: 30 min, oven: 200 C}
```
"""
DATED = """---
title: Dated
---
```plan
people: {Ada: {}}
session: {day: 2026-12-03, cooks: [stew]}
days:
  2026-12-03: {lunch: soup}
  2026-12-08: {lunch: stew}
```
"""

Edit = Callable[[str], str]


def swapped(old: str, new: str) -> Edit:
    def edit(text: str) -> str:
        assert text.count(old) == 1, old
        return text.replace(old, new)

    return edit


KITCHEN = 'session: {day: 1, at: "10:00"}\n'
BAD: dict[str, tuple[Edit, str, str]] = {
    "unknown recipe": (swapped("recipe: soup", "recipe: soop"), "unknown-recipe", "soup"),
    "unknown swap": (swapped("swaps: [test nuts]", "swaps: [test nutz]"), "unknown-swap", "Test nuts"),
    "no swaps at all": (swapped("{Ada: 1.25, Bo: 2}", "2, swaps: [test nuts]"), "unknown-swap", "none"),
    "unknown topping": (swapped("toppings: [test nuts]", "toppings: [salt]"), "unknown-topping", "Test nuts"),
    "no such oven": (swapped(KITCHEN, KITCHEN + "kitchen: {ovens: 0}\n"), "oven-too-hot", "kitchen"),
    "too cold an oven": (swapped(KITCHEN, KITCHEN + "kitchen: {ovens: [{to: 180}]}\n"), "oven-too-hot", "kitchen"),
    "nobody": (
        lambda text: text.replace("  Ada: {energy: 400-3000 kcal, protein: 5 g.., salt: ..6 g}\n  Bo: {}\n", ""),
        "no-people",
        "people:",
    ),
    "a day twice": (swapped("  day 3:\n", "  2:\n"), "day-twice", "one heading"),
    "a day twice, the same words": (swapped("  day 3:\n", "  day 2:\n"), "yaml-duplicate-key", "keep one"),
    "too many days": (swapped("  day 3:\n", "  day 61:\n"), "bad-day", "day 1"),
    "longer than it keeps": (swapped("  day 3:\n", "  day 60:\n"), "kept-too-long", "freeze it"),
    "an unknown recipe together": (
        swapped('at: "10:00"}', 'at: "10:00", together: [stew, sou]}'),
        "unknown-recipe",
        "soup",
    ),
    "together, but not cooked": (
        swapped('at: "10:00"}', 'at: "10:00", cooks: [stew], together: [stew, soup]}'),
        "not-cooked-together",
        "stew",
    ),
    "a part day that is none": (swapped(KITCHEN, KITCHEN + "part_days: [day 7]\n"), "unknown-day", "day 1, day 2"),
}


@pytest.mark.parametrize("name", BAD)
def test_it_is_refused_at_its_place_and_the_site_stays(hub: Hub, name: str) -> None:
    edit, code, way_out = BAD[name]
    with_plan(hub)
    hub.write("recipes/stew.md", STEW + STEPS)
    assert not publish(hub.root, TODAY).has_errors
    before = files_in(hub.site)
    hub.write("plans/two-days.md", edit(PLAN))
    result = publish(hub.root, TODAY)
    errors = [problem for problem in result.problems if problem.severity == "error"]
    assert {problem.code for problem in errors} == {code}, errors
    for problem in errors:
        assert problem.place.line
        assert way_out in problem.hint
    assert files_in(hub.site) == before


def test_nobody_is_said_once(hub: Hub) -> None:
    edit, _, _ = BAD["nobody"]
    with_plan(hub, edit(PLAN))
    assert [problem.code for problem in worked_out(hub)[1]] == ["no-people"]


def test_a_circle_of_steps(hub: Hub) -> None:
    circle = STEPS.replace("hands: 10 min}", "hands: 10 min, after: bake}")
    with_plan(hub)
    hub.write("recipes/stew.md", STEW + circle)
    result = publish(hub.root, TODAY)
    found = [p for p in result.problems if p.code == "circular-after"]
    assert [p.place.file for p in found] == ["recipes/stew.md"]
    assert "chop after bake after chop" in found[0].message
    broken = [p for p in result.problems if p.code == "recipe-broken" and p.place.file.startswith("plans/")]
    assert len(broken) == 2, "the stew, and the soup made with it: each said once, however often the plan eats it"
    assert not hub.site.exists()


def test_a_pack_of_nothing(hub: Hub) -> None:
    with_plan(hub)
    lines = FOODS.strip().split("\n")
    rows = [line + (",0" if line.startswith("test-oats") else ",") for line in lines[1:]]
    hub.write("foods/own.csv", "\n".join([lines[0] + ",pack_g", *rows]) + "\n")
    found = [p for p in worked_out(hub)[1] if p.severity == "error"]
    assert [(p.code, p.place.file, p.place.line) for p in found] == [("bad-pack", "foods/own.csv", 2)]


def said(hub: Hub, code: str) -> Problem:
    return next(p for p in worked_out(hub)[1] if p.code == code)


def test_days_are_called_as_the_plan_calls_them(hub: Hub) -> None:
    with_plan(hub, DATED)
    found = said(hub, "kept-too-long")
    assert "eaten on 2026-12-08, 5 days after its cooking on 2026-12-03" in found.message
    assert "move the meal to 2026-12-" in found.hint
    assert "day 6" not in found.message + found.hint


def test_a_meal_that_is_kept_for_nothing_is_a_warning(hub: Hub) -> None:
    plan = swapped("{Ada: 1, Bo: 1.5}", "{Ada: 1, Bo: 1.5}, keep: freezer")(PLAN)
    with_plan(hub, plan)
    found = said(hub, "nothing-to-keep")
    assert (found.severity, found.place.line) == ("warning", 11)


def test_too_much_of_an_appliance(hub: Hub) -> None:
    plan = swapped(KITCHEN, KITCHEN + "kitchen: {rings: 1}\n")(PLAN)
    with_plan(hub, plan)
    hub.write("recipes/soup.md", SOUP + "\n```steps\n- {step: boil, wait: 5 min, rings: 2}\n```\n")
    found = said(hub, "too-many-rings")
    assert found.place.file == "recipes/soup.md"
    assert "plans/two-days.md" in found.message


def test_markup_in_a_name_is_said_once(hub: Hub) -> None:
    with_plan(hub, PLAN.replace("  Bo: {}\n", "  Bo <b>: {}\n"))
    found = [(p.code, p.place.line) for p in worked_out(hub)[1] if p.place.line == 7]
    assert found == [("markup", 7)]
