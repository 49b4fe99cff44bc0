"""The arithmetic of claims in words. Takes readings of conditions, gives sentences and near misses."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil
from typing import TYPE_CHECKING

from gramwright.labelling.claim_rows import Answer
from gramwright.labelling.energy import COMPLETE
from gramwright.labelling.rounding import unit_of
from gramwright.labelling.rules_model import Basis, Condition, RuleSet
from gramwright.labelling.sentences import Sentences
from gramwright.model import Dish, Tag

if TYPE_CHECKING:
    from gramwright.labelling.claim_judge import Reading


def miss(
    readings: Sequence[Reading], gap_g: Callable[[Condition], float | None], spoken: Sentences
) -> tuple[float, str] | None:
    """(relative size of the largest gap, what it would take), or None where that cannot be said."""
    failing = [reading for reading in readings if reading.holds is False]
    if not failing or any(reading.holds is None for reading in readings):
        return None
    # Energy is limited in kJ and kcal: one of the two is enough to say what is missing.
    told = {(reading.condition.names, reading.condition.basis): reading for reading in reversed(failing)}
    texts = [_gap(reading, gap_g, spoken) for reading in reversed(told.values())]
    if not all(texts):
        return None
    return max(relative(reading) for reading in failing), spoken["join.gaps"].join(texts)


def case(readings: Sequence[Reading], rows: Sequence[Answer], dish: Dish, rules: RuleSet, holds: bool | None) -> str:
    """The conditions of a case that decide it: all of them when it holds, else those that fail or are open."""
    said = [condition(reading, dish, rules) for reading in readings if reading.holds is holds]
    said += [row.because for row in rows if row.holds is holds]
    return said[0] if len(said) == 1 else rules.spoken["join.conditions"].join(dict.fromkeys(said))


def relative(reading: Reading) -> float:
    """By what share of its limit a condition is missed."""
    return abs((reading.amount or 0.0) - reading.limit) / (reading.limit or 1.0)


def condition(reading: Reading, dish: Dish, rules: RuleSet) -> str:
    rule, amount, limit, _, lack = reading
    spoken = rules.spoken
    if lack == "value":
        return spoken.say("claim.unknown.value", names=rule.names, foods=_gaps(dish, rule.tags, spoken))
    if lack == "energy":
        return spoken.say("claim.unknown.energy", foods=_gaps(dish, rules.energy.required, spoken))
    if amount is None:
        return spoken.say("claim.unknown.all", names=rule.names)
    if rule.basis is Basis.ENERGY or rule.basis is Basis.FATTY_ACIDS:
        number = f"{figure(100 * amount, round(100 * limit, 9))} %"
    else:
        number = f"{figure(amount, limit)} {unit_of(rule.tags[0])}"
    needed = rule.rule if limit == rule.limit else rule.liquid_rule
    told = spoken.say("claim.condition", amount=spoken.number(number), said=rule.said, rule=needed)
    return told + spoken[f"claim.doubt.{lack}"] if lack else told


def _gap(reading: Reading, gap_g: Callable[[Condition], float | None], spoken: Sentences) -> str:
    """'1.4 g more fibre per 100 g'; '' where it cannot be said."""
    condition = reading.condition
    if condition.basis is Basis.FATTY_ACIDS or reading.amount is None:
        return ""
    if condition.basis in (Basis.ENERGY, Basis.PER_100KCAL):
        gap, what = gap_g(condition), spoken.say("claim.gap.portion", names=condition.names)
    else:
        gap, what = abs(reading.limit - reading.amount), condition.said
    if gap is None:
        return ""
    amount = f"{spoken.number(_up(gap, strict=condition.strict))} {unit_of(condition.tags[0])}"
    return spoken.say("claim.gap.more" if condition.at_least else "claim.gap.less", amount=amount, what=what)


def figure(value: float, limit: float) -> str:
    """A number with as many decimals as it takes to tell it from the limit: 19.97 beside 20 is not 20."""
    places = 0 if value >= 10 and limit >= 10 else 1 if value >= 0.1 or not value else 3
    text = f"{value:.{places}f}"
    if float(text) == limit and abs(value - limit) > 1e-12 * limit:
        while places < 7 and float(text) == limit:
            places += 1
            text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if places else text


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


def _gaps(dish: Dish, tags: Sequence[Tag], spoken: Sentences) -> str:
    """The rows whose value is missing, by name."""
    names = []
    for ingredient, known in zip(dish.ingredients, dish.row_totals, strict=True):
        if ingredient.row.optional or ingredient.grams <= 0:
            continue
        inner = ingredient.dish.totals if ingredient.dish is not None else {}
        if any(tag not in known or (tag in inner and inner[tag].coverage < COMPLETE) for tag in tags):
            names.append(ingredient.name)
    return spoken.some(names) if names else spoken["claim.unknown.foods"]
