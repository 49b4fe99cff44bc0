"""Takes a worked-out plan, gives plans/<slug>/facts.json: what its pages say, in plain figures, in a stable order.

    {"slug": "...", "title": "...",
     "days": [{"day": 1, "date": "", "person": "Ada", "figures": {"energy": 1893.2, "protein": 96.1},
               "known": {"fibre": 0.93}, "targets": {"energy": {"low": 1800.0, "high": 2100.0, "fare": "met"}}}],
     "shopping": [{"food": "barley-pearl-dry", "name": "Pearl barley, dry", "grams": 500.0, "packs": 1}],
     "keeping": [{"dish": "stew", "title": "Stew", "person": "Ada", "meal": "dinner", "day": 3,
                  "where": "fridge", "use_by": 4, "late": false}]}

Figures are a person's whole day, unrounded, by the names that targets have: energy in kcal, sodium in mg, all else in
grams. `known` names those that are known for a part of the eaten mass only. `grams` are what is bought.
"""

from __future__ import annotations

import json
from typing import Any

from gramwright.prep.keeping import Kept
from gramwright.prep.made import PlanMade
from gramwright.prep.totals import COMPLETE, DayTotal
from gramwright.reading.targets import TARGET_KEYS

ASKED_ONLY = ("sodium",)
"""Figures that are given only where somebody has a target for them: another one says the same."""


def facts(made: PlanMade) -> dict[str, Any]:
    """Everything of a plan that a change of its recipes or foods can move."""
    return {
        "slug": made.plan.slug,
        "title": made.plan.title,
        "days": [_day(total, made) for total in made.totals],
        "shopping": [
            {"food": item.food.id, "name": item.food.name, "grams": item.bought_g, "packs": item.packs}
            for _, items in made.shopping.aisles
            for item in items
        ],
        "keeping": [_kept(kept) for kept in made.kept],
    }


def encode(made: PlanMade) -> bytes:
    return (json.dumps(facts(made), ensure_ascii=False, indent=1) + "\n").encode()


def _day(total: DayTotal, made: PlanMade) -> dict[str, Any]:
    targets = {outcome.target.key: outcome for outcome in total.outcomes}
    figures = {
        key: total.figures[tag]
        for key, tag in TARGET_KEYS.items()
        if tag in total.figures and (key not in ASKED_ONLY or key in targets)
    }
    return {
        "day": total.day.number,
        "date": made.dates.get(total.day.number, ""),
        "person": total.person.name,
        "figures": {key: figure.amount for key, figure in figures.items()},
        "known": {key: figure.coverage for key, figure in figures.items() if figure.coverage < COMPLETE},
        "targets": {
            key: {"low": outcome.target.low, "high": outcome.target.high, "fare": outcome.fare.value}
            for key, outcome in targets.items()
        },
    }


def _kept(kept: Kept) -> dict[str, Any]:
    return {
        "dish": kept.variant.slug,
        "title": kept.variant.title,
        "person": kept.person,
        "meal": kept.meal,
        "day": kept.day,
        "where": kept.where.value,
        "use_by": kept.use_by,
        "late": kept.late,
    }
