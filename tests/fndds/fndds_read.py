"""USDA FNDDS 2021-2023 out of the reference handbook, as this project's records, in memory.

Dishes, ingredient values and published results per 100 g: USDA Food and
Nutrient Database for Dietary Studies 2021-2023, U.S. government work.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from gramwright.model import (
    KJ_PER_KCAL,
    AllergenStatement,
    Food,
    Ingredient,
    Quality,
    Quantity,
    RecipePage,
    Row,
    Scale,
    Value,
)
from gramwright.problems import Place

COLUMNS: dict[str, str] = {
    "ENERC_kJ": "energy_kcal", "PROCNT_g": "protein_g", "FAT_g": "fat_g", "CHOCDF_g": "carbohydrate_g",
    "FIBTG_g": "fibre_g", "SUGAR_g": "sugars_g", "FASAT_g": "saturates_g", "NA_mg": "sodium_mg",
    "CHOLE_mg": "cholesterol_mg", "WATER_g": "water_g", "K_mg": "potassium_mg", "CA_mg": "calcium_mg",
    "FE_mg": "iron_mg", "FAMS_g": "mono_g", "FAPU_g": "poly_g", "ALC_g": "alcohol_g",
}  # fmt: skip
"""Our tag -> the handbook's column."""


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def foods(folder: Path) -> dict[str, Food]:
    """Every ingredient by its code. Blank is unknown."""
    return {row["ingredient_code"]: _food(row) for row in table(folder / "ingredients.csv")}


def _food(row: dict[str, str]) -> Food:
    code = row["ingredient_code"]
    values = {
        tag: Value(float(row[column]) * (KJ_PER_KCAL if tag == "ENERC_kJ" else 1))
        for tag, column in COLUMNS.items()
        if row[column] != ""
    }
    if "FIBTG_g" in values:
        values["CHOAVL_g"] = Value(max(0.0, values["CHOCDF_g"].amount - values["FIBTG_g"].amount))
    return Food(
        id=f"fndds-{code}", name=row["ingredient_description"], aliases=(), group="", state="", refuse=0.0,
        density_g_ml=None, values=values, allergens=AllergenStatement(checked=False), kinds=frozenset(),
        source="USDA FNDDS 2021-2023", source_ref=code, quality=Quality.TABLE, updated="", place=Place("fndds"),
    )  # fmt: skip


def dishes(folder: Path, known: dict[str, Food]) -> Iterator[tuple[str, RecipePage, tuple[Ingredient, ...]]]:
    """(food code, page, ingredients) of every dish; yield = 1 + moisture change."""
    by_code: dict[str, list[dict[str, str]]] = {}
    for row in table(folder / "dishes.csv"):
        by_code.setdefault(row["food_code"], []).append(row)
    for code, rows in by_code.items():
        place = Place(f"recipes/{code}.md")
        page = RecipePage(
            slug=code, title=rows[0]["description"], summary="", portions=1.0, rows=(), intro="", method="",
            method_line=0, place=place, lines={}, yield_factor=1 + float(rows[0]["moisture_change_pct"]) / 100,
        )  # fmt: skip
        yield code, page, tuple(_ingredient(row, known, place) for row in rows)


def _ingredient(row: dict[str, str], known: dict[str, Food], place: Place) -> Ingredient:
    grams = float(row["grams"])
    code = row["retention_code"]
    written = Row("", Quantity(grams, grams, row["grams"]), "g", place, "", cooked_as=None if code == "0" else code)
    food = known[row["ingredient_code"]]
    return Ingredient(written, food, None, Scale.MASS, "g", grams, grams, grams, grams)
