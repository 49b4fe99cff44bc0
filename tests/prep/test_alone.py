"""A recipe's own timeline: in a usual kitchen, from its own times alone, and what has no times is said."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from pathlib import Path

import html5lib
import pytest
from tests.prep.prep_make import SOUP, STEW, TODAY
from tests.prep.schedule_make import broken_promises, random_batches
from tests.publishing.hub_make import FOODS, HUB, Hub

from gramwright.model import Gear
from gramwright.prep.alone import kitchen_for
from gramwright.prep.schedule import schedule
from gramwright.problems import Problem, ProblemLog
from gramwright.publishing.build import publish

STEW = STEW.replace("fridge: 3 days", "fridge: 2 days")
STEPS = """
```steps
- {step: chop, hands: 10 min, item: 1}
- {step: simmer, wait: 20-25 min, rings: 1, item: 2}
```
"""
METHOD = "1. Chop it.\n2. Simmer it.\n3. Eat it.\n"


@pytest.fixture
def hub(tmp_path: Path) -> Hub:
    made = Hub(tmp_path / "hub")
    made.write("hub.yaml", HUB)
    made.write("foods/own.csv", FOODS)
    return made


def published(hub: Hub, slug: str) -> tuple[str, list[Problem]]:
    result = publish(hub.root, TODAY)
    assert not result.has_errors, result.problems
    html = (hub.site / "recipes" / slug / "index.html").read_text(encoding="utf-8")
    html5lib.HTMLParser(strict=True).parse(html)
    found = re.search(r'<section class="timeline".*?</ol>', html, re.DOTALL)
    return (found[0] if found else ""), list(result.problems)


def said(timeline: str) -> list[tuple[str, str]]:
    """(minute, what) of each line; '' where the line above has the same minute."""
    lines = re.findall(r'<span class="schedule-at">(.*?)</span>.*?<b>(.*?)</b>', timeline, re.DOTALL)
    return [(at.strip(), what) for at, what in lines]


def test_a_recipe_with_steps_says_what_to_do_when(hub: Hub) -> None:
    hub.write("recipes/stew.md", STEW.replace("1. Stew it.", METHOD) + STEPS)
    timeline, problems = published(hub, "stew")
    assert said(timeline) == [("0:00", "Chop"), ("0:10", "Simmer"), ("0:35", "Ready: simmer")]
    assert "1 cook, 4 rings, 1 oven" in timeline
    assert "Item 3 of the method has no times" in timeline
    assert problems == []


def test_a_recipe_without_steps_has_none(hub: Hub) -> None:
    hub.write("recipes/stew.md", STEW)
    assert published(hub, "stew")[0] == ""
    assert "timeline" not in (hub.site / "recipes/stew/index.html").read_text(encoding="utf-8")


def test_what_a_recipe_uses_comes_first_or_is_named(hub: Hub) -> None:
    hub.write("recipes/soup.md", SOUP + "\n```steps\n- {step: boil, wait: 12 min, rings: 1}\n```\n")
    hub.write("recipes/stew.md", STEW)
    assert "No step times for Stew" in published(hub, "soup")[0]
    hub.write("recipes/stew.md", STEW.replace("1. Stew it.", METHOD) + STEPS)
    timeline, _ = published(hub, "soup")
    # The soup takes 250 g of a stew of 1000 g: a quarter of its work, and waiting does not shrink.
    assert said(timeline) == [
        ("0:00", "Chop"),
        ("0:03", "Simmer"),
        ("0:28", "Ready: simmer"),
        ("", "Boil"),
        ("0:40", "Ready: boil"),
    ]
    assert "No step times" not in timeline


def test_what_a_recipe_needs_beyond_the_usual_is_there(hub: Hub) -> None:
    steps = STEPS.replace("hands: 10 min", "hands: 10 min, cooks: 2").replace("rings: 1", "oven: 300 C, shelves: 3")
    hub.write("recipes/stew.md", STEW.replace("1. Stew it.", METHOD) + steps)
    timeline, problems = published(hub, "stew")
    assert "2 cooks" in timeline
    assert len(said(timeline)) == 3
    assert problems == []
    assert kitchen_for(()).rings == Gear().rings


def test_times_that_contradict_one_another_are_a_warning_at_their_step(hub: Hub) -> None:
    steps = """
```steps
- {step: fry, hands: 5 min, keep_warm: 0 min}
- {step: bake, wait: 50 min, oven: 180 C, after: start}
- {step: serve, hands: 1 min, after: [fry, bake]}
- {step: sauce, wait: 90 min, after: fry, ends_with: serve}
```
"""
    page = STEW.replace("1. Stew it.", METHOD) + steps
    hub.write("recipes/stew.md", page)
    timeline, problems = published(hub, "stew")
    assert [(p.code, p.severity.value, p.place.file) for p in problems] == [
        ("impossible-times", "warning", "recipes/stew.md")
    ]
    assert page.split("\n")[problems[0].place.line - 1].startswith("- {step: ")
    assert timeline == "" or "<ol" not in timeline
    html = (hub.site / "recipes/stew/index.html").read_text(encoding="utf-8")
    assert "contradict one another" in html


def test_it_follows_when_the_times_of_what_it_uses_change(hub: Hub) -> None:
    hub.write("recipes/soup.md", SOUP + "\n```steps\n- {step: boil, wait: 12 min, rings: 1}\n```\n")
    hub.write("recipes/stew.md", STEW.replace("1. Stew it.", METHOD) + STEPS)
    assert ("0:40", "Ready: boil") in said(published(hub, "soup")[0])
    hub.write("recipes/stew.md", STEW.replace("1. Stew it.", METHOD) + STEPS.replace("20-25 min", "40 min"))
    assert ("0:55", "Ready: boil") in said(published(hub, "soup")[0])


def test_the_quick_way_is_as_short_as_the_patient_one() -> None:
    """The timeline's few orders against all that the rules try, over random recipes."""
    for seed in range(40):
        batches = [replace(batch, after=(), together=False) for batch in random_batches(random.Random(seed), 1)]
        gear = kitchen_for(batches)
        quick = schedule(batches, gear, ProblemLog(), exact=False, tries=0)
        patient = schedule(batches, gear, ProblemLog(), exact=False)
        assert (quick is None) == (patient is None)
        if quick is None or patient is None:
            continue
        assert broken_promises(quick, batches, gear) == []
        assert quick.minutes <= patient.minutes * 1.1
