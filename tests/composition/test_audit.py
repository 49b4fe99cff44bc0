"""Each check on foods of invented figures. What a check holds against is named beside it."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.composition.audit_make import PLAIN, TODAY, codes, findings, table

from gramwright.composition.audit import CHECKS, audit, thresholds
from gramwright.composition.audit.explained import read_explained, sort_out
from gramwright.problems import ProblemLog
from gramwright.reading.energy_parts import load_factors
from gramwright.reading.shipped import read_shipped


def test_foods_whose_figures_agree_are_no_finding() -> None:
    assert codes({}, {"ENERC_kJ": "1390"}, {"FIBTG_g": "12.5"}) == []


# ---------------------------------------------------------------- energy, by Annex XIV of Regulation (EU) 1169/2011


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"ENERC_kJ": "335"}, "energy-mismatch"),  # kcal in the kJ column
        ({"ENERC_kJ": "5860"}, "energy-mismatch"),
        ({"ENERC_kJ": "0"}, "zero-energy"),
        ({"ENERC_kJ": "1610"}, None),  # 15 % off: within the tolerance, publishers have factors of their own
        ({"ENERC_kJ": "1750"}, "energy-mismatch"),
        ({"ENERC_kJ": ""}, None),  # not known is no finding
        ({"CHOAVL_g": "", "SUGAR_g": "", "STARCH_g": ""}, None),  # incomplete: may be more than the known parts
        ({"CHOAVL_g": "", "SUGAR_g": "", "STARCH_g": "", "ENERC_kJ": "400"}, "energy-mismatch"),  # less is not
    ],
)
def test_energy_is_held_against_its_parts(change: dict[str, str], code: str | None) -> None:
    found = {one for _, one in codes(change)} & {"energy-mismatch", "zero-energy"}
    assert found == (set() if code is None else {code})


BARE = {name: "0" for name in PLAIN if name.endswith("_g") and name != "ASH_g"} | {"ASH_g": ""}


@pytest.mark.parametrize(
    ("change", "kj"),
    [
        ({"PROCNT_g": "50", "WATER_g": "50"}, 17 * 50),
        ({"FAT_g": "50", "WATER_g": "50"}, 37 * 50),
        ({"CHOAVL_g": "50", "WATER_g": "50"}, 17 * 50),
        ({"CHOAVL_g": "50", "POLYL_g": "50", "WATER_g": "50"}, 10 * 50),
        ({"CHOAVL_g": "99", "POLYL_g": "99", "ERYTHL_g": "99"}, 0),
        ({"ALC_g": "40", "WATER_g": "60"}, 29 * 40),
        ({"OA_g": "50", "WATER_g": "50"}, 13 * 50),
        ({"FIBTG_g": "80", "WATER_g": "20"}, 8 * 80),
        ({"CHOCDF_g": "50", "CHOAVL_g": "", "FIBTG_g": "", "WATER_g": "50"}, 17 * 50),
    ],
)
def test_every_part_counts_with_its_own_factor(change: dict[str, str], kj: float) -> None:
    right = {**BARE, **change, "ENERC_kJ": f"{kj:g}", "group": ""}
    wrong = {**right, "ENERC_kJ": f"{kj + 400:g}"}
    assert codes(right) == []
    assert [code for _, code in codes(wrong)] == ["energy-mismatch"]


def test_a_total_carbohydrate_may_all_be_fibre() -> None:
    total = {**BARE, "CHOCDF_g": "50", "CHOAVL_g": "", "FIBTG_g": "", "WATER_g": "50", "group": ""}
    assert codes({**total, "ENERC_kJ": "400"}) == []  # 8 kJ/g
    assert [code for _, code in codes({**total, "ENERC_kJ": "250"})] == ["energy-mismatch"]


def test_the_factors_are_those_of_the_eu_rule_set() -> None:
    terms = read_shipped("labelling/eu.yaml")["energy"]["terms"]
    ours = load_factors().kj
    assert {term["add"]: term["kJ"] for term in terms if term["add"] in ours} == dict(ours)


# ---------------------------------------------------------------- sums and parts


def test_parts_above_a_hundred_grams() -> None:
    assert codes({"WATER_g": "13.1", "group": ""}) == [("food-0", "parts-over-100")]
    assert codes({"WATER_g": "11.9", "group": ""}) == []


def test_parts_well_below_a_hundred_grams_where_all_are_known() -> None:
    assert codes({"WATER_g": "3.9", "group": ""}) == [("food-0", "parts-under-100")]
    assert codes({"WATER_g": "3.9", "group": "", "ASH_g": ""}) == []


def test_salt_whose_sodium_is_in_grams() -> None:
    """Table salt has 38,758 mg of sodium in 100 g (USDA SR28, 02047); its other parts are nothing."""
    columns = "ENERC_kJ PROCNT_g FAT_g FASAT_g FAMS_g FAPU_g CHOAVL_g SUGAR_g STARCH_g FIBTG_g"
    nothing = dict.fromkeys(columns.split(), "0")
    salt = {**nothing, "group": "salt", "WATER_g": "0.2", "ASH_g": "", "K_mg": "8"}
    slip, right, unknown = (codes({**salt, "NA_mg": sodium}) for sodium in ("38.758", "38758", ""))
    assert slip == [("food-0", "parts-under-100")]
    assert right == unknown == []
    assert codes({**salt, "NA_mg": "27360"}) == []  # bicarbonate of soda (USDA SR28, 18372): carbon and oxygen too


@pytest.mark.parametrize(
    "change",
    [
        {"FASAT_g": "4"},
        {"FAMS_g": "1.9"},  # 0.4 + 1.9 + 0.8 above 2: the fatty acids together
        {"FATRN_g": "2.7"},
        {"SUGAR_g": "55", "STARCH_g": ""},
        {"STARCH_g": "60"},
        {"SUGAR_g": "20"},  # 20 + 44 above 50
        {"POLYL_g": "2", "ERYTHL_g": "4"},
        {"SUGAD_g": "9"},
    ],
)
def test_parts_above_their_whole(change: dict[str, str]) -> None:
    found = findings({**change, "group": "", "ENERC_kJ": ""})
    assert [finding.code for finding in found] == ["child-above-parent"]
    assert next(iter(change)) in found[0].message


# ---------------------------------------------------------------- absurd figures, units


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"NA_mg": "60000"}, "absurd-value"),  # pure salt holds 39,300 mg
        ({"ENERC_kJ": "9000"}, "absurd-value"),  # pure fat holds 3,700 kJ
        ({"PROCNT_g": "220"}, "absurd-value"),
        ({"density_g_ml": "10"}, "bad-density"),
        ({"density_g_ml": "0.025"}, "bad-density"),
        ({"refuse_pct": "97"}, "bad-refuse"),
    ],
)
def test_figures_that_no_food_can_have(change: dict[str, str], code: str) -> None:
    assert code in {one for _, one in codes({**change, "group": ""})}


def test_a_food_a_thousand_times_off_its_group() -> None:
    group = [{"NA_mg": str(8 + at)} for at in range(9)]
    assert codes(*group, {"NA_mg": "12000"}) == [("food-9", "unit-slip")]
    assert codes(*group, {"NA_mg": "120"}) == []


def test_a_whole_column_in_another_unit_is_told_once() -> None:
    found = findings(*({"NA_mg": f"0.0{at + 10}"} for at in range(9)))
    assert [(one.food, one.code) for one in found] == [("column", "unit-slip")]
    assert "NA_mg" in found[0].name


def test_one_group_in_another_unit_is_told_once() -> None:
    right = [{"group": "fish", "K_mg": str(300 + at)} for at in range(12)]
    wrong = [{"group": "pulses", "K_mg": f"0.{at + 30}"} for at in range(7)]
    assert codes(*right, *wrong) == [("group:pulses", "unit-slip")]


# ---------------------------------------------------------------- outliers


def test_a_food_far_from_its_group_whose_energy_does_not_bear_it_out() -> None:
    group = [{"PROCNT_g": f"{20 + at / 4}"} for at in range(9)]
    found = codes(*group, {"PROCNT_g": "2.2"})
    assert ("food-9", "outlier") in found
    assert {food for food, _ in found} == {"food-9"}


def test_a_food_unlike_its_group_whose_figures_agree_is_no_finding() -> None:
    dried = {"WATER_g": "87", "PROCNT_g": "3", "CHOAVL_g": "7", "FIBTG_g": "1", "FAT_g": "0.2", "ASH_g": "1"}
    thin = {**dried, "FASAT_g": "", "FAMS_g": "", "FAPU_g": "", "SUGAR_g": "1", "STARCH_g": "", "ENERC_kJ": "185"}
    assert codes(*({"PROCNT_g": f"{20 + at / 4}"} for at in range(9)), thin) == []


def test_small_groups_say_nothing_of_outliers() -> None:
    assert ("food-3", "outlier") not in codes({}, {}, {}, {"PROCNT_g": "2.2"})


# ---------------------------------------------------------------- names and sources


def test_two_foods_of_one_name_and_state() -> None:
    assert codes({"name": "Split peas"}, {"name": "split pea"}) == [("food-1", "duplicate-name")]
    assert codes({"name": "Split peas", "state": "dry"}, {"name": "Split peas", "state": "boiled"}) == []


def test_two_foods_with_the_same_figures() -> None:
    assert codes({"K_mg": "5"}, {"K_mg": "5", "source_ref": "2"}) == [("food-1", "same-figures")]
    assert codes({"K_mg": "5"}, {"K_mg": "5"}) == []  # both say that they are line 1 of the same source


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"source": ""}, ["no-source"]),
        ({"source_ref": ""}, ["no-source-ref"]),
        ({"source_ref": "", "quality": "declared", "updated": "2025-06-01"}, []),
        ({"quality": "declared", "updated": ""}, ["no-date"]),
        ({"quality": "declared", "updated": "2023-06-01"}, ["old-date"]),
        ({"updated": "1990-06-01"}, ["old-date"]),
    ],
)
def test_sources_and_dates(change: dict[str, str], expected: list[str]) -> None:
    assert [code for _, code in codes(change)] == expected


# ---------------------------------------------------------------- ranking, explanations


def test_findings_are_ranked_by_what_they_could_move() -> None:
    found = findings({"ENERC_kJ": "0"}, {"source": ""}, {"ENERC_kJ": "1750"}, {"FASAT_g": "9"})
    assert [one.weight for one in found] == sorted((one.weight for one in found), reverse=True)
    # 7 g of saturates too many are a third of a day's 20 g, 1402 kJ a sixth of 8400 (Annex XIII)
    assert [one.code for one in found][:2] == ["child-above-parent", "zero-energy"]
    zero = next(one for one in found if one.code == "zero-energy")
    assert zero.weight == pytest.approx(100 * 1402 / 8400, abs=0.1)


def test_every_finding_says_what_was_expected_and_found_and_a_way_out() -> None:
    for finding in findings({"ENERC_kJ": "0"}, {"source": ""}, {"FASAT_g": "9"}, {"WATER_g": "90"}, {"NA_mg": "99999"}):
        assert "expected" in finding.message
        assert "found" in finding.message
        assert finding.hint
        assert finding.place.file == "foods/made.csv"
        assert finding.place.line > 1
        assert finding.as_problem().severity == "warning"


def test_an_explained_finding_is_closed_and_an_unneeded_explanation_told() -> None:
    log = ProblemLog()
    text = "food,code,reason,source\nfood-0,zero-energy,it is so,me\nfood-0,outlier,it is so,me\n"
    explanations = read_explained(text, "explained.csv", log)
    assert not list(log)
    done = sort_out(findings({"ENERC_kJ": "0"}, {"source": ""}), explanations)
    assert [(one.food, one.code) for one in done.open] == [("food-1", "no-source")]
    assert [why.place.line for _, why in done.explained] == [2]
    assert [(one.code, one.place.line) for one in done.unneeded] == [("outlier", 3)]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "no-header"),
        ("food,code,reason\na,b,c\n", "wrong-header"),
        ("food,code,reason,source\na,zero-energy,,me\n", "missing-cell"),
        ("food,code,reason,source\na,b,c,d\na,b,e,f\n", "duplicate-explanation"),
        ("food,code,reason,source\na,b,c\n", "too-few-cells"),
    ],
)
def test_a_broken_explanation_is_a_located_problem(text: str, code: str) -> None:
    log = ProblemLog()
    read_explained(text, "explained.csv", log)
    assert [problem.code for problem in log] == [code]


# ---------------------------------------------------------------- any table


@given(
    st.lists(
        st.dictionaries(
            st.sampled_from(["ENERC_kJ", "WATER_g", "PROCNT_g", "FAT_g", "FASAT_g", "CHOAVL_g", "SUGAR_g", "NA_mg"]),
            st.sampled_from(["", "0", "tr", "<0.5", "(3)", "12", "99.9", "4000", "0.001"]),
        ),
        max_size=14,
    )
)
@settings(max_examples=60, deadline=None)
def test_any_table_is_audited_and_gives_the_same_in_any_order(changes: list[dict[str, str]]) -> None:
    foods = table(*changes) if changes else []
    found = audit(foods, TODAY)
    assert audit(foods, TODAY) == found
    energies = {
        (one.food, one.code, one.weight) for one in found if one.code in ("energy-mismatch", "child-above-parent")
    }
    again = audit(list(reversed(foods)), TODAY)
    assert energies == {
        (one.food, one.code, one.weight) for one in again if one.code in ("energy-mismatch", "child-above-parent")
    }


def test_an_empty_table_has_no_findings_and_every_check_runs() -> None:
    assert audit([], date(2025, 1, 1)) == []
    assert len(CHECKS) == 7
    assert thresholds.load().reference["ENERC_kJ"] == 8400  # Annex XIII part B
