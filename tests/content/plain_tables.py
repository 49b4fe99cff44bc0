"""The shipped tables and the handbook as plain CSV: no room of the program is used to read them here."""

from __future__ import annotations

import csv
import re
import unicodedata
from functools import cache
from pathlib import Path

CONTENT = Path(__file__).resolve().parent.parent.parent / "content"

PLAIN = (
    "food name aliases group state refuse_pct density_g_ml contains may_contain allergens_checked kind source "
    "source_ref quality updated"
).split()

HANDBOOK_COLUMN = {
    "ENERC_kcal": "energy_kcal",
    "WATER_g": "water_g",
    "PROCNT_g": "protein_g",
    "FAT_g": "fat_g",
    "FASAT_g": "saturates_g",
    "FAMS_g": "mono_g",
    "FAPU_g": "poly_g",
    "CHOCDF_g": "carbohydrate_by_difference_g",
    "FIBTG_g": "fibre_g",
    "SUGAR_g": "sugars_g",
    "CHOLE_mg": "cholesterol_mg",
    "NA_mg": "sodium_mg",
    "K_mg": "potassium_mg",
    "CA_mg": "calcium_mg",
    "FE_mg": "iron_mg",
}
"""Our column -> the handbook's (USDA SR28, abbreviated table)."""

CELL = re.compile(r"\d+(\.\d+)?|\(\d+(\.\d+)?\)|<\d+(\.\d+)?|tr|")


def rows(path: Path) -> list[dict[str, str]]:
    """The lines of a CSV without its remarks."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines, strict=True))


@cache
def foods() -> list[dict[str, str]]:
    return [food for path in sorted((CONTENT / "foods").glob("*.csv")) for food in rows(path)]


@cache
def measures() -> list[dict[str, str]]:
    return [line for path in sorted((CONTENT / "measures").glob("*.csv")) for line in rows(path)]


@cache
def _by_id() -> dict[str, dict[str, str]]:
    return {line["food"]: line for line in foods()}


def food(food_id: str) -> dict[str, str]:
    return _by_id()[food_id]


def grams(food_id: str, measure: str) -> float:
    return next(float(line["grams"]) for line in measures() if (line["food"], line["measure"]) == (food_id, measure))


def components() -> list[str]:
    return [name for name in foods()[0] if name not in PLAIN]


def number(cell: str) -> float | None:
    """A known figure; None when it is unknown."""
    bare = cell.strip("()<")
    return None if not bare else 0.0 if bare == "tr" else float(bare)


def words(cell: str) -> list[str]:
    return [word for word in cell.split(";") if word]


def key(name: str) -> str:
    """A name with case, accents, punctuation and plain plurals folded."""
    text = unicodedata.normalize("NFKD", name.casefold().replace("'", ""))
    text = "".join(c for c in text if not unicodedata.combining(c))
    return " ".join(_singular(word) for word in re.findall(r"[\w%]+", text))


def _singular(word: str) -> str:
    if word in ("leaves", "halves", "loaves"):
        return word[:-3] + "f"
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and re.search("(o|ch|sh|ss|x|z)es$", word):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and word[-2] not in "su" else word
