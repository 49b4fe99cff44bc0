"""Takes the text of a time, a storage life or a mass in front matter, gives minutes, days or grams."""

from __future__ import annotations

import re
from functools import lru_cache

from gramwright.problems import Trouble
from gramwright.reading.amounts import parse_number

GRAMS = {"g": 1.0, "kg": 1000.0, "mg": 0.001, "oz": 28.349523125, "lb": 453.59237}
"""Grams in one (the avoirdupois pound is 0.45359237 kg by definition, NIST SP 811 B.9; an ounce is a sixteenth)."""

_MASS_WORDS = {
    "g": "g", "gr": "g", "gram": "g", "grams": "g", "gramme": "g", "grammes": "g",
    "kg": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg",
    "mg": "mg", "milligram": "mg", "milligrams": "mg",
    "oz": "oz", "ounce": "oz", "ounces": "oz",
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
}  # fmt: skip

_MINUTES = {
    "min": 1, "mins": 1, "minute": 1, "minutes": 1, "m": 1,
    "h": 60, "hr": 60, "hrs": 60, "hour": 60, "hours": 60,
    "d": 1440, "day": 1440, "days": 1440,
    "s": 1 / 60, "sec": 1 / 60, "secs": 1 / 60, "second": 1 / 60, "seconds": 1 / 60,
}  # fmt: skip

_DAYS = {
    "day": 1, "days": 1, "d": 1, "night": 1, "nights": 1,
    "week": 7, "weeks": 7, "month": 30, "months": 30, "year": 365, "years": 365,
    "hour": 1 / 24, "hours": 1 / 24, "h": 1 / 24,
}  # fmt: skip

_PIECE = re.compile(r"\s*(?:and\s+|,\s*)?([^a-zA-Z]+?)\s*([a-zA-Z]+)\.?\s*")
_ISO = re.compile(
    r"P(?:(?P<d>\d+(?:[.,]\d+)?)D)?(?:T(?:(?P<h>\d+(?:[.,]\d+)?)H)?(?:(?P<m>\d+(?:[.,]\d+)?)M)?(?:(?P<s>\d+(?:[.,]\d+)?)S)?)?",
    re.IGNORECASE,
)
LONGEST_MINUTES = 60 * 24 * 60.0
LONGEST_DAYS = 5 * 365.0


@lru_cache(maxsize=4096)
def parse_minutes(text: str) -> float:
    """Minutes of '15 min', '1 h 20 min', ISO 8601 'PT1H30M', or a bare number. Raises Trouble 'bad-time'."""
    iso = _ISO.fullmatch(text.strip()) if len(text) <= 60 else None
    if iso is not None and any(iso.groupdict().values()):
        parts = {name: float(found.replace(",", ".")) for name, found in iso.groupdict().items() if found}
        minutes = sum(
            parts.get(name, 0.0) * factor for name, factor in (("d", 1440), ("h", 60), ("m", 1), ("s", 1 / 60))
        )
    else:
        minutes = _summed(text, _MINUTES, "bad-time", "a time", "write it as '15 min', '1 h 20 min' or 'PT1H30M'")
    if not 0 <= minutes <= LONGEST_MINUTES:
        raise Trouble("bad-time", f"expected a time of at most 60 days, found '{text.strip()}'", "check the number")
    return minutes


@lru_cache(maxsize=4096)
def parse_days(text: str) -> float:
    """Days of '3 days', '2 weeks', '2 months' (30 days each), or a bare number of days. Raises Trouble 'bad-time'."""
    days = _summed(text, _DAYS, "bad-time", "how long it keeps", "write it as '3 days', '2 weeks' or '2 months'")
    if not 0 <= days <= LONGEST_DAYS:
        raise Trouble("bad-time", f"expected at most five years, found '{text.strip()}'", "check the number")
    return days


@lru_cache(maxsize=4096)
def parse_grams(text: str) -> float:
    """Grams of '1480 g', '1.48 kg', '3 lb 4 oz'. Raises Trouble 'bad-mass'."""
    factors = {word: GRAMS[unit] for word, unit in _MASS_WORDS.items()}
    if not re.search(r"[a-zA-Z]", text):
        raise Trouble(
            "bad-mass", f"expected a weight with its unit, found '{text.strip()}'", f"write '{text.strip()} g'"
        )
    grams = _summed(text, factors, "bad-mass", "a weight", "write it as '1480 g' or '1.48 kg'")
    if not 0 < grams <= 1e6:
        raise Trouble("bad-mass", f"expected a weight above 0 and below a tonne, found '{text.strip()}'", "check it")
    return grams


def _summed(text: str, factors: dict[str, float], code: str, what: str, hint: str) -> float:
    """The sum of 'NUMBER WORD' pieces; a bare number counts as one of the first word."""
    bare = text.strip()
    if len(bare) > 60:
        raise Trouble(code, f"expected {what}, found a text of {len(bare)} characters", hint)
    trouble = Trouble(code, f"expected {what}, found '{bare}'" if bare else f"expected {what}, found nothing", hint)
    total, at = 0.0, 0
    if not re.search(r"[a-zA-Z]", bare):
        try:
            return parse_number(bare) * next(iter(factors.values()))
        except Trouble as found:
            raise (found if found.code == "ambiguous-number" else trouble) from None
    while at < len(bare):
        piece = _PIECE.match(bare, at)
        factor = None if piece is None else factors.get(piece[2].lower())
        if piece is None or factor is None:
            raise trouble
        try:
            number = parse_number(piece[1])
        except Trouble as found:
            raise (found if found.code == "ambiguous-number" else trouble) from None
        if number < 0:
            raise trouble
        total += number * factor
        at = piece.end()
    return total
