"""Takes content/audit/thresholds.yaml, gives what the checks call a finding."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from gramwright.model import Tag
from gramwright.problems import Trouble
from gramwright.reading.shipped import numbers, read_shipped

FILE = "audit/thresholds.yaml"


class Thresholds(NamedTuple):
    """The file's blocks; its head says what each means. Figures are per 100 g, in the unit of their tag."""

    energy_share: float
    energy_least: float
    energy_groups: Mapping[str, float]
    whole_parts: tuple[Tag, ...]
    whole: Mapping[str, float]
    children: tuple[tuple[tuple[Tag, ...], Tag], ...]
    child_least: float
    child_share: float
    limits: Mapping[Tag, float]
    unit_limits: Mapping[str, float]
    density: tuple[float, float]
    refuse_pct: tuple[float, float]
    units: Mapping[str, float]
    typical: Mapping[Tag, float]
    outlier_foods: int
    outlier_spread: float
    outlier_least: Mapping[Tag, float]
    outlier_agrees: Mapping[str, float]
    outlier_whole: float
    outlier_ash: float
    same_figures: int
    old_years: Mapping[str, float]
    reference: Mapping[Tag, float]
    weights: Mapping[str, float]


@cache
def load() -> Thresholds:
    """The shipped thresholds. Raises Trouble 'broken-content'."""
    data = read_shipped(FILE)
    try:
        return _read(data)
    except (KeyError, TypeError, ValueError) as error:
        raise Trouble(
            "broken-content",
            f"content/{FILE}: something is missing or no number ({error})",
            "install the package again",
        ) from error


def _read(data: Mapping[str, Any]) -> Thresholds:
    energy, whole, limits, outliers = data["energy"], data["whole"], data["limits"], data["outliers"]
    children = data["children"]
    low, high = (float(number) for number in limits["density_g_ml"])
    least, most = (float(number) for number in limits["refuse_pct"])
    return Thresholds(
        energy_share=float(energy["share"]),
        energy_least=float(energy["least"]),
        energy_groups=numbers(energy, "groups"),
        whole_parts=tuple(whole["parts"]),
        whole={name: float(whole[name]) for name in ("over", "under", "dry", "bare")},
        children=tuple((tuple(parts), parent) for parts, parent in children["of"]),
        child_least=float(children["least"]),
        child_share=float(children["share"]),
        limits={tag: float(limit) for tag, limit in limits.items() if isinstance(limit, (int, float))},
        unit_limits=numbers(limits, "units"),
        density=(low, high),
        refuse_pct=(least, most),
        units=numbers(data, "units"),
        typical=numbers(data, "typical"),
        outlier_foods=int(outliers["foods"]),
        outlier_spread=float(outliers["spread"]),
        outlier_least=numbers(outliers, "least"),
        outlier_agrees=numbers(outliers, "agrees"),
        outlier_whole=float(outliers["whole"]),
        outlier_ash=float(outliers["ash"]),
        same_figures=int(data["names"]["same_figures"]),
        old_years=numbers(data, "old_years"),
        reference=numbers(data, "reference"),
        weights=numbers(data, "weights"),
    )
