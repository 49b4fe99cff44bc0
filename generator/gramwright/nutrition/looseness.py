"""How loose values and measures are. Takes content/nutrition/looseness.yaml, gives half-widths.

A half-width is what a true value stays within 19 times in 20. Values: per 100 g
in the tag's unit. Measures: grams. The file explains its grammar and sources.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import Any, NamedTuple

from gramwright.model import Quality, Scale, Tag, Value, ValueKind
from gramwright.nutrition.content import number, read_yaml
from gramwright.problems import Place, ProblemLog, Trouble

FILE = "nutrition/looseness.yaml"


class Step(NamedTuple):
    """A tolerance band: `half` in the tag's unit, or a `share` of the value (`down` where the lower side differs)."""

    below: float | None
    half: float | None
    share: float | None
    down: float | None


class Spread(NamedTuple):
    """How loose one component of one quality is: by share and least, or by steps."""

    share: float = 0.0
    least: float = 0.0
    steps: tuple[Step, ...] = ()

    def sides(self, amount: float, most: float) -> tuple[float, float]:
        """Half-widths below and above a value, in its unit. `most`: the value of the pure thing (inf: none known)."""
        for step in self.steps:
            if step.below is None or amount < step.below:
                if step.half is not None:
                    return step.half, step.half
                up = (step.share or 0.0) * amount
                return (up if step.down is None else step.down * amount), up
        half = max(self.share * max(0.0, min(amount, most - amount)), self.least)
        return half, half


@dataclass(frozen=True, slots=True)
class MeasureLooseness:
    """Half-widths of a row's grams by how it was measured."""

    least_g: float
    mass: float
    volume: float
    by_measure: Mapping[str, float]
    count: float
    portions: float
    gross: float
    eaten: float
    weighed: float

    def half(self, scale: Scale, measure: str, weighed_g: float) -> float:
        """Half-width in grams of what was weighed."""
        if scale is Scale.MASS:
            return max(self.least_g, self.mass * weighed_g)
        if scale is Scale.VOLUME:
            return self.by_measure.get(measure.split(" ")[0].casefold(), self.volume) * weighed_g
        if scale is Scale.COUNT:
            return self.count * weighed_g
        if scale is Scale.PORTIONS:
            return self.portions * weighed_g
        return 0.0


class FinishedLooseness(NamedTuple):
    """Ends of a finished weight as shares of it."""

    low: float
    high: float
    least_g: float = 0.0


class Looseness(NamedTuple):
    """Everything in looseness.yaml."""

    values: Mapping[str, Mapping[Tag, Spread]]
    times: Mapping[str, float]
    borrowed: float
    pure: Mapping[Tag, float]
    """The largest value there is, where it is the value of a pure thing; components in grams: 100."""
    zero: Mapping[Tag, float]
    trace: Mapping[str, float]
    retention: float
    measures: MeasureLooseness
    finished: Mapping[str, FinishedLooseness]
    already_cooked: frozenset[str]

    def sides(self, tag: Tag, value: Value, quality: Quality) -> tuple[float, float]:
        """Half-widths below and above a known value, per 100 g, before physical limits."""
        amount = value.amount
        if value.kind is ValueKind.TRACE:
            return 0.0, self.trace.get(tag.rpartition("_")[2], 0.0)
        if value.kind is ValueKind.BELOW:
            limit = value.limit if value.limit is not None else 2 * amount
            return amount, max(0.0, limit - amount)
        if amount <= 0:
            return (0.0, self.zero.get(tag, 0.0)) if quality is Quality.DECLARED else (0.0, 0.0)
        spreads = self.values[quality.value]
        most = self.pure.get(tag, 100.0 if tag.endswith("_g") else inf)
        down, up = (spreads.get(tag) or spreads["default"]).sides(amount, most)
        times = self.times[quality.value]
        if value.kind is ValueKind.BORROWED:
            times *= self.borrowed
        return down * times, up * times


def load_looseness(log: ProblemLog) -> Looseness:
    """Reads the shipped file. It must be whole: raises Trouble 'broken-content' (and logs its place) when it is not."""
    try:
        return _read(read_yaml(FILE))
    except Trouble as trouble:
        log.add(trouble.at(Place(f"content/{FILE}")))
        raise


def _block(data: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    found = data.get(key)
    if not isinstance(found, dict):
        raise Trouble("broken-content", f"expected a mapping '{key}' in content/{FILE}, found {found!r}")
    return found


def _read(data: Mapping[str, Any]) -> Looseness:
    values: dict[str, Mapping[Tag, Spread]] = {}
    times: dict[str, float] = {}
    blocks = _block(data, "values")
    for quality in Quality:
        block = _block(blocks, quality.value)
        times[quality.value] = number(block, "times", quality.value) if "times" in block else 1.0
        source = _block(blocks, str(block["like"])) if "like" in block else block
        values[quality.value] = {tag: _spread(tag, entry) for tag, entry in source.items() if isinstance(entry, dict)}
        if "default" not in values[quality.value]:
            raise Trouble("broken-content", f"expected a default spread for {quality.value} in content/{FILE}")
    measures = _block(data, "measures")
    volume = _block(measures, "volume")
    mass = _block(measures, "mass")
    shares = {key: number(_block(measures, key), "share", key) for key in ("count", "portions", "gross", "eaten")}
    return Looseness(
        values=values,
        times=times,
        borrowed=number(_block(data, "borrowed"), "times", "borrowed"),
        pure=_numbers(_block(data, "pure")),
        zero=_numbers(_block(data, "zero")),
        trace=_numbers(_block(data, "trace")),
        retention=number(_block(data, "retention"), "half", "retention"),
        measures=MeasureLooseness(
            least_g=number(mass, "least_g", "mass"),
            mass=number(mass, "share", "mass"),
            volume=number(volume, "default", "volume"),
            by_measure=_numbers(_block(volume, "by_measure")),
            weighed=number(_block(measures, "weighed"), "share", "weighed"),
            **shares,
        ),
        finished={
            key: FinishedLooseness(
                number(entry, "low", key),
                number(entry, "high", key),
                number(entry, "least_g", key) if "least_g" in entry else 0.0,
            )
            for key, entry in _block(data, "finished").items()
        },
        already_cooked=frozenset(str(state) for state in data.get("already_cooked", ())),
    )


def _numbers(block: Mapping[str, Any]) -> dict[str, float]:
    return {key: number(block, key, key) for key in block if key != "source"}


def _spread(tag: Tag, entry: Mapping[str, Any]) -> Spread:
    if "steps" not in entry:
        return Spread(number(entry, "share", tag), number(entry, "least", tag) if "least" in entry else 0.0)
    steps = []
    for step in entry["steps"]:
        read = {key: number(step, key, tag) if key in step else None for key in ("below", "half", "share", "down")}
        steps.append(Step(read["below"], read["half"], read["share"], read["down"]))
    return Spread(steps=tuple(steps))
