"""What is bought shelled or trimmed is not bought with its shell or bone; what is kept goes where the plan keeps it."""

from __future__ import annotations

import re

import pytest
from tests.prep.prep_make import PLAN, STEW, TODAY, with_plan, worked_out
from tests.publishing.hub_make import Hub

from gramwright.composition.library import load_shipped
from gramwright.labelling.shipped_data import read_yaml
from gramwright.problems import ProblemLog, Trouble
from gramwright.publishing.build import publish
from gramwright.reading import vocabulary

NUTS = """---
title: Nuts and thighs
portions: 2
---
```ingredients
- 100 g walnuts
- {amount: 90 g, food: hazelnuts, gross: true, note: in their shells}
- 300 g chicken thigh, raw
- 200 g carrots
```

1. Eat.
"""
ONE = "---\ntitle: One\n---\n```plan\npeople: [Ada]\ndays: {day 1: {a: {recipe: nuts, portions: 2}}}\n```\n"


def test_refuse_is_added_where_the_shop_sells_it(hub: Hub) -> None:
    """Refuse by USDA SR28: walnuts 55 %, hazelnuts 59 %, thigh 25 %, carrots 11 % (NDB 12155, 12120, 05096, 11124)."""
    with_plan(hub, ONE)
    hub.write("recipes/nuts.md", NUTS)
    made, problems = worked_out(hub)
    assert made, problems
    needed = {item.food.id: item.needed_g for item in made[0].shopping.items}
    assert needed["walnuts"] == pytest.approx(100), "shelled"
    assert needed["hazelnuts"] == pytest.approx(90), "weighed in the shell: bought as weighed"
    assert needed["chicken-thigh-raw"] == pytest.approx(300), "boneless"
    assert needed["carrot-raw"] == pytest.approx(200 / 0.89), "whole"
    assert not publish(hub.root, TODAY).has_errors
    listed = (hub.site / "plans/two-days/shopping.txt").read_text(encoding="utf-8")
    assert re.search(r"Walnuts: 100\u202fg \(shelled; 223\u202fg in the shell\)", listed)
    assert re.search(r"Chicken thigh.*: 300\u202fg \(ready trimmed; 400\u202fg with bone, skin or rind\)", listed)


def test_every_food_that_is_bought_ready_is_one_of_the_table_and_has_refuse() -> None:
    foods = {food.id: food for food in load_shipped(vocabulary.load(), ProblemLog())[0]}
    listed = read_yaml("prep/bought.yaml")
    ids = [food for kind in ("shelled", "trimmed") for food in listed[kind]]
    assert len(ids) == len(set(ids))
    assert all(foods[food].refuse > 0 for food in ids)


def into(hub: Hub, stew: str, plan: str) -> list[str]:
    with_plan(hub, plan)
    steps = "\n```steps\n- {step: stew it, wait: 30 min, rings: 1}\n```\n"
    hub.write("recipes/stew.md", stew + steps)
    hub.write("recipes/soup.md", STEW.replace("Stew", "Soup"))
    made, problems = worked_out(hub)
    assert made, problems
    schedule = made[0].schedules[0]
    assert schedule is not None
    return [task.into for task in schedule.tasks if task.chill]


def test_the_schedule_says_where_what_is_kept_goes(hub: Hub) -> None:
    eaten = "  day 2:\n    lunch: {recipe: stew}\n  day 3:\n    lunch: {recipe: stew, keep: freezer}\n"
    head = "---\ntitle: P\n---\n```plan\npeople: [Ada]\nsession: {day: 1}\ndays:\n"
    assert into(hub, STEW, head + eaten + "```\n") == ["both"]
    assert into(hub, STEW, head + eaten.replace("{recipe: stew}", "{recipe: stew, keep: freezer}") + "```\n") == [
        "freezer"
    ]
    assert into(hub, STEW, head + eaten.replace(", keep: freezer", "") + "```\n") == ["fridge"]
    # Extras go into the freezer where the author says that it freezes.
    extra = head.replace("{day: 1}", "{day: 1, cooks: {stew: 6}}") + eaten.replace(", keep: freezer", "") + "```\n"
    assert into(hub, STEW, extra) == ["both"]
    same_day = head + "  day 1:\n    lunch: stew\n```\n"
    assert into(hub, STEW, same_day) == []


def test_the_labels_are_of_exactly_the_portions_that_wait(hub: Hub) -> None:
    with_plan(hub, PLAN.replace('at: "10:00"', 'at: "10:00", cooks: [{recipe: stew, portions: 9}, soup]'))
    made, problems = worked_out(hub)
    assert made, problems
    plan = made[0]
    for at, batch in enumerate(plan.plates.batches):
        now = sum(plate.portions for plate in plan.plates.of(at) if plate.serving.day == batch.day)
        waits = sum(kept.portions for kept in plan.kept if kept.batch is batch)
        assert now + waits == pytest.approx(batch.portions)
    assert not publish(hub.root, TODAY).has_errors
    pack = (hub.site / "plans/two-days/print/index.html").read_text(encoding="utf-8")
    assert pack.count('class="plan-label"') == len(plan.kept)


def test_a_portion_past_the_guidance_carries_both_dates(hub: Hub) -> None:
    """The guidance of the UK's agency is two days (content/labelling/uk.yaml); the stew's author says three."""
    late = (
        "---\ntitle: P\n---\n```plan\npeople: [Ada]\nsession: {day: 1}\ndays: {day 4: {lunch: {recipe: stew}}}\n```\n"
    )
    with_plan(hub, late)
    assert not publish(hub.root, TODAY).has_errors
    for page in ("index.html", "print/index.html"):
        text = (hub.site / "plans/two-days" / page).read_text(encoding="utf-8")
        assert "Day 3 by the guidance; Day 4 by its author" in text


def test_trouble_in_a_worker_is_a_problem(hub: Hub) -> None:
    """What a worker process raises arrives whole."""
    with_plan(hub)
    hub.write("theme/templates/parts/ingredients.html", "{{ 'no.such.word'|w }}")
    with pytest.raises(Trouble) as found:
        publish(hub.root, TODAY, workers=2)
    assert found.value.code == "unknown-word"
    assert "no.such.word" in found.value.message
