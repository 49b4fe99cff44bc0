"""A hub with a plan, opened: what the plan tests look at."""

from __future__ import annotations

from datetime import date

from tests.publishing.hub_make import Hub

from gramwright.prep.made import PlanMade
from gramwright.problems import Problem, ProblemLog
from gramwright.publishing.hub import scan
from gramwright.publishing.kitchen import open_kitchen
from gramwright.publishing.plan import slugs_of
from gramwright.publishing.plans import plans_of

TODAY = date(2026, 11, 25)

STEW = """---
title: Stew
portions: 4
finished_weight: 1000 g
keeps: {fridge: 3 days, freezer: 2 months}
---
```ingredients
- {amount: 500 g, food: test apple, gross: true}
- 300 g test oats
- amount: 200 g
  food: test milk
  swaps: [{amount: 100 g, food: test nuts}]
- {amount: 40 g, food: test nuts, optional: true}
```

1. Stew it.
"""

SOUP = """---
title: Soup
portions: 3
finished_weight: 900 g
keeps: {fridge: 2 days}
---
```ingredients
- 300 g test apple
- {amount: 600 g, food: test milk, eaten: 0.5}
- {amount: 250 g, recipe: stew}
- water, to taste
```

1. Boil it.
"""

PLAN = """---
title: Two days
---
```plan
people:
  Ada: {energy: 400-3000 kcal, protein: 5 g.., salt: ..6 g}
  Bo: {}
session: {day: 1, at: "10:00"}
days:
  day 1:
    dinner: {recipe: stew, portions: {Ada: 1, Bo: 1.5}}
  day 2:
    lunch: {recipe: stew, portions: 1, toppings: [test nuts]}
    dinner: {recipe: soup, portions: {Ada: 1.25, Bo: 2}}
  day 3:
    lunch: {recipe: stew, portions: {Bo: 1}, swaps: [test nuts]}
```
"""


def with_plan(hub: Hub, plan: str = PLAN) -> Hub:
    hub.write("recipes/stew.md", STEW)
    hub.write("recipes/soup.md", SOUP)
    hub.write("plans/two-days.md", plan)
    return hub


def worked_out(hub: Hub) -> tuple[list[PlanMade], list[Problem]]:
    """The plans of a hub, and everything that is said of them."""
    log = ProblemLog()
    files = scan(hub.root)
    kitchen = open_kitchen(files, TODAY, log)
    assert kitchen is not None, log.sorted()
    made = plans_of(kitchen, slugs_of(files, None, log), log)
    return list(made), log.sorted()


def codes(hub: Hub) -> list[tuple[str, int]]:
    """(code, line) of what is said of the plan page; steps without times are the schedule's concern."""
    said = [p for p in worked_out(hub)[1] if p.place.file.startswith("plans/") and p.code != "steps-missing"]
    return [(p.code, p.place.line) for p in said]
