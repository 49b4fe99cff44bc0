"""Takes unit words, gives grams or millilitres. Pint holds the factors and is asked once per unit, never per row.

Spoons and cups differ by country, so a hub chooses (standards of each):

    metric       teaspoon 5, tablespoon 15, cup 250 mL   (New Zealand, Canada, South Africa, UK spoons; secondary copy)
    australian   teaspoon 5, tablespoon 20, cup 250 mL   (NSW Health, healthykids measures)
    us           customary: 4.93, 14.79, 236.59 mL        (NIST Handbook 44, Appendix C: gallon of 231 cubic inches)
    us-label     teaspoon 5, tablespoon 15, cup 240 mL   (21 CFR 101.9(b)(5)(viii); fluid ounce 30 mL)
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from gramwright.problems import Trouble, near

MASS = "mass"
VOLUME = "volume"


class Unit(NamedTuple):
    """One unit: its display name, whether it is a mass or a volume, and the grams or millilitres in one."""

    name: str
    kind: str
    factor: float


_WORDS: Mapping[str, str] = MappingProxyType(
    {
        word: name
        for name, words in {
            "g": "g gr gram grams gramme grammes gm gms",
            "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes",
            "mg": "mg milligram milligrams milligramme milligrammes",
            "oz": "oz ounce ounces ozs",
            "lb": "lb lbs pound pounds",
            "mL": "ml millilitre millilitres milliliter milliliters mils",
            "cL": "cl centilitre centilitres centiliter centiliters",
            "dL": "dl decilitre decilitres deciliter deciliters",
            "L": "l litre litres liter liters ltr",
            "tsp": "tsp tsps teaspoon teaspoons tl teelöffel teelepel teelepels",
            "tbsp": "tbsp tbsps tbs tbl tbls tblsp tablespoon tablespoons el esslöffel eetlepel eetlepels",
            "cup": "cup cups tasse tassen koppie koppies",
            "fl oz": "floz",
        }.items()
        for word in words.split()
    }
)
"""Small letters, no dots -> unit."""

_TWO_WORDS: Mapping[str, frozenset[str]] = MappingProxyType(
    {"fl": frozenset({"oz", "ounce", "ounces", "ozs"}), "fluid": frozenset({"oz", "ounce", "ounces", "ozs"})}
)

_REFUSED: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("pint", "pints", "pt"), "568 mL is a British pint, 473 mL an American one: write mL"),
        **dict.fromkeys(("quart", "quarts", "qt"), "946 mL is an American quart, 1137 mL a British one: write mL"),
        **dict.fromkeys(("gallon", "gallons", "gal"), "3785 mL is an American gallon, 4546 mL a British one: write L"),
        **dict.fromkeys(("gill", "gills"), "142 mL is a British gill, 118 mL an American one: write mL"),
        **dict.fromkeys(("t", "tb", "ts", "c"), "is this tsp, tbsp or cup? Write it out"),
        **dict.fromkeys(
            ("dessertspoon", "dessertspoons", "dsp"), "about 10 mL, but no standard says so: write tsp or mL"
        ),
    }
)
"""Units that mean more than one thing."""

_PINT_NAMES: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "g": ("gram", "gram"),
        "kg": ("kilogram", "gram"),
        "mg": ("milligram", "gram"),
        "oz": ("ounce", "gram"),
        "lb": ("pound", "gram"),
        "mL": ("milliliter", "milliliter"),
        "cL": ("centiliter", "milliliter"),
        "dL": ("deciliter", "milliliter"),
        "L": ("liter", "milliliter"),
        "us tsp": ("teaspoon", "milliliter"),
        "us tbsp": ("tablespoon", "milliliter"),
        "us cup": ("cup", "milliliter"),
        "us fl oz": ("fluid_ounce", "milliliter"),
    }
)
"""Our unit -> Pint's name, and the unit its factor is wanted in."""

_ROUND: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "metric": {"tsp": 5.0, "tbsp": 15.0, "cup": 250.0},
        "australian": {"tsp": 5.0, "tbsp": 20.0, "cup": 250.0},
        "us-label": {"tsp": 5.0, "tbsp": 15.0, "cup": 240.0, "fl oz": 30.0},
    }
)
"""Conventions in whole millilitres; where the fluid ounce is missing it is the customary one."""

_asked: dict[str, float] = {}


def factors() -> dict[str, float]:
    """Every factor that Pint gives here, by our unit name, for a working state that outlives the process."""
    for name in _PINT_NAMES:
        _factor(name)
    return {name: _asked[name] for name in _PINT_NAMES}


def asked() -> dict[str, float]:
    """The factors that this process knows so far, by our unit name, sorted: of those `factors` gives."""
    return dict(sorted(_asked.items()))


def prime(known: Mapping[str, float]) -> None:
    """Takes factors that `factors` gave earlier under the same Pint version, so that Pint need not be imported."""
    _asked.update((name, float(value)) for name, value in known.items() if name in _PINT_NAMES)


def _factor(name: str) -> float:
    found = _asked.get(name)
    if found is None:
        unit, base = _PINT_NAMES[name]
        found = _asked[name] = 1.0 if unit == base else float(_registry().Quantity(1, unit).to(base).magnitude)
    return found


@cache
def _registry():  # type: ignore[no-untyped-def]
    """Pint's registry; importing Pint takes a third of a second, so only a process that needs a factor does."""
    import pint

    return pint.UnitRegistry()


class MeasureSystem:
    """The units of a hub: mass, metric volume, and the spoons and cups it chose."""

    __slots__ = ("_units", "cups", "spoons")

    def __init__(self, spoons: str = "metric", cups: str = "metric") -> None:
        for convention in (spoons, cups):
            if convention not in ("us", *_ROUND):
                close = near(convention, ["us", *_ROUND], 1)
                raise Trouble(
                    "unknown-choice",
                    f"expected metric, australian, us or us-label, found '{convention}'",
                    f"did you mean {close[0]}?" if close else "",
                )
        self.spoons = spoons
        self.cups = cups
        self._units: dict[str, Unit] = {}

    @staticmethod
    @cache
    def of(spoons: str = "metric", cups: str = "metric") -> MeasureSystem:
        """The system with these spoons and cups, made once. Raises Trouble 'unknown-choice'."""
        return MeasureSystem(spoons, cups)

    def unit(self, word: str) -> Unit | None:
        """The unit that a word names, or None. Raises Trouble 'unknown-unit' for one that means several things."""
        name = _WORDS.get(word) or _WORDS.get(_plain(word))
        if name is None:
            why = _REFUSED.get(_plain(word))
            if why is not None:
                raise Trouble("unknown-unit", f"expected a unit with one meaning, found '{word}'", why)
            return None
        return self.named(name)

    def leading(self, words: list[str]) -> tuple[Unit | None, int]:
        """The unit at the start of some words, and how many words it takes: ['fl', 'oz', 'milk'] gives (fl oz, 2)."""
        if not words:
            return None, 0
        first = words[0]
        name = _WORDS.get(first)
        if name is None:
            first = _plain(first)
            name = _WORDS.get(first)
            if name is None:
                if len(words) > 1 and first in _TWO_WORDS and _plain(words[1]) in _TWO_WORDS[first]:
                    return self.named("fl oz"), 2
                return None, 0
        return self.named(name), 1

    def named(self, name: str) -> Unit:
        """A unit by its display name ('tbsp')."""
        unit = self._units.get(name)
        if unit is None:
            unit = self._units[name] = self._make(name)
        return unit

    def _make(self, name: str) -> Unit:
        if name in ("tsp", "tbsp", "cup", "fl oz"):
            convention = self.spoons if name in ("tsp", "tbsp") else self.cups
            volume = _ROUND.get(convention, {}).get(name)
            return Unit(name, VOLUME, _factor(f"us {name}") if volume is None else volume)
        return Unit(name, MASS if _PINT_NAMES[name][1] == "gram" else VOLUME, _factor(name))

    def close(self, word: str) -> list[str]:
        """Units that a mistyped word may have meant ('gramz', 'tblsp'), as display names."""
        plain = _plain(word)
        alike = [known for known in _WORDS if known[0] == plain[:1] and abs(len(known) - len(plain)) < 3]
        found = difflib.get_close_matches(plain, alike, n=3, cutoff=0.72)
        return list(dict.fromkeys(_WORDS[known] for known in found))


def refused(word: str) -> str | None:
    """Why a unit word is not read ('pint'), None when it is no such word."""
    return _REFUSED.get(_plain(word))


def _plain(word: str) -> str:
    return word.lower().replace(".", "").strip(",")
