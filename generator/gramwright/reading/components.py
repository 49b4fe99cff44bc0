"""Gives the components this program knows by name: INFOODS tagname -> the unit its column must have.

Source of names and units: FAO/INFOODS tagnames, parts 1-5 with the 2010
additions (POLYL and ERYTHL in grams, as food tables print them). Any other
`TAG_unit` column is carried through a table unread.
"""

from __future__ import annotations

import re
from functools import cache

from gramwright.problems import Trouble, near

_KNOWN = {
    "kJ": "ENERC",
    "g": "WATER PROCNT FAT FASAT FAMS FAPU FATRN CHOAVL CHOCDF SUGAR SUGAD STARCH POLYL ERYTHL FIBTG ALC OA ASH",
    "mg": "CHOLE NA K CA FE MG P ZN CU MN VITC THIA RIBF NIA PANTAC VITB6A VITE TOCPHA CHOLN CAFFN",
    "ug": "VITA VITA_RAE RETOL CARTBEQ VITD VITK VITB12 FOL FOLDFE FOLAC FOLFD BIOT SE ID",
}
UNIT_OF = {tag: unit for unit, tags in _KNOWN.items() for tag in tags.split()}
"""Tagname -> unit."""

_COMMON = {
    "energy kcal calories calorie kj": "ENERC_kJ ENERC_kcal",
    "protein proteins": "PROCNT_g",
    "fat fats lipid lipids": "FAT_g",
    "saturates saturated": "FASAT_g",
    "carbohydrate carbohydrates carbs carb": "CHOAVL_g CHOCDF_g",
    "sugar sugars": "SUGAR_g",
    "fibre fiber": "FIBTG_g",
    "sodium na": "NA_mg",
    "salt": "SALT_g",
    "water moisture": "WATER_g",
    "alcohol ethanol": "ALC_g",
}
"""Everyday heads -> the columns that may be meant."""

_TAG = re.compile(r"([A-Z][A-Z0-9]*(?:[_-][A-Z0-9]+)*-?)_(g|mg|ug|µg|μg|mcg|kJ|kcal)")


@cache
def column_tag(head: str) -> str | None:
    """The tag of a table column ('PROCNT_g'), or None when the head is no component column.

    Raises Trouble 'wrong-unit' when a known component stands in another unit than its own.
    """
    match = _TAG.fullmatch(head)
    if match is None:
        return None
    name, unit = match.groups()
    unit = "ug" if unit in ("µg", "μg", "mcg") else unit
    expected = UNIT_OF.get(name)
    if name == "ENERC" and unit in ("kJ", "kcal"):
        return f"ENERC_{unit}"
    if expected is not None and unit != expected:
        raise Trouble(
            "wrong-unit",
            f"expected the column {name}_{expected}, found {head}",
            f"{name} is given in {expected}: convert the figures and rename the column",
        )
    return f"{name}_{unit}"


def near_heads(head: str, others: tuple[str, ...]) -> list[str]:
    """Column heads close to a mistyped one."""
    plain = head.strip().lower().replace(" ", "_")
    for words, tags in _COMMON.items():
        if plain.partition("_")[0] in words.split():
            return tags.split()
    known = [*others, *(f"{tag}_{unit}" for tag, unit in UNIT_OF.items()), "ENERC_kcal", "SALT_g"]
    lowered = {name.lower(): name for name in known}
    return [lowered[found] for found in near(head.strip().lower(), lowered)]
