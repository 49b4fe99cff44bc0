"""Takes the components of a food or a pack, gives the energy they bring: to check a declared energy with."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from gramwright.model import Tag, Value, ValueKind
from gramwright.reading.shipped import numbers, read_shipped

FILE = "audit/energy-factors.yaml"


class PartsEnergy(NamedTuple):
    """kJ per 100 g that the known parts bring. `low` and `high` allow for traces, limits and undeclared fibre."""

    low: float
    middle: float
    high: float
    complete: bool
    """Protein, fat and carbohydrate are known, so that `high` is an upper end."""


class EnergyFactors(NamedTuple):
    """content/audit/energy-factors.yaml."""

    kj: Mapping[Tag, float]
    total_low: float
    total_high: float
    unknown_fibre_g: float

    def of(self, values: Mapping[Tag, Value]) -> PartsEnergy:
        """The energy of the parts; alcohol, polyols and organic acids that are not given count as none."""
        low = middle = high = 0.0
        for tag in ("PROCNT_g", "FAT_g", "FIBTG_g", "ALC_g", "OA_g"):
            value = values.get(tag)
            if value is not None:
                factor = self.kj[tag]
                least, most = _ends(value)
                low, middle, high = low + factor * least, middle + factor * value.amount, high + factor * most
        carbohydrate = self._carbohydrate(values)
        if carbohydrate is not None:
            low, middle, high = low + carbohydrate[0], middle + carbohydrate[1], high + carbohydrate[2]
        if "FIBTG_g" not in values and "CHOAVL_g" in values:
            high += self.kj["FIBTG_g"] * self.unknown_fibre_g
        complete = carbohydrate is not None and "PROCNT_g" in values and "FAT_g" in values
        return PartsEnergy(low, middle, high, complete)

    def _carbohydrate(self, values: Mapping[Tag, Value]) -> tuple[float, float, float] | None:
        """kJ of the carbohydrate, polyols apart: low, middle, high."""
        available, total = values.get("CHOAVL_g"), values.get("CHOCDF_g")
        whole = available or total
        polyols = 0.0 if whole is None else min(_amount(values, "POLYL_g"), _ends(whole)[1])
        erythritol = min(_amount(values, "ERYTHL_g"), polyols)
        sweet = self.kj["POLYL_g"] * (polyols - erythritol) + self.kj["ERYTHL_g"] * erythritol
        if available is not None:
            factor = self.kj["CHOAVL_g"]
            least, most = _ends(available)
            low, middle, high = (
                max(0.0, grams - polyols) * factor + sweet for grams in (least, available.amount, most)
            )
            return low, middle, high
        if total is not None:
            least, most = _ends(total)
            rest = max(0.0, total.amount - polyols)
            return (
                max(0.0, least - polyols) * self.total_low + sweet,
                rest * self.total_high + sweet,
                max(0.0, most - polyols) * self.total_high + sweet,
            )
        return None


def _amount(values: Mapping[Tag, Value], tag: Tag) -> float:
    value = values.get(tag)
    return 0.0 if value is None else value.amount


def _ends(value: Value) -> tuple[float, float]:
    """What a value is at least and at most: a figure below a limit may be anything from nothing to it."""
    if value.kind is ValueKind.BELOW and value.limit is not None:
        return 0.0, value.limit
    return value.amount, value.amount


@cache
def load_factors() -> EnergyFactors:
    """The shipped factors. Raises Trouble 'broken-content'."""
    data = read_shipped(FILE)
    total = numbers(data, "total_carbohydrate")
    return EnergyFactors(numbers(data, "kJ_per_g"), total["low"], total["high"], float(data["unknown_fibre_g"]))
