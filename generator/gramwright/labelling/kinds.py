"""What foods are made of. Takes nothing, gives the table of content/allergens/kinds.yaml, read once per process."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from gramwright.labelling.shipped_data import read_yaml

DIETS: tuple[str, ...] = ("vegetarian", "vegan", "no pork", "no alcohol")
"""The diets that are computed, in the order they are shown."""

_ANSWERS = {"yes": True, "no": False, "unknown": None}


class KindsTable(NamedTuple):
    answers: Mapping[str, tuple[bool | None, ...]]
    """Kind -> an answer for each of DIETS: yes, no, or None: it depends."""
    allergen: Mapping[str, str]
    """Kind -> the allergen that every food of this kind has, or ''."""
    alcohol_above_g: float
    """Grams of alcohol per 100 g above which a food is not 'no alcohol'."""


@cache
def kinds_table() -> KindsTable:
    data = read_yaml("allergens/kinds.yaml")
    return KindsTable(
        answers={
            name: tuple(_ANSWERS[entry[diet.replace(" ", "_")]] for diet in DIETS)
            for name, entry in data["kinds"].items()
        },
        allergen={name: str(entry.get("allergen", "")) for name, entry in data["kinds"].items()},
        alcohol_above_g=float(data["alcohol_above_g"]),
    )
