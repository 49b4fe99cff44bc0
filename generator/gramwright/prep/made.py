"""A whole plan worked out. Takes a plan page, the recipes and what is in the house, gives everything its pages show.

make(plan, recipes, stock, language, log, scheduler, packs) -> PlanMade | None   None after errors, all logged
plan_findings(made) -> tuple[Finding, ...]                                       missed targets, for reports
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from gramwright.model import AllergenFindings, Gear, PlanPage
from gramwright.model.steps import Batch, Schedule
from gramwright.prep.cooking import session_batches
from gramwright.prep.keeping import Cooling, Kept, cooling, keep
from gramwright.prep.mend import Mend, smallest
from gramwright.prep.packs import NONE, Pack
from gramwright.prep.plates import Plates, dates_of, lay
from gramwright.prep.prices import Costs, costs, currencies
from gramwright.prep.recipes import Recipes
from gramwright.prep.schedule import schedule
from gramwright.prep.shopping import Shopping, Stock, shopping
from gramwright.prep.totals import DayTotal, Fare, Outcome, day_totals
from gramwright.problems import Place, ProblemLog

Scheduler = Callable[[Sequence[Batch], Gear, ProblemLog], Schedule | None]
"""`schedule.schedule`, or something that remembers what it said."""


class PlanMade(NamedTuple):
    """Everything computed of one plan."""

    plan: PlanPage
    plates: Plates
    totals: tuple[DayTotal, ...]
    mends: tuple[Mend | None, ...]
    """Per total (same order): the smallest change where a target is missed."""
    allergens: AllergenFindings
    """Of everything that is cooked."""
    shopping: Shopping
    costs: Costs | None
    kept: tuple[Kept, ...]
    cooling: Cooling
    schedules: tuple[Schedule | None, ...]
    """Per session of the plan; None where no batch of it has steps."""
    dates: Mapping[int, str]
    """Day number -> ISO date; empty in an undated plan."""


class Finding(NamedTuple):
    """A target that a person's day misses."""

    plan: str
    """Slug."""
    title: str
    person: str
    day: int
    key: str
    fare: Fare
    text: str
    place: Place


def make(
    plan: PlanPage,
    recipes: Recipes,
    stock: Mapping[str, Sequence[Stock]],
    language: str,
    log: ProblemLog,
    scheduler: Scheduler = schedule,
    packs: Mapping[str, Pack] = NONE,
) -> PlanMade | None:
    """Lays, sums, shops and keeps. What is wrong is logged at its place in the plan (bad packs: in their table)."""
    here = ProblemLog()
    plates = lay(plan, recipes, here)
    if plates is None:
        log.extend(here)
        return None
    kept = keep(plates, recipes.rules, here)
    bought = shopping(plates, stock, language, here, packs)
    schedules = tuple(
        scheduler(session_batches(plates, at, recipes), plan.gear, here) for at in range(len(plan.sessions))
    )
    log.extend(here)
    if here.has_errors:
        return None
    totals = day_totals(plates)
    variants = {(plate.variant.slug, plate.variant.key): plate.variant for plate in plates.plates}
    made = PlanMade(
        plan=plan,
        plates=plates,
        totals=totals,
        mends=tuple(smallest(plates, total) for total in totals),
        allergens=recipes.allergens([i for variant in variants.values() for i in variant.dish.counted]),
        shopping=bought,
        costs=costs(plates, bought),
        kept=kept,
        cooling=cooling(recipes.rules),
        schedules=schedules,
        dates=dates_of(plan),
    )
    _warn(made, log)
    return made


def plan_findings(made: PlanMade) -> tuple[Finding, ...]:
    """Every missed target, by day and person."""
    return tuple(
        Finding(
            made.plan.slug,
            made.plan.title,
            total.person.name,
            total.day.number,
            outcome.target.key,
            outcome.fare,
            f"{made.plan.title}: {total.person.name}'s day {total.day.date or total.day.number} goes {_text(outcome)}",
            outcome.target.place,
        )
        for total in made.totals
        for outcome in total.missed
    )


def _text(outcome: Outcome) -> str:
    """'over its energy: 2310 kcal, at most 2200 wanted'."""
    target, figure = outcome.target, outcome.figure
    unit = target.tag.rpartition("_")[2]
    amount = 0.0 if figure is None else figure.amount
    end = target.high if outcome.fare is Fare.OVER else target.low
    least = "at most" if outcome.fare is Fare.OVER else "at least"
    return f"{outcome.fare.value} its {target.key}: {amount:.{_decimals(unit)}f} {unit}, {least} {end:g} wanted"


def _decimals(unit: str) -> int:
    return 1 if unit == "g" else 0


def _warn(made: PlanMade, log: ProblemLog) -> None:
    money = currencies(made.shopping)
    if len(money) > 1:
        log.warn(
            made.plan.place,
            "two-currencies",
            f"expected the prices of the plan's foods in one currency, found {', '.join(money)}, so it shows no costs",
            "enter all prices in the currency that is paid",
        )
    for finding in plan_findings(made):
        log.warn(
            finding.place,
            "target-missed",
            f"expected the target '{finding.key}' to be met, found that {finding.text.partition(': ')[2]}",
            "the plan's page names the smallest change that meets it",
        )
