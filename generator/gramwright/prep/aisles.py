"""Where foods stand in a shop. Takes a food, gives its aisle: its own `aisle` cell, else content/prep/aisles.yaml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from gramwright.labelling.shipped_data import in_language, read_yaml
from gramwright.model import Food
from gramwright.reading.fold import fold

FILE = "prep/aisles.yaml"


@dataclass(frozen=True, slots=True, order=True)
class Aisle:
    """`place` orders the aisles as one walks through the shop."""

    place: int
    id: str
    name: str


@cache
def aisles(language: str) -> tuple[Aisle, ...]:
    """All aisles, in order."""
    return tuple(Aisle(at, entry["id"], in_language(entry, language)) for at, entry in enumerate(_entries()))


def aisle_of(food: Food, language: str) -> Aisle:
    """The aisle of one food."""
    known = aisles(language)
    own = food.extra.get("aisle", "").strip()
    if own:
        for aisle, entry in zip(known, _entries(), strict=True):
            if fold(own) in {fold(aisle.id), fold(aisle.name), fold(str(entry["en"]))}:
                return aisle
        return Aisle(len(known), fold(own), own)
    for aisle, entry in zip(known, _entries(), strict=True):
        if _fits(entry, food):
            return aisle
    return known[-1]


def is_free(food: Food) -> bool:
    """Whether nobody buys it: water."""
    return food.group in read_yaml(FILE)["free"]


def _entries() -> list[dict[str, Any]]:
    entries: list[dict[str, Any]] = read_yaml(FILE)["aisles"]
    return entries


def _fits(entry: Mapping[str, Any], food: Food) -> bool:
    if entry["groups"] != "any" and food.group not in entry["groups"]:
        return False
    if "states" in entry and food.state not in entry["states"]:
        return False
    return food.state not in entry.get("not_states", ())
