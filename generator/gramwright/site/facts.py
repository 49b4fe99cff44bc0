"""Takes a dish and its label, gives facts.json: the public figures of one recipe, unrounded, in a stable order."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from gramwright.labelling import traces
from gramwright.labelling.allergen_swaps import NO_SWAPS, Swaps
from gramwright.model import Dish, Ingredient, Label, Presence, Tag

FIRST: tuple[Tag, ...] = (
    "ENERC_kJ",
    "ENERC_kcal",
    "ENERC_table_kJ",
    "ENERC_table_kcal",
    "WATER_g",
    "PROCNT_g",
    "FAT_g",
    "FASAT_g",
    "FAMS_g",
    "FAPU_g",
    "FATRN_g",
    "CHOAVL_g",
    "CHOCDF_g",
    "SUGAR_g",
    "SUGAD_g",
    "STARCH_g",
    "POLYL_g",
    "ERYTHL_g",
    "FIBTG_g",
    "ALC_g",
    "OA_g",
    "CHOLE_mg",
    "NA_mg",
    "SALT_g",
)
"""Components in the order people read them; any other follows by name."""

_PLACE = {tag: place for place, tag in enumerate(FIRST)}


def in_order(tags: Iterable[Tag]) -> list[Tag]:
    """Tags in reading order: the known ones first, the rest by name."""
    return sorted(tags, key=lambda tag: (_PLACE.get(tag, len(FIRST)), tag))


def facts(dish: Dish, label: Label, swaps: Swaps = NO_SWAPS) -> dict[str, Any]:
    """The figures of one recipe: numbers unrounded, a component known for no row absent.

    A claim that holds says in `likely_range_holds` whether it still does at the far end of its figures' ranges.
    `to_taste`, where it is there, lists the tags whose figures leave out salt that is added to taste.
    The allergens are those of the recipe as written; `traces_not_recorded` names the foods of which nothing is said of
    traces (labelling/traces), `changes` among them, where it is there, says what its swaps
    and optional rows change (`swap_removes`, `optional_adds` ...: labelling/allergen_swaps).
    """
    page = dish.page
    allergens = label.allergens
    figures = label.per_portion
    order = in_order(figures)
    return {
        "slug": page.slug,
        "title": page.title,
        "rule_set": label.rule_set,
        "portions": _plain(page.portions),
        "weights_g": {"raw": dish.raw_g, "finished": dish.finished_g, "portion": dish.portion_g},
        "energy_by": label.energy_by,
        "finished_by": dish.finished_by.value,
        "per_portion": {tag: figures[tag].amount for tag in order},
        "per_100g": {tag: label.per_100g[tag].amount for tag in in_order(label.per_100g)},
        "range": {tag: [figures[tag].low, figures[tag].high] for tag in order},
        "coverage": {tag: figures[tag].coverage for tag in order},
        "declared": {
            "per_portion": {line.key: line.per_portion for line in label.lines if line.per_portion},
            "per_100g": {line.key: line.per_100g for line in label.lines if line.per_100g},
            "share": {line.key: line.share for line in label.lines if line.share},
            "tags": {line.key: line.tag for line in label.lines},
        },
        **({"to_taste": in_order(label.to_taste)} if label.to_taste else {}),
        "allergens": {
            "contains": list(allergens.listed(Presence.CONTAINS)),
            "may_contain": list(allergens.listed(Presence.MAY_CONTAIN)),
            "unknown": list(allergens.listed(Presence.UNKNOWN)),
            "unresolved": list(allergens.open),
            "traces_not_recorded": list(traces.not_recorded(dish.ingredients)),
            **({"changes": {told.what: list(told.allergens) for told in swaps.told}} if swaps.told else {}),
        },
        "suits": dict(label.suits),
        "claims": {
            claim.name: {"holds": claim.holds, "because": claim.because}
            | ({"companion": claim.companion} if claim.companion else {})
            | ({"likely_range_holds": not claim.doubt} if claim.holds else {})
            for claim in label.claims
            if claim.asked or claim.holds
        },
        "rows": [
            _row(ingredient, kcal, page.portions)
            for ingredient, kcal in zip(dish.ingredients, label.row_energy_kcal, strict=True)
        ],
    }


def encode(dish: Dish, label: Label, swaps: Swaps = NO_SWAPS) -> bytes:
    """facts.json as bytes; the same dish gives the same bytes."""
    return (json.dumps(facts(dish, label, swaps), ensure_ascii=False) + "\n").encode()


def _row(ingredient: Ingredient, kcal: float | None, portions: float) -> dict[str, Any]:
    return {
        "part": ingredient.row.part,
        "food": ingredient.key,
        "grams": ingredient.grams,
        "optional": ingredient.row.optional,
        "per_portion": {"grams": ingredient.grams / portions} | ({} if kcal is None else {"ENERC_kcal": kcal}),
    }


def _plain(number: float) -> float | int:
    return int(number) if number == int(number) else number
