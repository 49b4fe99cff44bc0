"""Claims edge by edge against the published conditions, and what keeps one from being proven."""

from __future__ import annotations

import pytest
from tests.labelling.claims_make import BASE, claim, holds, of_energy
from tests.labelling.label_make import dish, food, inner_row, one_food, row

from gramwright.model import Quality, Scale

# Regulation (EC) No 1924/2006, Annex: solids per 100 g. (claim, what is changed besides, tag, limit, at most)
SIMPLE_EU = [
    ("low fat", {"FASAT_g": 0.0}, "FAT_g", 3.0, True),
    ("fat free", {"FASAT_g": 0.0}, "FAT_g", 0.5, True),
    ("low sugars", {}, "SUGAR_g", 5.0, True),
    ("sugars free", {}, "SUGAR_g", 0.5, True),
    ("low salt", {}, "NA_mg", 120.0, True),
    ("very low salt", {}, "NA_mg", 40.0, True),
    ("salt free", {}, "NA_mg", 5.0, True),
    ("saturated fat free", {}, "FASAT_g", 0.1, True),
    ("low saturated fat", {"FAT_g": 5.0, "CHOAVL_g": 60.0}, "FASAT_g", 1.5, True),
    ("source of fibre", {"CHOAVL_g": 80.0}, "FIBTG_g", 3.0, False),
    ("high fibre", {"CHOAVL_g": 80.0}, "FIBTG_g", 6.0, False),
    # Annex XIII of 1169/2011: 15 % and 30 % of vitamin C 80 mg, calcium 800 mg, iron 14 mg
    ("source of vitamin C", {}, "VITC_mg", 12.0, False),
    ("high vitamin C", {}, "VITC_mg", 24.0, False),
    ("source of calcium", {}, "CA_mg", 120.0, False),
    ("high iron", {}, "FE_mg", 4.2, False),
]


@pytest.mark.parametrize(("name", "besides", "tag", "limit", "at_most"), SIMPLE_EU)
def test_1924_2006_edge_by_edge(name: str, besides: dict[str, float], tag: str, limit: float, at_most: bool) -> None:
    step = limit * 1e-6
    below, at, above = (holds({**besides, tag: limit + d}, name) for d in (-step, 0.0, step))
    assert (below, at, above) == ((True, True, False) if at_most else (False, True, True))


# 21 CFR 101.54, 101.60 to 101.62 per portion ("less than" fails at the limit); the portion weighs 100 g.
SIMPLE_US: list[tuple[str, dict[str, float], str, float, str]] = [
    ("low fat", {}, "FAT_g", 3.0, "at most"),
    ("fat free", {"FASAT_g": 0.0}, "FAT_g", 0.5, "below"),
    ("low saturated fat", {"CHOCDF_g": 60.0}, "FASAT_g", 1.0, "at most"),
    ("saturated fat free", {}, "FASAT_g", 0.5, "below"),
    ("low sodium", {}, "NA_mg", 140.0, "at most"),
    ("very low sodium", {}, "NA_mg", 35.0, "at most"),
    ("sodium free", {}, "NA_mg", 5.0, "below"),
    ("low cholesterol", {}, "CHOLE_mg", 20.0, "at most"),
    ("cholesterol free", {}, "CHOLE_mg", 2.0, "below"),
    ("sugar free", {}, "SUGAR_g", 0.5, "below"),
    ("source of fibre", {}, "FIBTG_g", 2.8, "at least"),
    ("high fibre", {}, "FIBTG_g", 5.6, "at least"),
    ("source of iron", {}, "FE_mg", 1.8, "at least"),
]

# Food Standards Code, Schedule 4.
SIMPLE_ANZ: list[tuple[str, dict[str, float], str, float, str]] = [
    ("low fat", {}, "FAT_g", 3.0, "at most"),
    ("fat free", {}, "FAT_g", 0.15, "at most"),
    ("low salt", {}, "NA_mg", 120.0, "at most"),
    ("low sugar", {}, "SUGAR_g", 5.0, "at most"),
    ("sugar free", {}, "SUGAR_g", 0.2, "at most"),
    ("good source of fibre", {}, "FIBTG_g", 4.0, "at least"),
    ("excellent source of fibre", {}, "FIBTG_g", 7.0, "at least"),
]


@pytest.mark.parametrize(
    ("rule_set", "name", "besides", "tag", "limit", "how"),
    [("us", *edge) for edge in SIMPLE_US] + [("anz", *edge) for edge in SIMPLE_ANZ],
)
def test_other_laws_edge_by_edge(
    rule_set: str, name: str, besides: dict[str, float], tag: str, limit: float, how: str
) -> None:
    step = limit * 1e-6
    found = tuple(holds({**besides, tag: limit + d}, name, rule_set) for d in (-step, 0.0, step))
    assert (
        found
        == {
            "at most": (True, True, False),
            "below": (True, False, False),
            "at least": (False, True, True),
        }[how]
    )


def test_the_same_words_are_other_limits() -> None:
    """Low fat is 3 g per 100 g in the Union and 3 g a serving in the United States."""
    small = {**BASE, "FAT_g": 5.0}
    portion = dish([row(food("test food", small), 50)])
    assert claim(portion, "low fat").holds is False
    assert claim(portion, "low fat", "us").holds is True


# ---------------------------------------------------------------- shares of energy


@pytest.mark.parametrize(("name", "share"), [("source of protein", 12), ("high protein", 20)])
def test_protein_claims_are_shares_of_energy(name: str, share: float) -> None:
    """1924/2006, Annex: 12 % and 20 % of the energy value from protein, by the factors of 1169/2011, Annex XIV."""
    found = [claim(one_food(of_energy(share + d, 100 - share - d)), name).holds for d in (-0.001, 0.0, 0.001)]
    assert found == [False, True, True]


def test_the_less_favourable_of_kj_and_kcal_counts() -> None:
    """With fat, 17/37 and 4/9 differ: 20.2 % by kJ and 19.8 % by kcal is not proven."""
    finding = claim(one_food({**BASE, "PROCNT_g": 5.55, "FAT_g": 9.9, "CHOAVL_g": 0.0, "FIBTG_g": 0.0}), "high protein")
    kj, kcal = 5.55 * 17 / (5.55 * 17 + 9.9 * 37), 5.55 * 4 / (5.55 * 4 + 9.9 * 9)
    assert kcal < 0.2 < kj
    assert finding.holds is False


def test_low_saturated_fat_needs_both_conditions() -> None:
    """1924/2006: at most 1.5 g per 100 g *and* at most 10 % of energy, trans fat counted in."""
    thin = {**BASE, "FASAT_g": 1.2, "FAT_g": 1.2, "CHOAVL_g": 2.0, "PROCNT_g": 1.0, "FIBTG_g": 0.0}
    finding = claim(one_food(thin), "low saturated fat")
    assert finding.holds is False
    assert "10 %" in finding.because
    assert holds({"FASAT_g": 1.0, "FATRN_g": 0.6, "CHOAVL_g": 80.0}, "low saturated fat") is False


def test_fibre_per_100_kcal_is_enough() -> None:
    """1924/2006: 3 g per 100 kcal allows 'high fibre' where 100 g holds less than 6 g."""
    greens = {"PROCNT_g": 1.0, "FAT_g": 0.0, "CHOAVL_g": 3.0, "CHOCDF_g": 5.5, "FIBTG_g": 2.5}
    finding = claim(one_food(greens), "high fibre")
    assert finding.holds is True
    assert finding.because == "11.9 g of fibre per 100 kcal; 3 g needed"


@pytest.mark.parametrize(("share", "expected"), [(0.449, False), (0.45, True), (0.6, True)])
def test_monounsaturated_fat(share: float, expected: bool) -> None:
    """Regulation (EU) No 116/2010: at least 45 % of the fatty acids, and more than 20 % of energy."""
    oil = {**BASE, "FAT_g": 50.0, "FAMS_g": 40 * share, "FASAT_g": 40 * (1 - share) / 2, "FAPU_g": 40 * (1 - share) / 2}
    assert claim(one_food(oil), "high monounsaturated fat").holds is expected


# ---------------------------------------------------------------- fail closed


def test_at_most_needs_every_value() -> None:
    known, gap = food("known", {**BASE, "FAT_g": 1.0}), food("secret paste", {"PROCNT_g": 1.0})
    finding = claim(dish([row(known, 100), row(gap, 1)]), "low fat")
    assert finding.holds is None
    assert finding.because == "the fat of secret paste is not known"


def test_what_is_known_can_break_a_claim_all_the_same() -> None:
    rich, gap = food("rich", {**BASE, "FAT_g": 40.0}), food("gap", {"PROCNT_g": 1.0})
    assert claim(dish([row(rich, 100), row(gap, 100)]), "low fat").holds is False


def test_at_least_may_be_met_by_what_is_known() -> None:
    bran, gap = food("bran", {**BASE, "FIBTG_g": 40.0}), food("gap", {"PROCNT_g": 1.0})
    assert claim(dish([row(bran, 100), row(gap, 100)]), "high fibre").holds is True
    assert claim(dish([row(bran, 10), row(gap, 190)]), "high fibre").holds is None


def test_shares_of_energy_need_the_whole_energy() -> None:
    meat, gap = food("meat", {**BASE, "PROCNT_g": 60.0}), food("gap", {"PROCNT_g": 1.0})
    finding = claim(dish([row(meat, 100), row(gap, 10)]), "high protein")
    assert finding.holds is None
    assert finding.because == "the energy of gap is not known"


def test_a_component_known_for_no_row() -> None:
    finding = claim(one_food({"PROCNT_g": 1.0}), "low sugars")
    assert finding.holds is None
    assert "not known" in finding.because


def test_per_100_g_needs_the_finished_weight() -> None:
    """Claims speak of the food ready for consumption: without its weight nothing per 100 g is proven, or disproven."""
    finding = claim(one_food({**BASE, "FAT_g": 1.0}, yield_factor=None), "low fat")
    assert finding.holds is None
    assert "finished weight" in finding.because
    assert holds({"FAT_g": 3.2}, "low fat", yield_factor=None) is None
    # Shares of energy and portions do not ask for it.
    assert claim(one_food(of_energy(30, 70), yield_factor=None), "high protein").holds is True


def test_what_is_added_to_taste_must_fit_too() -> None:
    salt = food("salt", {"NA_mg": 38758.0, "FAT_g": 0.0}, group="salt", kinds=("mineral",))
    pepper = food("pepper", {"NA_mg": 20.0, "FAT_g": 3.3}, group="herbs-and-spices")
    plain = row(food("plain", {**BASE, "NA_mg": 30.0, "FAT_g": 1.0}), 100)
    assert claim(dish([plain, row(salt, 0, scale=Scale.TASTE)]), "low salt").holds is None
    assert claim(dish([plain, row(salt, 0, scale=Scale.TASTE)]), "low fat").holds is True
    assert claim(dish([plain, row(pepper, 0, scale=Scale.TASTE)]), "low salt").holds is True
    assert claim(dish([plain, row(food("mix", {}), 0, scale=Scale.TASTE)]), "low salt").holds is None


def test_optional_rows_are_left_out() -> None:
    rich = row(food("rich", {**BASE, "FAT_g": 80.0}), 50, optional=True)
    assert claim(dish([row(food("lean", {**BASE, "FAT_g": 1.0}), 100), rich]), "low fat").holds is True


def test_a_gap_inside_a_sub_recipe_counts() -> None:
    inner = dish([row(food("lean", {**BASE, "FAT_g": 1.0}), 100), row(food("gap", {"PROCNT_g": 1.0}), 5)], slug="inner")
    finding = claim(dish([inner_row(inner, 50), row(food("more", {**BASE, "FAT_g": 1.0}), 100)]), "low fat")
    assert finding.holds is None
    assert "Plain dish" in finding.because


@pytest.mark.parametrize("name", ["light", "reduced fat", "energy reduced", "increased protein"])
def test_comparisons_cannot_be_shown_by_one_recipe(name: str) -> None:
    assert holds({}, name) is None


def test_what_the_annex_does_not_list_is_not_allowed() -> None:
    """1924/2006, Article 8(1)."""
    assert holds({}, "low carbohydrate") is False


# ---------------------------------------------------------------- drinks, main dishes


@pytest.mark.parametrize(("fat", "expected"), [(1.2, True), (1.5, None), (1.7, False), (2.5, False)])
def test_drinks_have_limits_per_100_ml(fat: float, expected: bool | None) -> None:
    """1924/2006: low fat is 1.5 g per 100 ml of a drink; with its density not known, nothing is proven at the limit."""
    assert holds({"FAT_g": fat, "FASAT_g": 0.0}, "low fat", meals=("drink",)) is expected
    assert holds({"FAT_g": fat, "FASAT_g": 0.0}, "low fat") is True


def test_energy_free_is_for_drinks() -> None:
    water = dict.fromkeys(BASE, 0.0)
    assert claim(one_food(water), "energy free").holds is False
    assert claim(one_food(water, tags=("Drink",)), "energy free").holds is True


def test_a_main_dish_is_weighed_per_100_g_in_the_united_states() -> None:
    """21 CFR 101.62(b)(3): at most 3 g of fat per 100 g and 30 % of calories; from 6 ounces a serving (101.13(m))."""
    lean = food("lean", {**BASE, "FAT_g": 2.5, "CHOCDF_g": 30.0})
    assert claim(dish([row(lean, 400)]), "low fat", "us").holds is True
    assert claim(dish([row(lean, 150)]), "low fat", "us").holds is False
    oily = food("oily", {**BASE, "FAT_g": 2.5, "CHOCDF_g": 5.0, "PROCNT_g": 5.0})
    assert claim(dish([row(oily, 400)]), "low fat", "us").holds is False  # 36 % of calories


def test_protein_quality_is_not_in_the_tables() -> None:
    """21 CFR 101.9(c)(7): protein claims count digestibility (from memory): never proven here."""
    assert holds({"PROCNT_g": 40.0}, "high protein", "us") is None
    assert holds({"PROCNT_g": 1.0}, "high protein", "us") is False


# ---------------------------------------------------------------- rows


def test_no_added_sugars_needs_proof_from_every_row() -> None:
    oats = row(food("oats", BASE), 50)
    white = food("white sugar", {**BASE, "SUGAR_g": 99.8}, group="sugars-and-syrups")
    sugar = row(white, 1)
    honey = row(food("honey", {**BASE, "SUGAR_g": 82.0}, group="unsorted", kinds=("honey",)), 1)
    yoghurt = row(food("bought yoghurt", BASE, group="milk-and-yoghurt", quality=Quality.DECLARED), 50)
    sweetened = row(food("sweetened milk", BASE, group="milk-and-yoghurt"), 50)
    dates = row(food("dates", BASE, group="dried-fruit"), 20)
    erythritol = row(food("erythritol", {**BASE, "SUGAR_g": 0.0}, group="sweeteners"), 5)
    declared = row(food("plain yoghurt", {**BASE, "SUGAD_g": 0.0}, group="x", quality=Quality.DECLARED), 50)
    assert claim(dish([oats]), "no added sugars").holds is True
    assert claim(dish([oats, erythritol, declared]), "no added sugars").holds is True
    assert claim(dish([oats, sugar]), "no added sugars").holds is False
    assert claim(dish([oats, honey]), "no added sugars").holds is False
    assert claim(dish([oats, yoghurt]), "no added sugars").holds is None
    assert claim(dish([oats, sweetened]), "no added sugars").holds is None
    assert claim(dish([oats, dates]), "no added sugars").holds is None
    assert claim(dish([oats, row(white, 0, scale=Scale.TASTE)]), "no added sugars").holds is False
    inner = dish([oats, sugar], slug="inner")
    assert claim(dish([oats, inner_row(inner, 10)]), "no added sugars").holds is False


def test_no_added_salt_needs_proof_from_every_row() -> None:
    oats = row(food("oats", {**BASE, "NA_mg": 4.0}), 50)
    salt = row(food("salt", {"NA_mg": 38758.0}, group="salt"), 0, scale=Scale.TASTE)
    sauce = row(food("soy sauce", {**BASE, "NA_mg": 5500.0}, group="sauces-and-dips"), 1)
    canned = row(food("canned beans", {**BASE, "NA_mg": 100.0}, group="pulses"), 50)
    eggs = row(food("egg", {**BASE, "NA_mg": 140.0}, group="eggs"), 10)
    gap = row(food("gap", {"PROCNT_g": 1.0}), 1)
    assert claim(dish([oats, eggs]), "no added salt").holds is True
    assert claim(dish([oats, salt]), "no added salt").holds is False
    assert claim(dish([oats, sauce]), "no added salt").holds is False
    assert claim(dish([oats, canned]), "no added salt").holds is None
    assert claim(dish([oats, gap]), "no added salt").holds is None
