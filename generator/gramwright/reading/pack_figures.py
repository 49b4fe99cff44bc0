"""Takes figures as a pack prints them ('6.0 g', '<0.5 g', '1654 kJ / 391 kcal', '2 scoops = 60 g'), gives numbers."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from gramwright.model import Tag, Value, ValueKind
from gramwright.problems import Trouble
from gramwright.reading.amounts import number_of
from gramwright.reading.shipped import numbers, read_shipped
from gramwright.reading.yaml_nodes import Scalar, short

FILE = "packs/packs.yaml"

_NUMBER = r"\d{1,7}(?:[.,]\d{1,6})?|[.,]\d{1,6}"
_FIGURE = re.compile(
    rf"(?P<below><|≤|less than|under|below)?\s*(?P<number>{_NUMBER})\s*(?P<unit>[a-zA-Zµμ]*)", re.IGNORECASE
)
_ENERGY = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>kJ|kcal)", re.IGNORECASE)
_AMBIGUOUS = re.compile(r"[1-9]\d{0,2},\d{3}(?!\d)")
_MEASURE = re.compile(
    r"(?P<count>\d+(?:\s+\d+/\d+|/\d+|[.,]\d+)?|[½¼¾⅓⅔])\s*(?P<name>[^\d=][^=]{0,59})=\s*(?P<grams>[^=]+)"
)
_BASIS = re.compile(
    rf"(?:per\s+)?(?:(?P<serving>(?:1\s+)?serving)(?:\s+of)?\s*)?(?:(?P<number>{_NUMBER})\s*(?P<unit>g|ml))?"
    r"(?:[\s,]+(?P<what>drained|as sold))?",
    re.IGNORECASE,
)
_UNITS = {"g": 1.0, "mg": 1e-3, "ug": 1e-6, "µg": 1e-6, "μg": 1e-6, "mcg": 1e-6}
_TRACE = {"tr", "trace", "traces"}


class Printed(NamedTuple):
    """A figure in its tag's unit, for what the pack's column is about (100 g, a serving)."""

    value: Value
    half: float
    """Half of the last printed digit: what rounding may hide."""
    node: Scalar

    def scaled(self, times: float) -> Printed:
        value = self.value
        limit = None if value.limit is None else round(value.limit * times, 10)
        return Printed(Value(round(value.amount * times, 10), value.kind, limit), self.half * times, self.node)

    @property
    def least(self) -> float:
        return 0.0 if self.value.limit is not None else max(0.0, self.value.amount - self.half)

    @property
    def most(self) -> float:
        return self.value.limit if self.value.limit is not None else self.value.amount + self.half


class Basis(NamedTuple):
    """What the printed figures are about: an amount of it, in g or mL; None: one serving, wherever that is said."""

    amount: float | None
    unit: str
    what: str
    """'drained', 'as sold' or ''."""


def figure(node: Scalar, tag: Tag) -> Printed:
    """One line of the declaration. Raises Trouble 'bad-figure', 'ambiguous-number', 'wrong-unit'."""
    text = " ".join(node.text.split())
    if text.lower() in _TRACE:
        return Printed(Value(0.0, ValueKind.TRACE), 0.0, node)
    match = _FIGURE.fullmatch(text)
    if match is None or _AMBIGUOUS.search(text):
        raise _unclear(text)
    ours = tag.rpartition("_")[2]
    unit = match["unit"]
    if not unit and ours != "g":
        raise Trouble("wrong-unit", f"expected a unit, found '{short(text)}'", f"write '{text} mg' or '{text} g'")
    factor = _UNITS.get(unit.lower() or "g")
    if factor is None:
        raise Trouble("wrong-unit", f"expected g, mg or µg, found '{short(text)}'", "as printed, such as 6.0 g")
    number, half = _read(match["number"], factor / _UNITS[ours])
    if match["below"]:
        return Printed(Value(number / 2, ValueKind.BELOW, number), 0.0, node)
    return Printed(Value(number), half, node)


def energy(node: Scalar) -> dict[Tag, Printed]:
    """kJ, kcal or both. Raises Trouble 'bad-figure', 'ambiguous-number'."""
    text = " ".join(node.text.split())
    found: dict[Tag, Printed] = {}
    rest = text
    for match in _ENERGY.finditer(text):
        unit = "ENERC_kJ" if match["unit"].lower() == "kj" else "ENERC_kcal"
        if unit in found:
            raise Trouble("bad-figure", f"expected kJ once and kcal once, found '{short(text)}'", "1654 kJ / 391 kcal")
        number, half = _read(match["number"], 1.0)
        found[unit] = Printed(Value(number), half, node)
        rest = rest.replace(match[0], "", 1)
    if not found or _AMBIGUOUS.search(text) or rest.strip(" /,();-–·|"):
        raise Trouble(
            "ambiguous-number" if _AMBIGUOUS.search(text) else "bad-figure",
            f"expected an energy with its unit, found '{short(text)}'",
            "write '1654 kJ / 391 kcal', '1654 kJ' or '391 kcal', without thousands separators",
        )
    return found


def basis(text: str) -> Basis:
    """What the figures are per: '100 g', '100 ml', 'serving 30 g', 'serving', '100 g drained'. Raises 'bad-basis'."""
    match = _BASIS.fullmatch(" ".join(text.split()))
    if match is None or not (match["serving"] or match["number"]):
        raise Trouble(
            "bad-basis",
            f"expected what the figures are per, found '{short(text)}'",
            "write per: 100 g, per: 100 ml, per: serving 30 g, or per: 100 g drained",
        )
    amount = None if match["number"] is None else _read(match["number"], 1.0)[0]
    if amount is not None and not 0 < amount <= 5000:
        raise Trouble("bad-basis", f"expected an amount up to 5 kg, found '{short(text)}'", "per: 100 g")
    return Basis(amount, (match["unit"] or "g").lower(), (match["what"] or "").lower())


def measure(text: str) -> tuple[float, str, str]:
    """(count, name, text of the weight) of '2 scoops = 60 g'. Raises Trouble 'bad-measure'."""
    match = _MEASURE.fullmatch(" ".join(text.split()))
    if match is None or not match["name"].strip():
        raise Trouble(
            "bad-measure", f"expected a measure with its weight, found '{short(text)}'", "write '2 scoops = 60 g'"
        )
    return number_of(match["count"]), match["name"].strip(), match["grams"].strip()


def singular(name: str, count: float) -> str:
    """The name of one: '2 scoops' are each a scoop. Only the plain plural of the last word is undone."""
    if count == 1 or not name.endswith("s") or name.endswith("ss"):
        return name
    return name[:-2] if name.endswith(("ches", "shes", "xes", "sses")) else name[:-1]


def _read(text: str, factor: float) -> tuple[float, float]:
    """A number and half of its last digit, both times `factor`."""
    plain = text.replace(",", ".")
    decimals = len(plain.partition(".")[2])
    return round(float(plain) * factor, 10), 0.5 * 10.0**-decimals * factor


def _unclear(text: str) -> Trouble:
    if _AMBIGUOUS.search(text):
        return Trouble(
            "ambiguous-number",
            f"expected a clear number, found '{short(text)}', which may be thousands or a decimal comma",
            "write it without a separator, or with a decimal point",
        )
    return Trouble(
        "bad-figure",
        f"expected a figure as printed, found '{short(text)}'",
        "write it as 6.0 g, <0.5 g or trace; leave the line out when the pack does not say",
    )


# ---------------------------------------------------------------- shipped knowledge


class PackRules(NamedTuple):
    """content/packs/packs.yaml."""

    lines: Mapping[str, Tag]
    tolerance: Mapping[Tag, tuple[Mapping[str, float], ...]]
    ratio: Mapping[str, float]
    slack: float
    whole: tuple[Tag, ...]
    parts: tuple[tuple[tuple[Tag, ...], Tag], ...]

    def tolerated(self, tag: Tag, amount: float) -> float:
        """How far the true figure may lawfully be from a declared one; nothing where no tolerance is known."""
        for step in self.tolerance.get(tag, ()):
            if amount < step.get("below", float("inf")):
                return step.get("half", step.get("share", 0.0) * amount)
        return 0.0


@cache
def load_rules() -> PackRules:
    """The shipped rules. Raises Trouble 'broken-content'."""
    data = read_shipped(FILE)
    return PackRules(
        lines=dict(data["lines"]),
        tolerance={tag: tuple(steps) for tag, steps in data["tolerance"].items()},
        ratio=numbers(data["energy"], "ratio"),
        slack=float(data["energy"]["slack"]),
        whole=tuple(data["whole"]),
        parts=tuple((tuple(parts), whole) for parts, whole in data["parts"]),
    )
