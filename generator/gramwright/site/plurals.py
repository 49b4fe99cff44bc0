"""Takes a language and a number, gives the number's plural category (content/languages/plurals.yaml explains it)."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache, lru_cache
from typing import NamedTuple

from gramwright.reading.shipped import read_shipped

CATEGORIES = ("zero", "one", "two", "few", "many", "other")
_RELATION = re.compile(r"([nivft])(?: % (\d+))? (!?=) ([\d., ]+)")
_TIE = 1 + 2e-13


class _Relation(NamedTuple):
    """`operand` modulo `modulus` (0: as it is) is, or is not, a whole number within one of `spans`."""

    operand: str
    modulus: int
    holds: bool
    spans: tuple[tuple[int, int], ...]

    def met(self, number: Mapping[str, float]) -> bool:
        value = number[self.operand]
        if self.modulus:
            value %= self.modulus
        return self.holds == (value == int(value) and any(low <= value <= high for low, high in self.spans))


def category(language: str, number: float) -> str:
    """'one' of 1 in English, 'few' of 3 in Polish; 'other' always in a language that is not recorded."""
    return rule(language)(number)


@cache
def rule(language: str) -> Callable[[float], str]:
    """A language's rule by its code ('pl', 'pl-PL')."""
    found = _recorded().get(language.partition("-")[0].lower(), {})
    conditions = [(name, _condition(found[name])) for name in CATEGORIES if name in found]

    @lru_cache(maxsize=4096)
    def chosen(number: float) -> str:
        operands = _operands(number)
        for name, any_of in conditions:
            if any(all(relation.met(operands) for relation in all_of) for all_of in any_of):
                return name
        return "other"

    return chosen


def _operands(number: float) -> Mapping[str, float]:
    """Of a number as it is written: two decimals at most, no zero at the end."""
    written = f"{abs(number) * _TIE:.2f}".rstrip("0").rstrip(".")
    whole, _, decimals = written.partition(".")
    fraction = int(decimals or 0)
    return {"n": float(written), "i": int(whole), "v": len(decimals), "f": fraction, "t": fraction}


def _condition(text: str) -> list[list[_Relation]]:
    return [[_relation(part) for part in side.split(" and ")] for side in text.split(" or ")]


def _relation(text: str) -> _Relation:
    found = _RELATION.fullmatch(text.strip())
    if found is None:
        raise ValueError(f"no plural rule: {text}")
    operand, modulus, sign, values = found.groups()
    spans = [value.strip().partition("..") for value in values.split(",")]
    return _Relation(
        operand, int(modulus or 0), sign == "=", tuple((int(low), int(high or low)) for low, _, high in spans)
    )


@cache
def _recorded() -> Mapping[str, Mapping[str, str]]:
    lines = read_shipped("languages/plurals.yaml")
    return {language: rules for languages, rules in lines.items() for language in languages.split()}
