"""Day totals against the published figures, and the smallest change against every change tried by hand."""

from __future__ import annotations

from itertools import product

import pytest
from tests.prep.prep_make import PLAN, codes, with_plan, worked_out
from tests.publishing.hub_make import Hub, Run

from gramwright.prep.made import plan_findings
from gramwright.prep.mend import STEP
from gramwright.prep.totals import Fare, outcome, summed

PLAIN = PLAN.replace(", toppings: [test nuts]", "").replace(", swaps: [test nuts]", "")


def test_a_day_is_the_sum_of_facts_json(hub: Hub, run: Run) -> None:
    with_plan(hub, PLAIN)
    code, data = run("publish", hub.root)
    assert code == 0, data
    facts = {slug: hub.facts(slug) for slug in ("stew", "soup")}
    eaten: dict[tuple[str, int], dict[str, float]] = {
        ("Ada", 1): {"stew": 1},
        ("Bo", 1): {"stew": 1.5},
        ("Ada", 2): {"stew": 1, "soup": 1.25},
        ("Bo", 2): {"stew": 1, "soup": 2},
        ("Bo", 3): {"stew": 1},
    }
    (made,), _ = worked_out(hub)
    assert {(total.person.name, total.day.number) for total in made.totals} == set(eaten)
    for total in made.totals:
        dishes = eaten[total.person.name, total.day.number]
        tags = {tag for slug in dishes for tag in facts[slug]["per_portion"]}
        assert set(total.figures) == tags
        for tag in tags:
            figure = total.figures[tag]
            known = [(facts[slug], n) for slug, n in dishes.items() if tag in facts[slug]["per_portion"]]
            for got, wanted in (
                (figure.amount, sum(n * each["per_portion"][tag] for each, n in known)),
                (figure.low, sum(n * each["range"][tag][0] for each, n in known)),
                (figure.high, sum(n * each["range"][tag][1] for each, n in known)),
            ):
                assert got == pytest.approx(wanted, rel=1e-12), tag


def test_coverage_is_the_known_share_of_the_eaten_mass(hub: Hub) -> None:
    """Apple has no saturates: 450 g of it count in the stew of 950 g, none elsewhere."""
    with_plan(hub, PLAIN)
    (made,), _ = worked_out(hub)
    first = made.totals[0].figures["FASAT_g"]
    assert first.coverage == pytest.approx(500 / 950)
    assert made.totals[0].figures["ENERC_kcal"].coverage == 1


def test_toppings_and_swaps_are_the_engines(hub: Hub) -> None:
    with_plan(hub)
    (made,), _ = worked_out(hub)
    by_key = {(t.person.name, t.day.number): t for t in made.totals}
    plain, topped = by_key["Ada", 1].figures["ENERC_table_kJ"], made.plates.plates[1].variant.label.per_portion
    assert topped["ENERC_table_kJ"].amount - plain.amount == pytest.approx(40 * 26 / 4)
    swapped = by_key["Bo", 3].figures["ENERC_table_kJ"]
    assert swapped.amount - plain.amount == pytest.approx((100 * 26 - 200 * 2.7) / 4)


def test_unknown_is_never_within_a_limit(hub: Hub) -> None:
    """Saturates are known for half of the stew: 'at most' cannot be met, 'at least' can be."""
    with_plan(hub, PLAN.replace("salt: ..6 g", "saturates: ..20 g, alcohol: ..5 g"))
    (made,), _ = worked_out(hub)
    fares = {one.target.key: one.fare for one in made.totals[0].outcomes}
    assert fares["saturates"] is Fare.UNKNOWN
    assert fares["alcohol"] is Fare.UNKNOWN
    assert fares["protein"] is Fare.MET


def test_salt_to_taste_is_never_within_a_limit(hub: Hub) -> None:
    """The stew's recorded salt lies far below 6 g; with salt to taste nobody knows, and "at least" is said of it."""
    with_plan(hub, PLAN)
    hub.edit("recipes/stew.md", "- 300 g test oats", "- 300 g test oats\n- salt, to taste")
    (made,), _ = worked_out(hub)
    salt = next(one for one in made.totals[0].outcomes if one.target.key == "salt")
    assert salt.figure is not None
    assert salt.figure.coverage == pytest.approx(1.0)
    assert (salt.fare, salt.at_least) == (Fare.UNKNOWN, True)


def test_the_smallest_change_meets_every_target(hub: Hub) -> None:
    with_plan(hub, PLAN.replace("400-3000 kcal, protein: 5 g..", "430-520 kcal"))
    (made,), problems = worked_out(hub)
    missed = [(total, mend) for total, mend in zip(made.totals, made.mends, strict=True) if total.missed]
    assert missed
    for total, mend in missed:
        assert mend is not None
        eaten = made.plates.eaten_by(total.person.name, total.day.number)
        changed = {id(change.plate): change for change in mend.changes}
        after = [
            (changed[id(plate)].variant, changed[id(plate)].portions) if id(plate) in changed else (plate.variant, n)
            for plate, n in eaten
        ]
        figures, _ = summed(after)
        outcomes = [outcome(target, figures) for target in total.person.targets]
        assert mend.meets == (not any(one.missed for one in outcomes))
        if mend.meets and len(mend.changes) == 1:
            steps = abs(mend.changes[0].portions - mend.changes[0].before) / STEP
            for (plate, count), step in product(eaten, range(1, int(steps))):
                for sign in (-1, 1):
                    others = [(p.variant, n + sign * step * STEP if p is plate else n) for p, n in eaten]
                    less, _ = summed(others)
                    assert any(outcome(target, less).missed for target in total.person.targets), count
    assert {p.code for p in problems} >= {"target-missed"}
    assert {finding.key for finding in plan_findings(made)} == {"energy"}


def test_a_day_planned_in_part_has_no_targets(hub: Hub) -> None:
    with_plan(hub, PLAN.replace("400-3000", "2900-3000").replace("days:\n", "part_days: [day 1, day 2]\ndays:\n"))
    assert [code for code, _ in codes(hub) if code == "target-missed"] == []


def test_a_correction_says_which_day_goes_over(hub: Hub, run: Run) -> None:
    """With much more fat for starch in the oats Ada's first day passes the end of its target."""
    with_plan(hub, PLAN.replace("400-3000 kcal", "..480 kcal"))
    code, data = run("correct", hub.root, "test oats", "FAT_g=45", "CHOAVL_g=20", "--reason", "a new pack", "--dry-run")
    assert code == 0, data
    (plan,) = data["plans"]
    assert (plan["slug"], plan["title"], plan["kind"]) == ("two-days", "Two days", "changed")
    assert [(one["code"], one["text"].partition(",")[0]) for one in plan["means"]] == [
        ("target-missed", f"Ada's day 1 goes over its energy: {round(corrected(hub))} kcal")
    ]


def corrected(hub: Hub) -> float:
    """The day as it would be, from facts of a hub that has the new figure."""
    hub.edit("foods/own.csv", "1550,9,12,7,1.2,58,", "1550,9,12,45,1.2,20,")
    (made,), _ = worked_out(hub)
    return made.totals[0].figures["ENERC_kcal"].amount
