"""Takes a cell of a foreign table, gives the cell of ours: another unit, decimal sign, marks for trace and unknown."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

from gramwright.problems import Trouble, near

UNKNOWN = ("", "-", "–", "—", "n", "na", "n/a", "n.a.", "nd", "n.d.", "ns", "...", "…", "?", "null", "none", "nan")
"""Marks of an unknown value that every mapping knows (small letters); 'N' is the mark of the UK tables."""
TRACE = ("tr", "tr.", "trace", "traces", "sp.", "spuren")
"""Marks of a trace: 'Tr' in the UK tables, 'traces' in the French ones."""

_POINT = re.compile(r"\d+(?:\.\d*)?(?:[eE][+-]?\d{1,2})?|\.\d+", re.ASCII)
_BELOW = re.compile(r"(?:<|≤|&lt;)\s*(.+)")
_BRACKETS = {"(": ")", "[": "]"}
_THOUSANDS = r"\d{{1,3}}(?:[{0}]\d{{3}})+(?:{1}\d*)?"
"""Groups of three, then a decimal sign: anything else with such a sign in it is not read."""
_SPACES = " \u00a0\u202f\u2009"
LARGEST = Decimal(10) ** 7

_IN_GRAMS = {unit: Decimal(f"1e{power}") for unit, power in {"kg": 3, "g": 0, "mg": -3, "ug": -6, "ng": -9}.items()}
_IN_KJ = {unit: Decimal(kj) for unit, kj in {"kJ": "1", "MJ": "1000", "J": "0.001", "kcal": "4.184"}.items()}
"""kcal by the thermochemical calorie, as INFOODS has it (ENERC: 1 kcal = 4.184 kJ)."""
_SPELLINGS = {"µg": "ug", "μg": "ug", "mcg": "ug", "gram": "g", "grams": "g", "milligram": "mg", "kcals": "kcal"}
_BY_LOWER = {unit.lower(): unit for unit in (*_IN_GRAMS, *_IN_KJ)}


def factor(theirs: str, ours: str) -> Decimal:
    """What a figure in `theirs` is multiplied with to stand in `ours`. Raises Trouble 'unknown-unit'."""
    spelt = theirs.strip()
    unit = _BY_LOWER.get(_SPELLINGS.get(spelt.lower(), spelt).lower())
    for units in (_IN_GRAMS, _IN_KJ):
        if unit in units and ours in units:
            return _short(units[unit] / units[ours])
    if unit is None and ours not in (*_IN_GRAMS, *_IN_KJ) and spelt == ours:
        return Decimal(1)
    close = near(spelt, [*_IN_GRAMS, *_IN_KJ], 1)
    raise Trouble(
        "unknown-unit",
        f"expected a unit that becomes {ours}, found '{spelt}'",
        f"did you mean '{close[0]}'?" if close else "give the factor with 'times' and leave 'unit' out",
    )


class Numbers:
    """How a foreign table writes its figures."""

    def __init__(
        self, decimal: str = ".", thousands: str = "", unknown: Iterable[str] = (), trace: Iterable[str] = ()
    ) -> None:
        self.decimal = decimal
        self.trace = {mark.strip().lower() for mark in trace} | set(TRACE)
        own = {mark.strip().lower() for mark in unknown}
        self.unknown = (own | set(UNKNOWN)) - {mark.strip().lower() for mark in trace}
        self.trace -= own
        signs = re.escape(thousands) + _SPACES
        self._grouped = re.compile(_THOUSANDS.format(signs, re.escape(decimal)), re.ASCII)
        self._signs = str.maketrans("", "", thousands + _SPACES)
        self._kept: dict[tuple[str, Decimal, bool], str] = {}

    def cell(self, text: str, times: Decimal = Decimal(1), zero_unknown: bool = False) -> str:
        """Our cell: a number, 'tr', '<0.5', '(12.3)' or '' for unknown. Raises Trouble 'unreadable-cell'."""
        key = (text, times, zero_unknown)
        kept = self._kept.get(key)
        if kept is None:
            kept = self._read(text, times, zero_unknown)
            if len(self._kept) < 200_000:
                self._kept[key] = kept
        return kept

    def _read(self, text: str, times: Decimal, zero_unknown: bool) -> str:
        bare = text.strip()
        lowered = bare.lower()
        if lowered in self.unknown:
            return ""
        if lowered in self.trace:
            return "tr"
        below = _BELOW.fullmatch(bare)
        if below is not None:
            return "<" + self._scaled(below[1], times, text)
        if _BRACKETS.get(bare[:1]) == bare[-1:]:
            inner = self._read(bare[1:-1], times, zero_unknown)
            return f"({inner})" if inner not in ("", "tr") and inner[0] != "(" else inner
        figure = self._scaled(bare, times, text)
        return "" if zero_unknown and not float(figure) else figure

    def _scaled(self, text: str, times: Decimal, whole: str) -> str:
        bare = text.strip()
        if self._grouped.fullmatch(bare):
            bare = bare.translate(self._signs)
        if self.decimal == ",":
            if "." in bare:
                raise _unreadable(whole, self.decimal)
            bare = bare.replace(",", ".", 1)
        if bare[:1] in ("-", "−") and _POINT.fullmatch(bare[1:]) and not float(bare[1:]):
            return "0"
        if not _POINT.fullmatch(bare):
            raise _unreadable(whole, self.decimal)
        number = Decimal(bare)
        if times != 1:
            number *= times
        if number > LARGEST:
            raise _unreadable(whole, self.decimal)
        return bare if times == 1 and "e" not in bare.lower() else _short_text(number)


def _short(number: Decimal) -> Decimal:
    return number.normalize()


def _short_text(number: Decimal) -> str:
    """A decimal without exponent and without zeros at its end, twelve digits at most."""
    rounded = number if len(number.as_tuple().digits) <= 12 else Decimal(f"{number:.12g}")
    text = f"{rounded.normalize():f}"
    return "0" if text in ("-0", "0") else text


def _unreadable(text: str, decimal: str) -> Trouble:
    shown = " ".join(text.split())
    shown = shown if len(shown) <= 40 else shown[:39] + "…"
    sign = "comma" if decimal == "," else "point"
    return Trouble(
        "unreadable-cell",
        f"expected a figure with decimal {sign} or a mark for trace or unknown, found '{shown}'",
        "the cell stays unknown; name the mark (marks: {unknown: [...]}) or the decimal sign in the mapping",
    )
