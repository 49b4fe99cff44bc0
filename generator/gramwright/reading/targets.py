"""Takes a target as written ('1900-2200 kcal', '110 g..', '..6'), gives its tag and its ends in the tag's unit.

    parse_target(key, text) -> tuple[Tag, float | None, float | None]     raises Trouble
    TARGET_KEYS                                                           what can be asked for, with the unit meant

A target runs from, to, or both: `1900-2200`, `1900..2200`, `110..`, `..6`,
`at least 110 g`, `at most 6 g`. Without a unit energy is in kcal, sodium in mg, all else in grams.
"""

from __future__ import annotations

import re

from gramwright.model import Tag
from gramwright.problems import Trouble, either, near
from gramwright.reading.amounts import parse_number

TARGET_KEYS: dict[str, Tag] = {
    "energy": "ENERC_kcal",
    "protein": "PROCNT_g",
    "fat": "FAT_g",
    "saturates": "FASAT_g",
    "carbohydrate": "CHOAVL_g",
    "sugars": "SUGAR_g",
    "fibre": "FIBTG_g",
    "salt": "SALT_g",
    "sodium": "NA_mg",
    "alcohol": "ALC_g",
}
"""Key -> tag. Carbohydrate is the available one."""

_NUMBER = r"(?>\d+(?:[.,]\d+)?)"
_SHAPE = re.compile(
    rf"(?P<least>at least )?(?P<most>at most )?(?P<low>{_NUMBER})? ?(?P<unit1>[a-zA-Z]+)? ?"
    rf"(?P<dots>\.\.\.?|…|-|–|—)? ?(?P<high>{_NUMBER})? ?(?P<unit2>[a-zA-Z]+)?"
)
_TO = re.compile(r"\s+to\s+")
_HINT = "write a range ('1900-2200 kcal'), a least ('110 g..') or a most ('..6 g')"


def parse_target(key: str, text: str) -> tuple[Tag, float | None, float | None]:
    """Tag, from and to. Raises Trouble 'unknown-target', 'bad-target'."""
    tag = TARGET_KEYS.get(key)
    if tag is None:
        close = near(key, TARGET_KEYS, 1)
        raise Trouble(
            "unknown-target",
            f"expected a target ({', '.join(TARGET_KEYS)}), found '{key}'",
            f"did you mean '{close[0]}'?" if close else "only what a declaration shows can be a target",
        )
    bare = _TO.sub("..", " ".join(text.split()))
    found = _SHAPE.fullmatch(bare) if len(bare) <= 60 else None
    if found is None or (found["low"] is None and found["high"] is None):
        raise Trouble("bad-target", f"expected a target for {key}, found '{bare[:60]}'", _HINT)
    low, high = _number(found["low"]), _number(found["high"])
    if found["least"] or found["most"]:
        if found["dots"] or (found["low"] is not None and found["high"] is not None) or found["least"] == found["most"]:
            raise Trouble("bad-target", f"expected one end after 'at least' or 'at most', found '{bare}'", _HINT)
        only = low if low is not None else high
        low, high = (only, None) if found["least"] else (None, only)
    elif not found["dots"]:
        raise Trouble(
            "bad-target",
            f"expected from, to or both for {key}, found the single figure '{bare}'",
            f"no day hits one figure exactly: write '{bare}..' for at least, '..{bare}' for at most",
        )
    unit = found["unit2"] or found["unit1"] or ""
    if found["unit1"] and found["unit2"] and found["unit1"].lower() != found["unit2"].lower():
        raise Trouble("bad-target", f"expected one unit, found '{bare}'", _HINT)
    tag, factor = _in_unit(key, tag, unit)
    low, high = (None if end is None else end * factor for end in (low, high))
    if low is not None and high is not None and low > high:
        raise Trouble("bad-target", f"expected the lower end first, found '{bare}'", "turn the two ends round")
    return tag, low, high


def _number(text: str | None) -> float | None:
    return None if text is None else parse_number(text)


def _in_unit(key: str, tag: Tag, unit: str) -> tuple[Tag, float]:
    """The tag that is meant with a unit, and the factor to the tag's own unit."""
    wanted = unit.lower()
    if key == "energy":
        known = {"": "ENERC_kcal", "kcal": "ENERC_kcal", "kj": "ENERC_kJ"}
        if wanted in known:
            return known[wanted], 1.0
        raise Trouble("bad-target", f"expected {either(('kcal', 'kJ'))} for energy, found '{unit}'", _HINT)
    own = tag.rpartition("_")[2]
    if wanted in ("", own):
        return tag, 1.0
    factors = {("g", "mg"): 1000.0, ("mg", "g"): 0.001}
    factor = factors.get((wanted, own))
    if factor is None:
        raise Trouble("bad-target", f"expected grams (g) or milligrams (mg) for {key}, found '{unit}'", _HINT)
    return tag, factor
