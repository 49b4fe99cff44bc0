"""What is said of claims: the arithmetic and near misses in words, and the claims of a page."""

from __future__ import annotations

import pytest
from tests.labelling.claims_make import BASE, claim, judge, of_energy
from tests.labelling.label_make import dish, eu, food, label_of, one_food, row

from gramwright.labelling import rulesets
from gramwright.labelling.claims import weigh
from gramwright.model import ClaimFinding, Dish
from gramwright.problems import ProblemLog, Severity

# ---------------------------------------------------------------- words and near misses


def test_the_arithmetic_in_words() -> None:
    assert claim(one_food(of_energy(22, 78)), "high protein").because == "22 % of energy from protein; 20 % needed"
    assert claim(one_food({**BASE, "FAT_g": 2.8}), "low fat").because == "2.8 g of fat per 100 g; at most 3 g allowed"
    assert claim(one_food({**BASE, "VITC_mg": 13}), "source of vitamin C").because == (
        "13 mg of vitamin C per 100 g; 12 mg (15 % of 80 mg) needed"
    )


def test_a_figure_beside_its_limit_is_never_shown_as_the_limit() -> None:
    assert claim(one_food(of_energy(19.997, 80.003)), "high protein").because == (
        "19.997 % of energy from protein; 20 % needed"
    )


def test_near_misses_say_what_it_takes() -> None:
    fibre = claim(one_food({**BASE, "FIBTG_g": 4.6, "CHOAVL_g": 80.0}), "high fibre")
    assert fibre.near_miss == "1.4 g more fibre per 100 g would allow high fibre"
    fat = claim(one_food({**BASE, "FAT_g": 3.37}), "low fat")
    assert fat.near_miss == "0.37 g less fat per 100 g would allow low fat"


def test_energy_that_is_too_high_is_said_once() -> None:
    """1924/2006 limits low energy in kJ and in kcal: the near miss names one of them."""
    finding = claim(one_food({**BASE, "FAT_g": 0.0, "CHOAVL_g": 5.0, "PROCNT_g": 5.0, "FIBTG_g": 2.0}), "low energy")
    assert finding.near_miss == "4 kcal less energy per 100 g would allow low energy"


def test_a_small_amount_is_not_shown_as_none() -> None:
    assert claim(one_food({**BASE, "FAT_g": 0.03}), "fat free").because == (
        "0.03 g of fat per 100 g; at most 0.5 g allowed"
    )


def test_the_saturated_fat_that_is_too_much_is_enough_and_not_much_more() -> None:
    """1924/2006, 'low saturated fat': at most 10 % of energy; what is taken out takes its energy with it."""
    values = {**BASE, "FAT_g": 1.3, "FASAT_g": 1.2, "CHOAVL_g": 10.0, "FIBTG_g": 0.0}
    finding = claim(one_food(values), "low saturated fat")
    gap = float(finding.near_miss.split()[0])
    assert "less saturated fat and trans fat a portion" in finding.near_miss

    def without(grams: float) -> bool | None:
        less = {**values, "FAT_g": values["FAT_g"] - grams, "FASAT_g": values["FASAT_g"] - grams}
        return claim(one_food(less), "low saturated fat").holds

    assert without(gap) is True
    assert without(gap * 0.95) is False


@pytest.mark.parametrize("values", [of_energy(15, 85), {**BASE, "FAT_g": 8.0}])
def test_the_protein_that_is_missing_is_enough_and_not_much_more(values: dict[str, float]) -> None:
    finding = claim(one_food(values), "high protein")
    missing = float(finding.near_miss.split()[0])
    more = {**values, "PROCNT_g": values["PROCNT_g"] + missing}
    less = {**values, "PROCNT_g": values["PROCNT_g"] + missing * 0.98}
    assert claim(one_food(more), "high protein").holds is True
    assert claim(one_food(less), "high protein").holds is False


# ---------------------------------------------------------------- a page's claims


def weighed(found: Dish, rule_set: str = "eu") -> tuple[dict[str, ClaimFinding], ProblemLog]:
    log = ProblemLog()
    rules = rulesets.load(rule_set)
    return {finding.name: finding for finding in weigh(judge(found, rules), log)}, log


def test_a_claim_that_fails_is_an_error_at_its_line() -> None:
    findings, log = weighed(one_food({**BASE, "FAT_g": 3.4}, claims=("low fat",)))
    (problem,) = log.sorted()
    assert (problem.severity, problem.code, problem.place.line) == (Severity.ERROR, "claim-not-allowed", 5)
    assert "3.4 g of fat per 100 g; at most 3 g allowed" in problem.message
    assert problem.hint.startswith("0.4 g less fat per 100 g would allow low fat")
    assert findings["low fat"].asked


def test_a_claim_that_cannot_be_proven_is_an_error() -> None:
    _, log = weighed(one_food({"PROCNT_g": 5.0}, claims=("sugar-free",)))
    assert [problem.code for problem in log] == ["claim-not-provable"]


def test_a_claim_that_no_recipe_can_prove_has_one_way_out() -> None:
    _, log = weighed(one_food(BASE, claims=("reduced fat",)))
    (problem,) = log.sorted()
    assert problem.code == "claim-not-provable"
    assert problem.hint.startswith("leave the claim out")


def test_an_unknown_claim_names_the_nearest() -> None:
    _, log = weighed(one_food(BASE, claims=("hihg fibre",)))
    (problem,) = log.sorted()
    assert problem.code == "unknown-claim"
    assert "high fibre" in problem.hint


def test_all_claims_are_reported_in_one_run() -> None:
    _, log = weighed(one_food(BASE, claims=("low fat", "low salt", "no such claim")))
    assert len(log) == 3


@pytest.mark.parametrize("wording", ["High Fibre", "high-fibre", "rich in fiber", "high in fibre"])
def test_claims_go_by_other_names(wording: str) -> None:
    findings, log = weighed(one_food({**BASE, "FIBTG_g": 7.0}, claims=(wording,)))
    assert not log
    assert findings["high fibre"].holds


def test_claims_that_hold_unasked_are_listed_without_the_weaker() -> None:
    findings, log = weighed(one_food({**BASE, "FIBTG_g": 7.0, "NA_mg": 3.0}))
    assert not log
    names = [name for name, finding in findings.items() if finding.holds]
    assert not any(finding.asked for finding in findings.values())
    assert "high fibre" in names
    assert "source of fibre" not in names
    assert "salt free" in names
    assert "low salt" not in names


def test_near_misses_are_listed_unasked_and_far_ones_are_not() -> None:
    findings, _ = weighed(one_food({**BASE, "FAT_g": 3.5, "SUGAR_g": 30.0, "CHOAVL_g": 40.0}))
    assert findings["low fat"].holds is False
    assert findings["low fat"].near_miss
    assert "low sugars" not in findings
    assert "light" not in findings


@pytest.mark.parametrize("rule_set", ["eu", "us", "anz", "codex"])
def test_the_quick_way_through_all_claims_misses_none(rule_set: str) -> None:
    """Claims listed unasked are exactly those that hold or nearly do, less the weaker ones."""
    rules = rulesets.load(rule_set)
    for step in range(40):
        scales = [0.05 + (step * 7 + place) % 23 / 9 for place in range(len(BASE))]
        values = {tag: amount * scale for (tag, amount), scale in zip(BASE.items(), scales, strict=True)}
        found = one_food({**values, "VITC_mg": step, "CA_mg": 20 * step}, meals=("drink",) if step % 5 == 0 else ())
        by_judge = judge(found, rules)
        each = {name: by_judge.find(rule, asked=False) for name, rule in rules.claims.items()}
        true = {name for name, finding in each.items() if finding.holds}
        needless = {weaker for name in true for weaker in rules.claims[name].weaker}
        close = {name for name, finding in each.items() if finding.near_miss and not rules.claims[name].each}
        findings, _ = weighed(found, rule_set)
        assert set(findings) == (true | close) - needless


def test_a_law_without_recorded_claims_allows_none() -> None:
    _, log = weighed(one_food(BASE, claims=("high fibre",)), "za")
    (problem,) = log.sorted()
    assert problem.code == "unknown-claim"
    assert "South Africa" in problem.hint


def test_a_missing_value_never_makes_a_claim_hold() -> None:
    """Taking any one component away from any one food turns no claim from no or not known into yes."""
    foods = [{**BASE, "FAT_g": 1.0, "NA_mg": 30.0}, {**BASE, "SUGAR_g": 1.0, "FIBTG_g": 9.0, "PROCNT_g": 20.0}]
    rules = eu()
    whole = dish([row(food(f"food {place}", values), 100) for place, values in enumerate(foods)])
    before = {name: judge(whole, rules).holds(rule) for name, rule in rules.claims.items()}
    for place in range(2):
        for tag in BASE:
            less = [
                {key: amount for key, amount in values.items() if not (at == place and key == tag)}
                for at, values in enumerate(foods)
            ]
            gappy = dish([row(food(f"food {at}", values), 100) for at, values in enumerate(less)])
            weigher = judge(gappy, rules)
            for name, rule in rules.claims.items():
                if weigher.holds(rule):
                    assert before[name], (name, tag, place)


def test_claims_reach_the_label() -> None:
    label, log = label_of(one_food({**BASE, "FIBTG_g": 7.0}, claims=("high fibre", "low fat")))
    assert [(finding.name, finding.holds, finding.asked) for finding in label.claims[:2]] == [
        ("high fibre", True, True),
        ("low fat", False, True),
    ]
    assert [problem.code for problem in log] == ["claim-not-allowed"]
