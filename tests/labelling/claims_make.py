"""Dishes made for one claim: a base that meets none, and the judge over it."""

from __future__ import annotations

from collections.abc import Mapping

from tests.labelling.label_make import energy_of, one_food

from gramwright.labelling import rulesets
from gramwright.labelling.claims import Judge
from gramwright.labelling.rulesets import RuleSet
from gramwright.model import ClaimFinding, Dish

BASE = {
    "PROCNT_g": 5.0, "FAT_g": 5.0, "FASAT_g": 2.0, "FAMS_g": 1.5, "FAPU_g": 1.0, "FATRN_g": 0.0, "CHOAVL_g": 20.0,
    "CHOCDF_g": 22.0, "SUGAR_g": 10.0, "FIBTG_g": 2.0, "NA_mg": 300.0, "CHOLE_mg": 30.0,
}  # fmt: skip
"""A dish that meets no claim: the one condition under test is changed."""


def judge(found: Dish, rules: RuleSet) -> Judge:
    return Judge(found, rules, energy_of(found, rules))


def claim(found: Dish, name: str, rule_set: str = "eu") -> ClaimFinding:
    rules = rulesets.load(rule_set)
    return judge(found, rules).find(rules.claims[name], asked=True)


def holds(values: Mapping[str, float], name: str, rule_set: str = "eu", **changes: object) -> bool | None:
    return claim(one_food({**BASE, **values}, **changes), name, rule_set).holds


def of_energy(protein: float, carbohydrate: float) -> dict[str, float]:
    return {**BASE, "PROCNT_g": protein, "CHOAVL_g": carbohydrate, "FAT_g": 0.0, "FASAT_g": 0.0, "FIBTG_g": 0.0}
