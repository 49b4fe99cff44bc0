"""Thirty-four published mixed dishes through the public path: tables and recipe pages in, facts out.

Source of ingredients, grams, moisture change and results: USDA Food and
Nutrient Database for Dietary Studies 2021-2023, by food code; preparation codes:
USDA Table of Nutrient Retention Factors, release 6. The publisher's results are
rounded twice, hence tolerances and not equality.
"""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from gramwright.model import KJ_PER_KCAL
from gramwright.publishing.build import publish

pytestmark = pytest.mark.long

HERE = Path(__file__).parent

TOLERANCE = {
    "ENERC_table_kcal": ("ENERC_kcal", 0.6),
    "PROCNT_g": ("PROCNT_g", 0.01),
    "FAT_g": ("FAT_g", 0.01),
    "FASAT_g": ("FASAT_g", 0.01),
    "CHOCDF_g": ("CHOCDF_g", 0.01),
    "SUGAR_g": ("SUGAR_g", 0.01),
    "FIBTG_g": ("FIBTG_g", 0.06),  # published to a tenth of a gram
    "CHOLE_mg": ("CHOLE_mg", 0.6),  # published to a milligram
    "NA_mg": ("NA_mg", 0.6),  # published to a milligram; needs the retention factors
}
"""Key of facts.json -> column of expected.csv, largest difference per 100 g."""


def facts_of(hub: Path, out: Path) -> dict[str, Mapping[str, Any]]:
    """facts.json of every recipe of a hub, by slug: published as a user would."""
    result = publish(hub, date(2025, 1, 1), out=out, workers=1)
    assert not result.has_errors, [problem.message for problem in result.problems]
    return {path.parent.name: json.loads(path.read_bytes()) for path in out.glob("recipes/*/facts.json")}


def published() -> list[dict[str, str]]:
    lines = (HERE / "expected.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.fixture(scope="module")
def facts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Mapping[str, Any]]:
    folder = tmp_path_factory.mktemp("fndds")
    shutil.copytree(HERE / "hub", folder / "hub")
    return facts_of(folder / "hub", folder / "published")


def test_the_fixture_is_varied() -> None:
    rows = published()
    pages = [(HERE / "hub" / "recipes" / f"{row['slug']}.md").read_text(encoding="utf-8") for row in rows]
    codes = {part.split('"')[1] for page in pages for part in page.split("cooked_as: ")[1:]}
    assert len(rows) >= 26
    assert len({row["moisture_change_pct"] for row in rows}) >= 20
    assert len(codes) >= 40
    assert {float(row["moisture_change_pct"]) > 0 for row in rows} == {True, False}


@pytest.mark.parametrize("row", published(), ids=lambda row: f"{row['food_code']}-{row['slug']}")
def test_per_100_g_as_published(row: Mapping[str, str], facts: Mapping[str, Mapping[str, Any]]) -> None:
    found = facts[row["slug"]]
    wrong = {}
    for key, (column, tolerance) in TOLERANCE.items():
        assert found["coverage"].get(key, 1.0) == 1.0
        gap = found["per_100g"][key] - float(row[column])
        if abs(gap) > tolerance:
            wrong[key] = (found["per_100g"][key], row[column])
    assert wrong == {}


def test_finished_weight_follows_the_moisture_change(facts: Mapping[str, Mapping[str, Any]]) -> None:
    for row in published():
        weights = facts[row["slug"]]["weights_g"]
        assert weights["finished"] == pytest.approx(weights["raw"] * (1 + float(row["moisture_change_pct"]) / 100))


def test_both_units_of_the_table_energy_agree(facts: Mapping[str, Mapping[str, Any]]) -> None:
    for found in facts.values():
        figures = found["per_100g"]
        assert figures["ENERC_table_kJ"] == pytest.approx(figures["ENERC_table_kcal"] * KJ_PER_KCAL)
