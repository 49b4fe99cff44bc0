"""Takes one cell of a composition table, gives its Value: number, trace, below a limit, borrowed; empty is unknown."""

from __future__ import annotations

import math
import re
from functools import lru_cache

from gramwright.model import KJ_PER_KCAL, Tag, Value, ValueKind
from gramwright.problems import Trouble

_NUMBER = re.compile(r"\d+(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+", re.ASCII)
_DECIMAL_COMMA = re.compile(r"\d+,\d+", re.ASCII)
_UNKNOWN_MARKS = {"n", "na", "n/a", "nd", "n.d.", "-", "–", "?", "unknown", "null", "none", "nan", "x"}

SALT_PER_SODIUM = 2.5
"""Salt = sodium x 2.5 (Regulation (EU) 1169/2011, Annex I point 11)."""


@lru_cache(maxsize=16384)
def parse_cell(cell: str) -> Value | None:
    """The value of a cell: '12.3', '0', 'tr', '<0.5', '(12.3)'; '' gives None, unknown.

    Raises Trouble 'not-a-number', 'negative-value', 'ambiguous-number'.
    """
    text = cell.strip()
    if not text:
        return None
    if text.lower() in ("tr", "tr.", "trace"):
        return Value(0.0, ValueKind.TRACE)
    if text[0] == "<":
        limit = _number(text[1:].strip(), cell)
        return Value(limit / 2, ValueKind.BELOW, limit)
    if text[0] == "(" and text[-1] == ")":
        inner = parse_cell(text[1:-1])
        if inner is None:
            raise _not_a_number(cell)
        return Value(inner.amount, ValueKind.BORROWED, inner.limit)
    return Value(_number(text, cell))


def derive(values: dict[Tag, Value]) -> dict[Tag, Value]:
    """Adds what follows from other columns: kJ from kcal, sodium from salt, available carbohydrate from total and back.

    CHOAVL = CHOCDF - FIBTG (FAO/INFOODS, CHOAVLDF), only when the fibre is known, never below 0.
    """
    kcal = values.pop("ENERC_kcal", None)
    if kcal is not None and "ENERC_kJ" not in values:
        values["ENERC_kJ"] = _scaled(kcal, KJ_PER_KCAL)
    salt = values.pop("SALT_g", None)
    if salt is not None and "NA_mg" not in values:
        values["NA_mg"] = _scaled(salt, 1000 / SALT_PER_SODIUM)
    fibre = values.get("FIBTG_g")
    if fibre is not None:
        total, available = values.get("CHOCDF_g"), values.get("CHOAVL_g")
        if available is None and total is not None:
            values["CHOAVL_g"] = _joined(total, fibre, -1)
        elif total is None and available is not None:
            values["CHOCDF_g"] = _joined(available, fibre, 1)
    return values


def _scaled(value: Value, factor: float) -> Value:
    return Value(value.amount * factor, value.kind, None if value.limit is None else value.limit * factor)


def _joined(one: Value, other: Value, sign: int) -> Value:
    """A sum or difference; it is borrowed unless both parts are plain numbers or traces."""
    firm = {ValueKind.NUMBER, ValueKind.TRACE}
    kind = ValueKind.NUMBER if one.kind in firm and other.kind in firm else ValueKind.BORROWED
    return Value(max(0.0, round(one.amount + sign * other.amount, 10)), kind)


def _number(text: str, cell: str) -> float:
    if _NUMBER.fullmatch(text):
        number = float(text)
    elif _DECIMAL_COMMA.fullmatch(text):
        if re.fullmatch(r"[1-9]\d{0,2},\d{3}", text):
            raise Trouble(
                "ambiguous-number",
                f"expected a clear number, found '{cell.strip()}', which may be thousands or a decimal comma",
                "write it without a separator, or with a decimal point",
            )
        number = float(text.replace(",", "."))
    elif text[:1] in ("-", "−") and _NUMBER.fullmatch(text[1:]):
        if float(text[1:]) == 0:
            return 0.0
        raise Trouble(
            "negative-value", f"expected a value of 0 or more, found '{cell.strip()}'", "empty when it is not known"
        )
    else:
        raise _not_a_number(cell)
    if not math.isfinite(number) or number > 1e7:
        raise Trouble("not-a-number", f"expected a sane number, found '{cell.strip()[:40]}'", "check the cell")
    return number


def _not_a_number(cell: str) -> Trouble:
    text = cell.strip()
    shown = text if len(text) <= 40 else text[:39] + "…"
    if text.lower() in _UNKNOWN_MARKS:
        return Trouble(
            "not-a-number", f"expected a number, found '{shown}'", "leave the cell empty when the value is not known"
        )
    return Trouble(
        "not-a-number",
        f"expected a number, found '{shown}'",
        "a cell is a number, 'tr', '<0.5', '(12.3)' for borrowed, or empty for unknown; units stand in the header",
    )
