"""The shipped household measures: their foods, their names, their grams against USDA SR28 and kitchen practice."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from pathlib import Path

import pytest
from tests.content.plain_tables import CONTENT, food, foods, grams, measures, rows

CUSTOMARY_ML = {"tsp": 4.92892159375, "tbsp": 14.78676478125, "fl oz": 29.5735295625, "cup": 236.5882365}
"""US customary volumes (NIST Handbook 44, Appendix C)."""

PRACTICE = "common practice"


def test_there_are_enough_measures() -> None:
    assert len(measures()) >= 800
    assert (CONTENT / "measures" / "household.csv").read_text(encoding="utf-8").startswith("# ")


def test_measures_belong_to_foods_and_stand_once() -> None:
    ids = {line["food"] for line in foods()}
    assert not {line["food"] for line in measures()} - ids
    repeated = Counter((line["food"], line["measure"]) for line in measures())
    assert not [pair for pair, count in repeated.items() if count > 1]


def test_measures_have_grams_and_a_source_and_are_no_units() -> None:
    for line in measures():
        assert float(line["grams"]) > 0, line
        assert re.fullmatch(r"[a-zé]+( [a-zé]+)*", line["measure"]), line
        assert line["measure"].split()[0] not in ("oz", "lb", "g", "kg", "ml", "serving"), line
        ref = food(line["food"])["source_ref"]
        assert PRACTICE in line["source"] or line["source"].startswith("USDA SR28 "), line
        if line["source"].startswith(f"USDA SR28 {ref} "):
            continue
        assert PRACTICE in line["source"] or "plain yoghurt" in line["source"], line


def test_kitchen_practice() -> None:
    """Egg white about 30 g, scoop about 30 g: common practice, no source."""
    assert grams("egg-white-raw", "each") == 30
    assert grams("protein-powder-whey", "scoop") == 30


@pytest.mark.parametrize(
    ("food_id", "measure", "weight"),
    [
        ("egg-whole-raw", "each", 50),
        ("egg-whole-raw", "large", 50),
        ("egg-white-raw", "large", 33),
        ("egg-yolk-raw", "each", 17),
        ("carrot-raw", "medium", 61),
        ("garlic-raw", "clove", 3),
        ("onion-raw", "each", 110),
        ("olive-oil", "tbsp", 13.5),
        ("tomato-cherry-raw", "each", 17),
        ("sugar-white", "cup", 200),
        ("bread-wholemeal", "slice", 32),
    ],
)
def test_measures_of_usda_sr28(food_id: str, measure: str, weight: float) -> None:
    """USDA SR28 household weights: 01123 large 50 g, 01124 large 33 g, 11124 medium 61 g ..."""
    assert grams(food_id, measure) == weight


def test_a_spoon_and_a_cup_of_a_food_agree() -> None:
    """A plain spoon and a plain cup of a pourable food weigh alike per millilitre, and as its density says."""
    by_food: dict[str, dict[str, float]] = defaultdict(dict)
    for line in measures():
        if line["measure"] in CUSTOMARY_ML:
            by_food[line["food"]][line["measure"]] = float(line["grams"]) / CUSTOMARY_ML[line["measure"]]
    pourable = {line["food"]: float(line["density_g_ml"]) for line in foods() if line["density_g_ml"]}
    assert len(pourable) > 60
    for food_id, density in pourable.items():
        found = [density, *by_food[food_id].values()]
        assert max(found) <= 1.12 * min(found), (food_id, found)


@pytest.mark.reference
def test_grams_are_the_publishers(reference: Path) -> None:
    """USDA SR28 household weights: each measure that names the publisher has a line there with these grams."""
    published: dict[str, list[float]] = defaultdict(list)
    for line in rows(reference / "usda_sr_weight.csv"):
        amount, weight = float(line["amount"]), float(line["grams"])
        pieces = re.search(r"\((\d+) ", line["measure"])
        published[line["ndb_no"]] += [weight / amount, weight, weight / int(pieces[1]) if pieces else 0.0]
    checked = 0
    for line in measures():
        if PRACTICE in line["source"]:
            continue
        ref = line["source"].split()[2]
        assert any(abs(weight - float(line["grams"])) <= 0.006 for weight in published[ref]), line
        checked += 1
    assert checked >= 800
