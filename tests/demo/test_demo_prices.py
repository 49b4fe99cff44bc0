"""The demo's plans say what they cost: a recipe, a portion, a day, from prices that are invented and say so."""

from __future__ import annotations

from datetime import date

import pytest
from tests.demo.demo_read import HUB, TODAY, Demo

from gramwright.prep.made import PlanMade
from gramwright.problems import ProblemLog, Severity
from gramwright.publishing.plan import slugs_of
from gramwright.publishing.plans import plans_of, read_packs


@pytest.fixture(scope="module")
def plans(demo: Demo) -> tuple[PlanMade, ...]:
    log = ProblemLog()
    slugs = slugs_of(demo.kitchen.hub, None, log)
    made = plans_of(demo.kitchen, slugs, log, lambda *_: None)
    assert [str(problem) for problem in log if problem.severity is Severity.ERROR] == []
    return made


def test_every_plan_costs_something(plans: tuple[PlanMade, ...]) -> None:
    assert len(plans) == 2
    for made in plans:
        costs = made.costs
        assert costs is not None
        assert costs.currency == "EUR"
        assert costs.total.known > 0.9, "of the weight a price is known"
        assert costs.till >= costs.total.amount, "whole packs"
        assert {number for number, _ in costs.days} >= {day.number for day in made.plan.days}
        for line in costs.recipes:
            assert 0.2 < line.portion.amount < 8, line


def test_prices_are_dated_and_say_that_they_are_invented(demo: Demo) -> None:
    text = (HUB / "prices.csv").read_text(encoding="utf-8")
    assert "invented" in text.splitlines()[0]
    log = ProblemLog()
    packs = read_packs(demo.kitchen, log)
    assert [str(problem) for problem in log] == []
    for pack in packs.values():
        assert pack.price is not None
        assert date.fromisoformat(pack.price.date) < TODAY
