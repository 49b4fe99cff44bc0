"""Takes an unrounded amount, gives the text a rule set declares: rounded once, half up, from decimals.

An amount is first taken at twelve significant digits, which removes what binary
arithmetic leaves behind (0.1 + 0.2) and nothing else; then the first band that
it falls into says how it is shown. Half up is half up of that decimal figure.

Why plain floats are enough: a decimal of twelve digits that is not a tie lies
at least 1e-12 (relative) from the tie, the float arithmetic here errs by at
most 1e-15; so a nudge of 2e-13 upwards takes every tie up and nothing else.
The browser's code does the same with `Number(x.toPrecision(12))`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import floor, inf, log10
from typing import TYPE_CHECKING, NamedTuple

from gramwright.problems import Trouble, near

if TYPE_CHECKING:
    from gramwright.labelling.rules_model import RuleSet

NUDGE = 1 + 2e-13
UNITS = {"ug": "µg"}
"""A tag's unit -> as it is written, where that differs."""


class Band(NamedTuple):
    """How amounts below (or up to) `limit` are shown; `limit` inf for the last band.

    Exactly one of `step`, `figures` and `text` is used: round to a step, round
    to significant figures (no finer than `step`), or show a fixed text.
    """

    limit: float
    inclusive: bool
    step: float = 0.0
    figures: int = 0
    text: str = ""
    trimmed: bool = False
    """2.0 is shown as 2, 2.5 as 2.5 (steps of a half)."""


class Rounder:
    """The bands of one kind of figure with its unit. Never changed after making."""

    __slots__ = ("_ready", "bands", "unit", "zero")

    def __init__(self, bands: Sequence[Band], unit: str, zero: str = "0") -> None:
        if not bands or bands[-1].limit != inf:
            raise Trouble("bad-rule-set", f"expected rounding bands that end with an open one, found {list(bands)}")
        for band in bands:
            if not band.text and band.step <= 0:
                raise Trouble("bad-rule-set", f"expected a step above 0 or a text in a rounding band, found {band}")
        self.bands = tuple(bands)
        self.unit = unit
        self.zero = _with_unit(zero, unit)
        self._ready = tuple((band.limit, band.inclusive, _shower(band, unit)) for band in bands)

    def text(self, amount: float) -> str:
        """The amount as declared, with its unit. Amounts of 0 (and below) give the zero text."""
        return self.rounded(amount)[1]

    def value(self, amount: float) -> float:
        """The number that is declared; 0 where a text stands for a small amount."""
        return self.rounded(amount)[0]

    def rounded(self, amount: float) -> tuple[float, str]:
        """(declared number, declared text). Raises ValueError for an amount that is no finite number."""
        if amount <= 0:
            return 0.0, self.zero
        amount = float(f"{amount:.12g}")
        for limit, inclusive, show in self._ready:
            if amount < limit or (inclusive and amount == limit):
                value, text = show(amount)
                # What rounds up to the next band is written as that band writes it: 9.96 is "10", not "10.0".
                return (value, text) if value < limit or inclusive else self.rounded(limit)
        raise ValueError(f"expected a finite amount, found {amount}")

    def at_step_of(self, child: float, amount: float) -> str:
        """The amount at the step that a smaller figure of the same kind is shown with."""
        child = float(f"{child:.12g}")
        for band in self.bands:
            if (child < band.limit or (band.inclusive and child == band.limit)) and not band.text:
                return Rounder((Band(inf, False, band.step, band.figures, "", band.trimmed),), self.unit).text(amount)
        return self.text(amount)


def _shower(band: Band, unit: str) -> Callable[[float], tuple[float, str]]:
    """The band as one function: amount -> (number, text)."""
    places, escaped = decimals(band.step), unit.replace("%", "%%")
    if band.text:
        fixed = (0.0, _with_unit(band.text, unit))
        return lambda amount: fixed
    if band.figures:
        return lambda amount: _figures(amount, band.figures, places, unit)
    if not places:
        step, plain = band.step, f"%d {escaped}"

        def whole(amount: float) -> tuple[float, str]:
            value = floor(amount / step * NUDGE + 0.5) * step
            return value, plain % value

        return whole
    scale = 10.0**places / round(band.step * 10**places)
    text, plain, trimmed = f"%.{places}f {escaped}", f"%d {escaped}", band.trimmed

    def part(amount: float) -> tuple[float, str]:
        value = floor(amount * scale * NUDGE + 0.5) / scale
        return value, (plain if trimmed and value == floor(value) else text) % value

    return part


def _figures(amount: float, figures: int, finest: int, unit: str) -> tuple[float, str]:
    """At most `figures` significant figures, and at most `finest` decimals."""
    places = min(figures - 1 - floor(log10(amount) + 1e-13), finest)
    while True:
        scale = 10.0**places
        value = floor(amount * scale * NUDGE + 0.5) / scale
        if value and floor(log10(value) + 1e-13) + 1 + places > figures:
            places -= 1
            continue
        return value, f"{value:.{max(places, 0)}f} {unit}"


def unit_of(tag: str) -> str:
    """The unit of a tag as it is written: 'VITD_ug' -> 'µg'."""
    unit = tag.rpartition("_")[2]
    return UNITS.get(unit, unit)


def decimals(step: float) -> int:
    """Decimals that a step needs: 0.1 -> 1, 0.5 -> 1, 5 -> 0."""
    text = f"{step:.6f}".rstrip("0")
    return len(text.partition(".")[2])


def _with_unit(text: str, unit: str) -> str:
    return text if text.endswith(unit) else f"{text} {unit}"


def declare(rules: RuleSet, key_or_tag: str, amount: float) -> str:
    """One figure as the rule set declares it ('14 g', '<0.5 g', '1654 kJ').

    Takes a component's tag ('FAT_g', 'ENERC_kJ', 'SALT_g') or a line's key
    ('fat', 'salt'; 'energy' is two figures and has declare_energy). Raises
    Trouble 'no-rounding' for a key the rule set does not know; a tag without
    a rule of its own is rounded by the rule set's rule for its unit.
    """
    rounder = rules.rounders.get(key_or_tag)
    if rounder is None:
        rounder = _by_unit(rules.rounders, key_or_tag)
    return rounder.rounded(amount)[1]


def _by_unit(rounders: Mapping[str, Rounder], tag: str) -> Rounder:
    found = rounders.get("*_" + tag.rpartition("_")[2])
    if found is None:
        close = near(tag, rounders)
        raise Trouble(
            "no-rounding",
            f"expected a line or a component that the rule set rounds, found '{tag}'",
            f"did you mean {', '.join(close)}?" if close else "",
        )
    return found


def declare_energy(rules: RuleSet, kj: float, kcal: float) -> str:
    """Energy as the rule set shows it: '1654 kJ / 393 kcal', '1650 kJ (394 Cal)', '390 kcal'."""
    rounders = rules.rounders
    shown = rules.energy.shown
    if "{kJ}" in shown:
        shown = shown.replace("{kJ}", rounders["ENERC_kJ"].rounded(kj)[1])
    if "{kcal}" in shown:
        shown = shown.replace("{kcal}", rounders["ENERC_kcal"].rounded(kcal)[1])
    return shown


def plain(rules: RuleSet) -> dict[str, object]:
    """The rounding rules as plain data for the browser: tag or key -> unit, zero text, bands."""
    return {key: plain_rounder(rounder) for key, rounder in sorted(rules.rounders.items())}


def plain_rounder(rounder: Rounder) -> dict[str, object]:
    """One rounder as plain data: unit, zero text, bands."""
    return {
        "unit": rounder.unit,
        "zero": rounder.zero,
        "bands": [
            {
                "limit": None if band.limit == inf else band.limit,
                "inclusive": band.inclusive,
                **({"text": _with_unit(band.text, rounder.unit)} if band.text else {"step": band.step}),
                **({"figures": band.figures} if band.figures else {}),
                **({"trimmed": True} if band.trimmed else {}),
            }
            for band in rounder.bands
        ],
    }
