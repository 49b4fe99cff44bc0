"""The arithmetic of claims in words. Takes readings of conditions, gives sentences and near misses."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import TYPE_CHECKING

from gramwright.labelling.claim_data import claim_data
from gramwright.labelling.claim_rows import Answer, some
from gramwright.labelling.energy import COMPLETE
from gramwright.labelling.rules_model import Basis, Condition, RuleSet
from gramwright.model import Dish, Tag

if TYPE_CHECKING:
    from gramwright.labelling.claim_judge import Reading

UNITS = {"ug": "µg"}
WHERE = {
    Basis.PER_100G: "per 100 g",
    Basis.PER_50G: "per 50 g",
    Basis.PER_PORTION: "a portion",
    Basis.PER_100KCAL: "per 100 kcal",
}


def near(reading: Reading) -> bool:
    """Whether a condition holds, or misses by a share of its limit that counts as little."""
    if reading.holds is None or reading.amount is None:
        return False
    return reading.holds or _relative(reading) <= claim_data().near


def miss(readings: Sequence[Reading], rules: RuleSet) -> tuple[float, str] | None:
    """(relative size of the largest gap, what it would take), or None where that cannot be said."""
    failing = [reading for reading in readings if reading.holds is False]
    if not failing or any(reading.holds is None for reading in readings):
        return None
    texts = [_gap(reading, rules) for reading in failing]
    if not all(texts):
        return None
    return max(_relative(reading) for reading in failing), " and ".join(dict.fromkeys(texts))


def case(
    readings: Sequence[Reading], rows: Sequence[Answer], dish: Dish, rules: RuleSet, holds: bool | None
) -> str:
    """The conditions of a case that decide it: all of them when it holds, else those that fail or are open."""
    said = [_condition(reading, dish, rules) for reading in readings if reading.holds is holds]
    said += [row.because for row in rows if row.holds is holds]
    return "; and ".join(dict.fromkeys(said))


def _relative(reading: Reading) -> float:
    return abs((reading.amount or 0.0) - reading.limit) / (reading.limit or 1.0)


def _condition(reading: Reading, dish: Dish, rules: RuleSet) -> str:
    condition, amount, lack = reading.condition, reading.amount, str(reading.lack)
    names = _names(condition.tags, rules)
    if lack == "value":
        return f"the {names} of {_gaps(dish, condition)} is not known"
    if lack == "energy":
        return f"the energy of {_gaps(dish, condition, rules.energy.required)} is not known"
    if amount is None:
        return f"the {names} is not known"
    share = condition.basis in (Basis.ENERGY, Basis.FATTY_ACIDS)
    unit = "%" if share else _unit(condition.tags[0])
    shown, limit = (100 * amount, 100 * reading.limit) if share else (amount, reading.limit)
    number = f"{figure(shown, limit)} {unit}"
    allowed = f"{figure(limit, limit)} {unit}"
    if condition.note:
        allowed += f" ({condition.note} {unit})"
    if condition.basis is Basis.ENERGY:
        said = f"{number} of energy from {names}"
    elif condition.basis is Basis.FATTY_ACIDS:
        said = f"{number} of fatty acids from {names}"
    else:
        said = f"{number} of {names} {WHERE[condition.basis]}"
    if condition.at_least:
        rule = f"more than {allowed} needed" if condition.strict else f"{allowed} needed"
    else:
        rule = f"less than {allowed} allowed" if condition.strict else f"at most {allowed} allowed"
    doubt = {
        "": "",
        "weight": ", but the finished weight is not measured",
        "taste": ", and what is added to taste may go past it",
        "density": ", which depends on the drink's density",
    }[lack]
    return f"{said}; {rule}{doubt}"


def _gap(reading: Reading, rules: RuleSet) -> str:
    """'1.4 g more fibre per 100 g'; '' where it cannot be said."""
    condition = reading.condition
    if condition.basis is Basis.FATTY_ACIDS or reading.amount is None:
        return ""
    name = _names(condition.tags, rules)
    more = "more" if condition.at_least else "less"
    if condition.basis in (Basis.ENERGY, Basis.PER_100KCAL):
        if reading.gap_g is None:
            return ""
        return f"{_up(reading.gap_g, strict=condition.strict)} {_unit(condition.tags[0])} {more} {name} a portion"
    gap = abs(reading.limit - reading.amount)
    return f"{_up(gap, strict=condition.strict)} {_unit(condition.tags[0])} {more} {name} {WHERE[condition.basis]}"


def figure(value: float, limit: float) -> str:
    """A number with as many decimals as it takes to tell it from the limit: 19.97 beside 20 is not 20."""
    for places in range(0 if min(value, limit) >= 10 else 1, 7):
        text = f"{value:.{places}f}"
        if abs(value - limit) <= 1e-12 * abs(limit) or float(text) != float(f"{limit:.6g}"):
            break
    return text.rstrip("0").rstrip(".") if "." in text else text


def _up(gap: float, *, strict: bool) -> str:
    """A gap rounded up, so that closing it is enough."""
    gap = float(f"{gap:.12g}")
    step = 1.0
    while step > 1e-6 and gap < 10 * step:
        step /= 10
    count = ceil(gap / step - 1e-9)
    if strict and count * step <= gap * (1 + 1e-9):
        count += 1
    return f"{float(f'{count * step:.6g}'):g}"


def _names(tags: Sequence[Tag], rules: RuleSet) -> str:
    nutrients = claim_data().nutrients
    return " and ".join(
        dict.fromkeys(nutrients.get(tag) or rules.line_name(tag) or tag.rpartition("_")[0] for tag in tags)
    )


def _unit(tag: Tag) -> str:
    unit = tag.rpartition("_")[2]
    return UNITS.get(unit, unit)


def _gaps(dish: Dish, condition: Condition, tags: Sequence[Tag] = ()) -> str:
    """The rows whose value is missing, by name."""
    asked = tags or condition.tags
    names = []
    for ingredient, known in zip(dish.ingredients, dish.row_totals, strict=True):
        if ingredient.row.optional or ingredient.grams <= 0:
            continue
        inner = ingredient.dish.totals if ingredient.dish is not None else {}
        if any(tag not in known or (tag in inner and inner[tag].coverage < COMPLETE) for tag in asked):
            names.append(ingredient.name)
    return some(names) if names else "some ingredients"
