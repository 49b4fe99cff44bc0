"""The shipped rule sets against the published figures, and the reader against broken ones."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from gramwright.labelling import rulesets
from gramwright.labelling.rules_model import Checked, RuleSet, When
from gramwright.labelling.ruleset_reader import read_rules
from gramwright.labelling.shipped_data import read_yaml
from gramwright.problems import Trouble

ALL = rulesets.available()


def test_six_rule_sets_ship() -> None:
    assert ALL == ("anz", "codex", "eu", "uk", "us", "za")


@pytest.mark.parametrize(("wrong", "near"), [("euu", "eu"), ("USA", "us"), ("anzs", "anz"), ("kodex", "codex")])
def test_an_unknown_rule_set_names_the_nearest(wrong: str, near: str) -> None:
    with pytest.raises(Trouble) as caught:
        rulesets.load(wrong)
    assert caught.value.code == "unknown-rule-set"
    assert near in caught.value.hint


def test_a_rule_set_is_read_once() -> None:
    assert rulesets.load("eu") is rulesets.load("eu")


def factors(rules: RuleSet, unit: str) -> dict[str, float]:
    return {term.key: getattr(term, unit) for term in rules.energy.terms}


def test_annex_xiv() -> None:
    """Regulation (EU) No 1169/2011, Annex XIV: conversion factors, kJ/g and kcal/g."""
    annex = {
        "carbohydrate": (17, 4),
        "polyols": (10, 2.4),
        "protein": (17, 4),
        "fat": (37, 9),
        "salatrims": (25, 6),
        "alcohol": (29, 7),
        "acids": (13, 3),
        "fibre": (8, 2),
        "erythritol": (0, 0),
    }
    for rules in (rulesets.load("eu"), rulesets.load("uk")):
        assert factors(rules, "kj") == {key: kj for key, (kj, _) in annex.items()}
        assert factors(rules, "kcal") == {key: kcal for key, (_, kcal) in annex.items()}


def test_weights_are_the_terms_multiplied_out() -> None:
    """Carbohydrate includes polyols and polyols include erythritol (Annex I), so their terms give and take."""
    weights = rulesets.load("eu").energy.weights_kj
    assert weights == {
        "PROCNT_g": 17,
        "CHOAVL_g": 17,
        "POLYL_g": -7,
        "FAT_g": 37,
        "SALATRIM_g": -12,
        "FIBTG_g": 8,
        "ALC_g": 29,
        "ERYTHL_g": -10,
        "OA_g": 13,
    }
    assert rulesets.load("eu").energy.required == ("PROCNT_g", "CHOAVL_g", "FAT_g", "FIBTG_g")


def test_annex_xiii_part_b() -> None:
    """Regulation (EU) No 1169/2011, Annex XIII Part B: reference intakes; kJ and kcal are two literals."""
    reference = rulesets.load("eu").reference
    part_b = {
        "ENERC_kJ": 8400,
        "ENERC_kcal": 2000,
        "FAT_g": 70,
        "FASAT_g": 20,
        "CHOAVL_g": 260,
        "SUGAR_g": 90,
        "PROCNT_g": 50,
        "SALT_g": 6,
    }
    assert {tag: reference[tag] for tag in part_b} == part_b
    assert "FIBTG_g" not in reference  # Annex XIII has none for fibre


def test_annex_xiii_part_a() -> None:
    """Annex XIII Part A, point 1: daily reference intakes of vitamins and minerals."""
    part_a = {
        "VITA_ug": 800, "VITD_ug": 5, "VITE_mg": 12, "VITK_ug": 75, "VITC_mg": 80, "THIA_mg": 1.1, "RIBF_mg": 1.4,
        "NIA_mg": 16, "VITB6A_mg": 1.4, "FOL_ug": 200, "VITB12_ug": 2.5, "BIOT_ug": 50, "PANTAC_mg": 6, "K_mg": 2000,
        "CLD_mg": 800, "CA_mg": 800, "P_mg": 700, "MG_mg": 375, "FE_mg": 14, "ZN_mg": 10, "CU_mg": 1, "MN_mg": 2,
        "FD_mg": 3.5, "SE_ug": 55, "CR_ug": 40, "MO_ug": 50, "ID_ug": 150,
    }  # fmt: skip
    rules = rulesets.load("eu")
    assert {tag: rules.reference[tag] for tag in part_a} == part_a
    assert rules.significance is not None
    assert rules.significance.share == 0.15


def test_order_of_the_declaration() -> None:
    """Annex XV of 1169/2011; Schedule 12 of the Food Standards Code (protein before fat, sodium, not salt)."""
    mandatory = [line.key for line in rulesets.load("eu").lines if line.when is When.ALWAYS]
    assert mandatory == ["energy", "fat", "saturates", "carbohydrate", "sugars", "protein", "salt"]
    anz = [line.key for line in rulesets.load("anz").lines if line.when is When.ALWAYS]
    assert anz == ["energy", "protein", "fat", "saturates", "carbohydrate", "sugars", "sodium"]


def test_lines_of_the_united_states() -> None:
    """FDA: the lines that must be declared since the rule of 2016."""
    keys = {line.key for line in rulesets.load("us").lines if line.when is When.ALWAYS}
    assert keys == {
        "energy", "fat", "saturates", "trans", "cholesterol", "sodium", "carbohydrate", "fibre", "sugars",
        "added_sugars", "protein", "vitamin_d", "calcium", "iron", "potassium",
    }  # fmt: skip


def test_daily_values_are_the_present_ones() -> None:
    """21 CFR 101.9(c)(8)(iv) and (c)(9), rule of 2016 - not those of 1993 (fat 65, fibre 25, sodium 2400)."""
    reference = rulesets.load("us").reference
    expected = {
        "FAT_g": 78, "FASAT_g": 20, "CHOLE_mg": 300, "CHOCDF_g": 275, "FIBTG_g": 28, "SUGAD_g": 50, "PROCNT_g": 50,
        "NA_mg": 2300, "K_mg": 4700, "CA_mg": 1300, "FE_mg": 18, "VITD_ug": 20,
    }  # fmt: skip
    assert {tag: reference[tag] for tag in expected} == expected
    assert "SUGAR_g" not in reference
    assert "FATRN_g" not in reference


def test_daily_intakes_of_australia_and_new_zealand() -> None:
    """Food Standards Code, section 1.2.8-8."""
    assert rulesets.load("anz").reference == {
        "ENERC_kJ": 8700, "PROCNT_g": 50, "FAT_g": 70, "FASAT_g": 24, "CHOAVL_g": 310, "SUGAR_g": 90, "FIBTG_g": 30,
        "NA_mg": 2300,
    }  # fmt: skip


def test_calories_of_australia_are_kilojoules_by_418() -> None:
    """Food Standards Code, section S11-2(4)."""
    rules = rulesets.load("anz")
    for term in rules.energy.terms:
        assert term.kcal == pytest.approx(term.kj / 4.18, rel=1e-12)


def test_what_each_law_calls_carbohydrate_and_salt() -> None:
    """CHOCDF (by difference, with fibre) in the United States only; salt in the Union, sodium elsewhere."""
    carbohydrate = {name: rulesets.load(name).carbohydrate for name in ALL}
    assert carbohydrate == {**dict.fromkeys(ALL, "CHOAVL_g"), "us": "CHOCDF_g"}
    salt = {name: rulesets.load(name).salt for name in ALL}
    assert salt == {**dict.fromkeys(ALL, "NA_mg"), "eu": "SALT_g", "uk": "SALT_g"}
    for name in ALL:
        tags = [line.tag for line in rulesets.load(name).lines]
        assert carbohydrate[name] in tags
        assert salt[name] in tags


def test_leftovers_differ_by_law() -> None:
    """UK Food Standards Agency: two days; USDA FSIS: three to four. Absent where no figure is known."""
    uk, us = rulesets.load("uk").leftovers, rulesets.load("us").leftovers
    assert (uk["fridge_days"].low, uk["fridge_days"].high) == (2, 2)
    assert (us["fridge_days"].low, us["fridge_days"].high) == (3, 4)
    assert us["reheat_c"].low == 74
    assert rulesets.load("za").leftovers == {}


def test_figures_that_are_not_known_are_absent() -> None:
    """South Africa's nutrient reference values (R146, Annexure 3) and claims: not shipped from memory."""
    rules = rulesets.load("za")
    assert rules.reference == {}
    assert rules.claims == {}


@pytest.mark.parametrize("name", ALL)
def test_notes_repeat_everything_that_was_not_read(name: str) -> None:
    rules = rulesets.load(name)
    for source in rules.sources:
        told = [note for note in rules.notes if source.cite in note and source.what in note]
        assert bool(told) is (source.checked is not Checked.READ), source
    assert any(note.startswith("From memory") for note in rules.notes)


@pytest.mark.parametrize("name", ALL)
def test_every_source_is_used(name: str) -> None:
    base = read_yaml(f"labelling/{name}.yaml").get("based_on")
    text = repr(read_yaml(f"labelling/{name}.yaml")) + (repr(read_yaml(f"labelling/{base}.yaml")) if base else "")
    unused = [key for key in read_yaml(f"labelling/{name}.yaml")["sources"] if f"'source': '{key}'" not in text]
    assert unused in ([], ["uk-law"])


# ---------------------------------------------------------------- broken files


def broken(change: Callable[[dict[str, Any]], None]) -> str:
    data = copy.deepcopy(read_yaml("labelling/eu.yaml"))
    change(data)
    with pytest.raises(Trouble) as caught:
        read_rules(data, "eu")
    assert caught.value.code == "bad-rule-set"
    return caught.value.message


def change_first(block: str, key: str, value: object) -> Callable[[dict[str, Any]], None]:
    def change(data: dict[str, Any]) -> None:
        data[block][0][key] = value

    return change


def test_broken_rule_sets_say_where() -> None:
    assert "eu.lines[1].when" in broken(change_first("lines", "when", "sometimes"))
    assert "source" in broken(change_first("lines", "source", "hearsay"))
    assert "claims[1]" in broken(change_first("claims", "unless", "x"))
    assert "claims[1].all[1]" in broken(change_first("claims", "all", [{"of": "FAT_g", "per": "100 g"}]))
    assert "per" in broken(change_first("claims", "all", [{"of": "FAT_g", "per": "day", "at_most": 3}]))
    assert "weaker" in broken(change_first("claims", "weaker", ["no such claim"]))
    assert "columns" in broken(lambda data: data.update(columns=["per_pack"]))
    assert "primary" in broken(lambda data: data["energy"].update(primary="cal"))
    assert "terms" in broken(lambda data: data["energy"].update(terms=data["energy"]["terms"][3:]))
    assert "number" in broken(lambda data: data["energy"]["terms"][0].update(kJ="17"))
    assert "rounding" in broken(lambda data: data["rounding"].pop("salt") and data["rounding"]["grams"]["for"].pop())
    assert "surprise" in broken(lambda data: data.update(surprise=1))
    assert "mapping" in broken(lambda data: data.update(energy=3))


def test_conversions_must_be_written_in_full() -> None:
    assert "kcal_is" in broken(lambda data: data["energy"].update(kcal_is="kJ : 4.18", source="annex-xiv"))
