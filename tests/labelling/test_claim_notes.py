"""What is said beside a claim that holds: the law's companion, and figures whose range reaches past the limit."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.labelling.claims_make import BASE, claim, judge, of_energy
from tests.labelling.label_make import dish, food, label_of, one_food, page, row

from gramwright.labelling import rulesets
from gramwright.labelling.claim_range import end, of_shares
from gramwright.labelling.sentences import available
from gramwright.model import Dish, Figure, Scale
from gramwright.problems import Severity
from gramwright.site.facts import facts

# ---------------------------------------------------------------- the companion

# Regulation (EC) No 1924/2006, Annex, "with no added sugars": "If sugars are naturally present in the food, the
# following indication should also appear on the label".
NATURAL = "contains naturally occurring sugars"


def sweet(sugars: float | None = 4.0, **changes: object) -> Dish:
    """Plain oats with so much sugar of their own, and oil without any; None: not known, but none added."""
    values = {**BASE, "SUGAR_g": sugars} if sugars is not None else {**BASE, "SUGAD_g": 0.0}
    if sugars is None:
        del values["SUGAR_g"]
    oil = food("rapeseed oil", {**BASE, "SUGAR_g": 0.0}, group="fats-and-oils")
    return dish([row(food("oats", values), 100), row(oil, 5)], **changes)


@pytest.mark.parametrize("rule_set", ["eu", "uk"])
def test_no_added_sugars_goes_with_the_sugars_of_the_food_itself(rule_set: str) -> None:
    assert claim(sweet(), "no added sugars", rule_set).companion == NATURAL
    assert claim(sweet(0.01), "no added sugars", rule_set).companion == NATURAL
    assert claim(sweet(0.0), "no added sugars", rule_set).companion == ""


def test_sugars_that_are_not_known_are_not_none() -> None:
    found = claim(sweet(None), "no added sugars")
    assert (found.holds, found.companion) == (True, NATURAL)


def test_a_claim_that_does_not_hold_has_no_companion() -> None:
    sugar = food("white sugar", {"SUGAR_g": 100.0}, group="sugars-and-syrups")
    found = claim(dish([row(sugar, 5)]), "no added sugars")
    assert (found.holds, found.companion) == (False, "")


def test_the_companion_is_said_in_every_language() -> None:
    said = {language: rulesets.load("eu", language).claims["no added sugars"].companion for language in available()}
    texts = {language: companion.text for language, companion in said.items() if companion is not None}
    assert texts["en"] == NATURAL
    assert len(set(texts.values())) == len(available()) == 3
    # The German version of the Annex.
    assert texts["de"] == "enthält von Natur aus Zucker"


def test_facts_carry_the_companion_beside_its_claim() -> None:
    found = sweet(claims=("no added sugars", "source of protein"))
    claims = facts(found, label_of(found)[0])["claims"]
    assert claims["no added sugars"]["companion"] == NATURAL
    assert all("companion" not in said for name, said in claims.items() if name != "no added sugars")


def test_a_page_that_asks_for_the_claim_is_told_of_the_companion() -> None:
    _, log = label_of(sweet(claims=("no added sugars",)))
    (problem,) = log.sorted()
    assert (problem.severity, problem.code, problem.place.line) == (Severity.WARNING, "claim-companion", 5)
    assert f"'{NATURAL}'" in problem.message
    assert "1924/2006" in problem.message


def test_wording_that_amounts_to_the_claim_is_told_too_and_once() -> None:
    _, log = label_of(sweet(title="Bars without added sugar", summary="No added sugar in them."))
    (problem,) = log.sorted()
    assert (problem.code, problem.place.line) == ("claim-companion", 2)


@pytest.mark.parametrize(
    ("where", "text"),
    [
        ("summary", "No added sugar; contains naturally occurring sugars."),
        ("intro", "It Contains Naturally Occurring Sugars, from the oats."),
    ],
)
def test_a_page_that_says_it_is_not_told(where: str, text: str) -> None:
    _, log = label_of(
        replace(sweet(claims=("no added sugars",)), page=page(claims=("no added sugars",), **{where: text}))
    )
    assert not log.sorted()


def test_a_page_in_another_language_says_it_in_its_own() -> None:
    german = rulesets.load("eu", "de")
    _, log = label_of(sweet(claims=("no added sugars",), summary="Enthält von Natur aus Zucker."), german)
    assert not log.sorted()
    _, log = label_of(sweet(claims=("no added sugars",)), german)
    assert [problem.code for problem in log] == ["claim-companion"]
    assert NATURAL in log.sorted()[0].message, "problems speak English"


def test_no_sugars_no_warning() -> None:
    _, log = label_of(sweet(0.0, claims=("no added sugars",)))
    assert not log.sorted()


# ---------------------------------------------------------------- likely ranges that reach past the limit

FAR = "holds by the figure; its likely range reaches past the limit"


def measured(values: dict[str, float], grams: float = 400.0, **changes: object) -> Dish:
    """One food, the finished dish weighed: its weight is looser than nothing."""
    return dish([row(food("test food", {**BASE, **values}), grams)], finished_g=grams, yield_factor=None, **changes)


@pytest.mark.parametrize(
    ("name", "tag", "limit", "at_most"),
    [
        ("low fat", "FAT_g", 3.0, True),
        ("low sugars", "SUGAR_g", 5.0, True),
        ("low salt", "NA_mg", 120.0, True),
        ("high vitamin C", "VITC_mg", 24.0, False),
        ("high iron", "FE_mg", 4.2, False),
    ],
)
def test_the_range_that_the_page_shows_decides(name: str, tag: str, limit: float, at_most: bool) -> None:
    """1924/2006: the figure decides whether the claim holds, the shown range per 100 g whether it is doubtful."""
    seen = set()
    for step in range(-18, 31):
        found = measured({tag: limit * (1 + 0.05 * step), "FASAT_g": 0.0})
        label, _ = label_of(found)
        figure = label.per_100g[tag]
        finding = next((each for each in label.claims if each.name == name and each.holds), None)
        if finding is None:
            continue
        past = figure.high > limit if at_most else figure.low < limit
        assert finding.doubt == (FAR if past else ""), figure
        seen.add(past)
    assert seen == {True, False}


def test_a_looser_finished_weight_makes_a_claim_doubtful() -> None:
    """The same food: weighed it is surely low in fat, by a yield factor it may not be."""
    plain = food("test food", {**BASE, "FAT_g": 2.6})
    weighed = dish([row(plain, 400)], finished_g=400.0, yield_factor=None)
    by_factor = dish([row(plain, 400)], yield_factor=1.0)
    said = [
        next(each.doubt for each in label_of(found)[0].claims if each.name == "low fat")
        for found in (weighed, by_factor)
    ]
    assert said == ["", FAR]


def test_a_claim_that_does_not_hold_is_not_called_doubtful() -> None:
    assert claim(one_food({**BASE, "FAT_g": 3.05}), "low fat").doubt == ""
    assert claim(one_food({**BASE, "FAT_g": 2.95}), "low fat").doubt == FAR


def test_one_sure_case_is_enough() -> None:
    """'source of fibre': 3 g per 100 g, or 1.5 g per 100 kcal."""
    lean = {**BASE, "CHOAVL_g": 5.0, "FAT_g": 1.0}
    assert claim(one_food({**lean, "FIBTG_g": 3.02}), "source of fibre").doubt == ""
    assert claim(one_food({**BASE, "CHOAVL_g": 80.0, "FIBTG_g": 3.02}), "source of fibre").doubt == FAR


def test_shares_of_energy_have_ranges_too() -> None:
    assert claim(one_food(of_energy(20.5, 79.5)), "high protein").doubt == FAR
    assert claim(one_food(of_energy(40, 60)), "high protein").doubt == ""
    assert claim(one_food(of_energy(100, 0)), "high protein").doubt == "", "all of it stays all of it"


def test_what_is_proven_by_the_rows_has_no_range() -> None:
    assert claim(sweet(), "no added sugars").doubt == ""


def test_a_drink_is_tried_at_its_thickest() -> None:
    """1924/2006: at most 1.5 g of fat per 100 ml; at 1.1 g/ml the figure passes and its range does not."""
    assert claim(one_food({**BASE, "FAT_g": 1.35}, tags=("drink",)), "low fat").doubt == FAR
    assert claim(one_food({**BASE, "FAT_g": 0.9}, tags=("drink",)), "low fat").doubt == ""


def test_what_goes_in_to_taste_adds_to_the_far_end() -> None:
    """Three grams a portion of a food with so much fat: without it the range would stay within the limit."""
    butter = row(food("butter", {**BASE, "FAT_g": 25.0}), 0, scale=Scale.TASTE)
    plain = row(food("test food", {**BASE, "FAT_g": 2.1}), 100)
    assert claim(dish([plain]), "low fat").doubt == ""
    assert claim(dish([plain, butter]), "low fat").doubt == FAR


def figure(amount: float, off: float) -> Figure:
    return Figure(amount, amount - off, amount + off, 1.0)


@pytest.mark.parametrize("low", [True, False])
def test_a_share_moves_by_its_own_error_and_by_that_of_the_rest(low: bool) -> None:
    """Against the share worked out anew with the part moved, and with the rest moved (independent: as squares)."""
    part, part_off, rest, rest_off = 120.0, 0.6, 480.0, 1.5
    whole = figure(part + rest, (part_off**2 + rest_off**2) ** 0.5)
    share, side = part / (part + rest), -1 if low else 1
    by_part = (part + side * part_off) / (part + side * part_off + rest) / share - 1
    by_rest = part / (part + rest - side * rest_off) / share - 1
    found = of_shares([(figure(part / 4, part_off / 4), 4.0)], [(whole, 1.0)], low=low)
    assert found == pytest.approx((by_part**2 + by_rest**2) ** 0.5, rel=0.01)


def test_unequal_sides_are_told_apart() -> None:
    part, whole = Figure(10.0, 9.0, 14.0, 1.0), Figure(100.0, 100.0, 100.0, 1.0)
    assert of_shares([(part, 1.0)], [(whole, 1.0)], low=True) == pytest.approx(0.9 * 0.1)
    assert of_shares([(part, 1.0)], [(whole, 1.0)], low=False) == pytest.approx(0.9 * 0.4)
    assert end([part, None, whole], low=True) == 109.0
    assert end([part, None, whole], low=False) == 114.0


def test_the_far_end_changes_no_verdict() -> None:
    rules = rulesets.load("eu")
    for fat in (2.9, 3.1):
        found = judge(one_food({**BASE, "FAT_g": fat}), rules)
        before = {name: found.holds(each) for name, each in rules.claims.items()}
        for each in rules.claims.values():
            found.far(each)
        assert {name: found.holds(each) for name, each in rules.claims.items()} == before


def test_proof_warns_where_the_page_makes_the_claim() -> None:
    near = {**BASE, "FAT_g": 2.95}
    _, log = label_of(one_food(near, claims=("low fat",)))
    (problem,) = log.sorted()
    assert (problem.severity, problem.code, problem.place.line) == (Severity.WARNING, "claim-near-limit", 5)
    assert "2.95 g of fat per 100 g; at most 3 g allowed" in problem.message
    _, log = label_of(one_food(near, summary="Low-fat."))
    assert [(each.code, each.place.line) for each in log] == [("claim-near-limit", 3)]
    _, log = label_of(one_food(near))
    assert not log.sorted(), "a claim that nobody makes is only listed"
    _, log = label_of(one_food({**BASE, "FAT_g": 1.0}, claims=("low fat",)))
    assert not log.sorted()


def test_facts_say_whether_the_range_holds_too() -> None:
    found = measured({"FAT_g": 2.95, "FASAT_g": 0.0, "NA_mg": 0.2}, claims=("low fat", "high fibre", "no added sugars"))
    claims = facts(found, label_of(found)[0])["claims"]
    assert claims["low fat"]["likely_range_holds"] is False
    assert claims["salt free"]["likely_range_holds"] is True
    assert "likely_range_holds" not in claims["high fibre"], "it does not hold at all"
