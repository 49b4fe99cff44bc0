"""What the check of claims knows of recipes. Takes content/labelling/claims/recipes.yaml, gives ClaimData."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from gramwright.labelling.shipped_data import read_yaml
from gramwright.labelling.strict import Fields
from gramwright.model import Tag

ADDED = {"adds", "plain", "maybe", "words", "certain_mg", "free_mg", "natural_mg"}


class Added(NamedTuple):
    """How a row that adds sugars or salt is told from one that does not."""

    adds: frozenset[str]
    plain: frozenset[str]
    maybe: frozenset[str]
    words: frozenset[str]
    certain_mg: float
    free_mg: float
    natural_mg: float


class ClaimData(NamedTuple):
    nutrients: Mapping[Tag, str]
    near: float
    to_taste_g: float
    drink_words: frozenset[str]
    density_low: float
    density_high: float
    sugars: Added
    salt: Added


@cache
def claim_data() -> ClaimData:
    """The shipped data. Raises Trouble 'bad-rule-set'."""
    top = Fields(
        read_yaml("labelling/claims/recipes.yaml"),
        "claims/recipes.yaml",
        {"nutrients", "near", "to_taste_g", "drinks", "added_sugars", "added_salt"},
    )
    nutrients = top.block("nutrients", None)
    drinks = top.block("drinks", {"words", "density_low", "density_high"})
    return ClaimData(
        nutrients={tag: nutrients.text(tag) for tag in nutrients},
        near=top.number("near"),
        to_taste_g=top.number("to_taste_g"),
        drink_words=frozenset(drinks.texts("words")),
        density_low=drinks.number("density_low"),
        density_high=drinks.number("density_high"),
        sugars=_added(top.block("added_sugars", ADDED)),
        salt=_added(top.block("added_salt", ADDED)),
    )


def _added(block: Fields) -> Added:
    def words(key: str) -> frozenset[str]:
        return frozenset(block.texts(key))

    return Added(
        words("adds"),
        words("plain"),
        words("maybe"),
        words("words"),
        block.number("certain_mg", 0.0),
        block.number("free_mg", 0.0),
        block.number("natural_mg", 0.0),
    )
