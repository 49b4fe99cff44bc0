"""The declaration's lines: order, texts, shares, gaps, and a parent that would round below its child."""

from __future__ import annotations

import pytest
from tests.labelling.label_make import dish, eu, food, label_of, one_food, row

from gramwright.labelling import rulesets
from gramwright.labelling.declaration import declaration
from gramwright.model import DeclaredLine, Figure

FULL = {
    "PROCNT_g": 14.02, "FAT_g": 9.9, "FASAT_g": 3.1, "CHOAVL_g": 58.3, "CHOCDF_g": 69.1, "SUGAR_g": 9.4,
    "FIBTG_g": 10.8, "NA_mg": 412.0, "CA_mg": 100.0, "FE_mg": 2.1, "VITC_mg": 11.9,
}  # fmt: skip


def lines_of(values: dict[str, float], rule_set: str = "eu", **changes: object) -> dict[str, DeclaredLine]:
    label, _ = label_of(one_food(values, **changes), rulesets.load(rule_set))
    return {line.key: line for line in label.lines}


def test_the_union_s_declaration() -> None:
    """Regulation (EU) No 1169/2011, Annex XV (order), Annex XIII (shares), rounding guidance of December 2012."""
    lines = lines_of(FULL)
    assert [(line.key, line.level, line.per_portion, line.share) for line in lines.values()] == [
        ("energy", 0, "1682 kJ / 400 kcal", "20 %"),
        ("fat", 0, "9.9 g", "14 %"),
        ("saturates", 1, "3.1 g", "16 %"),
        ("carbohydrate", 0, "58 g", "22 %"),
        ("sugars", 1, "9.4 g", "10 %"),
        ("fibre", 0, "11 g", ""),
        ("protein", 0, "14 g", "28 %"),
        ("salt", 0, "1.0 g", "17 %"),
        ("iron", 0, "2.1 mg", "15 %"),
    ]
    assert not any(line.at_least for line in lines.values())


def test_vitamins_and_minerals_only_in_significant_amounts() -> None:
    """Annex XIII Part A, point 2: 15 % of the reference intake per 100 g (vitamin C 12 mg, iron 2.1 mg)."""
    assert "vitamin_c" not in lines_of({**FULL, "VITC_mg": 11.99})
    assert "vitamin_c" in lines_of({**FULL, "VITC_mg": 12.0})
    assert lines_of({**FULL, "VITC_mg": 12.0})["vitamin_c"].share == "15 %"


def test_per_100_g_uses_the_finished_weight() -> None:
    lines = lines_of(FULL, finished_g=200.0, yield_factor=None)
    assert lines["protein"].per_100g == "7.0 g"
    assert lines["protein"].per_portion == "14 g"


def test_a_parent_never_rounds_below_its_child() -> None:
    """The guidance's trap: fat 0.4 g alone is '<0.5 g'; beside saturates of 0.2 g it keeps steps of 0.1 g."""
    lines = lines_of({**FULL, "FAT_g": 0.4, "FASAT_g": 0.2})
    assert (lines["fat"].per_portion, lines["saturates"].per_portion) == ("0.4 g", "0.2 g")
    alone = lines_of({**FULL, "FAT_g": 0.4, "FASAT_g": 0.05})
    assert (alone["fat"].per_portion, alone["saturates"].per_portion) == ("<0.5 g", "<0.1 g")


@pytest.mark.parametrize("rule_set", rulesets.available())
def test_no_parent_below_a_child_under_any_law(rule_set: str) -> None:
    rules = rulesets.load(rule_set)
    for fat in [step / 20 for step in range(0, 250, 3)]:
        for share in (0.2, 0.5, 0.9, 1.0):
            per = {"FAT_g": Figure(fat, fat, fat, 1.0), "FASAT_g": Figure(fat * share, 0.0, fat, 1.0)}
            lines = {line.tag: line.per_portion for line in declaration(rules, per, per)}
            if lines["FAT_g"].startswith("<"):
                assert lines["FASAT_g"].startswith(("<", "0 "))
            else:
                assert number(lines["FAT_g"]) >= number(lines["FASAT_g"]), (rule_set, fat, share)


def number(text: str) -> float:
    return 0.0 if text.startswith("<") else float(text.split()[0])


def test_a_gap_shows_nothing_and_never_zero() -> None:
    gappy = {tag: amount for tag, amount in FULL.items() if tag not in ("SUGAR_g", "NA_mg", "FIBTG_g")}
    lines = lines_of(gappy)
    assert (lines["sugars"].per_100g, lines["sugars"].per_portion, lines["sugars"].share) == ("", "", "")
    assert lines["salt"].per_portion == ""
    assert "fibre" not in lines  # not a line that must be there


def test_a_true_zero_is_a_zero() -> None:
    assert lines_of({**FULL, "SUGAR_g": 0.0})["sugars"].per_portion == "0 g"
    assert lines_of({**FULL, "SUGAR_g": 0.0})["sugars"].share == "0 %"
    assert lines_of({**FULL, "SUGAR_g": 0.3})["sugars"].share == "<1 %"


def test_below_full_coverage_a_line_says_at_least() -> None:
    made = dish([row(food("known", FULL), 100), row(food("gap", {"PROCNT_g": 1.0, "NA_mg": 3.0}), 100)])
    label, _ = label_of(made)
    flags = {line.key: line.at_least for line in label.lines}
    assert flags["fat"]
    assert flags["energy"]
    assert not flags["protein"]
    assert not flags["salt"]


def test_polyols_are_listed_where_there_are_some() -> None:
    assert "polyols" not in lines_of({**FULL, "POLYL_g": 0.0})
    assert lines_of({**FULL, "POLYL_g": 5.0})["polyols"].level == 1


def test_united_states_declaration() -> None:
    """21 CFR 101.9(c): order, sodium in mg, shares of vitamins and minerals in steps of 2, 5 and 10 %."""
    lines = lines_of(FULL, "us")
    assert lines["energy"].per_portion == "420 kcal"  # 4-4-9 on 14.02, 69.1 and 9.9 g
    assert lines["sodium"].per_portion == "410 mg"
    assert lines["carbohydrate"].tag == "CHOCDF_g"
    assert lines["calcium"].share == "8 %"  # 7.7 %
    assert lines["iron"].share == "10 %"  # 11.7 %
    assert lines["trans"].per_portion == ""
    assert lines["fat"].share == "13 %"


@pytest.mark.parametrize(
    ("calcium", "share"),
    [(25.9, "0 %"), (39, "4 %"), (130, "10 %"), (162.5, "15 %"), (650, "50 %"), (714, "50 %"), (715, "60 %")],
)
def test_per_cent_daily_values_of_minerals(calcium: float, share: str) -> None:
    """21 CFR 101.9(c)(8)(iii): 2 % to 10 %, 5 % to 50 %, 10 % above, nothing below 2 %; calcium 1300 mg."""
    assert lines_of({**FULL, "CA_mg": calcium}, "us")["calcium"].share == share


def test_australia_and_new_zealand() -> None:
    """Food Standards Code, Schedule 12 and section 1.2.8-8."""
    lines = lines_of(FULL, "anz")
    assert list(lines) == ["energy", "protein", "fat", "saturates", "carbohydrate", "sugars", "fibre", "sodium"]
    assert lines["energy"].per_portion == "1680 kJ (402 Cal)"
    assert lines["sodium"].share == "18 %"


def test_south_africa_shows_no_shares() -> None:
    lines = lines_of(FULL, "za")
    assert lines["energy"].per_portion == "1682 kJ"
    assert {line.share for line in lines.values()} == {""}


@pytest.mark.parametrize(("rule_set", "tag", "share"), [("eu", "ENERC_kJ", "20 %"), ("us", "ENERC_kcal", "21 %")])
def test_the_share_of_energy_is_of_the_leading_unit(rule_set: str, tag: str, share: str) -> None:
    """1169/2011, Annex XIII: 8400 kJ; 21 CFR 101.9(c)(9): 2000 kcal."""
    line = lines_of(FULL, rule_set)["energy"]
    assert (line.tag, line.share) == (tag, share)


def test_energy_needs_both_figures() -> None:
    per = {"ENERC_kJ": Figure(100, 100, 100, 1.0)}
    assert declaration(eu(), per, per)[0].per_portion == ""
