"""The smallest change that meets a missed target. Takes plates and a day's total, gives a Mend.

What can change for one person on one day: the portions of a dish, in quarters;
a topping taken in or left away; another swap. One change is tried before two,
a quarter of a portion counts less than a topping, a topping less than a swap.
A change counts when every target of the day is then met as far as it is known
(a target of which nothing is known is not looked at); where none does, the one
that comes nearest is named as what it is. Every figure is the engine's own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

from gramwright.model import Figure, Tag, Target
from gramwright.prep.plates import Plate, Plates
from gramwright.prep.recipes import Option, Variant, options_of
from gramwright.prep.totals import DayTotal, Fare, Outcome, outcome, summed, to_taste
from gramwright.problems import Trouble

STEP = 0.25
"""A portion step."""
MOST_STEPS = 4
LEAST_PORTION = 0.25
STEP_COST, TOPPING_COST, SWAP_COST, SECOND_COST = 1.0, 1.5, 2.0, 2.0
"""How large a change counts, in portion steps (ours, no source)."""


class Change(NamedTuple):
    """One change to one dish of the day."""

    plate: Plate
    portions: float
    """Afterwards."""
    before: float
    variant: Variant
    """Afterwards."""
    option: Option | None
    """The topping or swap that changes; None for a portion step."""
    taken: bool
    """Whether the option is taken in (else it is left away)."""
    cost: float


class Mend(NamedTuple):
    """A change of a day, and what its targets come to then."""

    changes: tuple[Change, ...]
    outcomes: tuple[Outcome, ...]
    meets: bool
    """False: no small change meets every target; this one comes nearest."""

    @property
    def sure(self) -> bool:
        """Whether every target is known throughout afterwards."""
        return all(one.fare is not Fare.UNKNOWN for one in self.outcomes)


_Group = tuple[tuple[Change, ...], Mapping[Tag, float]]
"""Changes, and what they add to each target's tag."""


def smallest(plates: Plates, total: DayTotal) -> Mend | None:
    """The smallest change after which a day with a missed target meets all; None where nothing comes nearer."""
    if not total.missed:
        return None
    eaten = plates.eaten_by(total.person.name, total.day.number)
    targets = tuple(one.target for one in total.outcomes if one.figure is not None)
    now = {target.tag: _amount(total.figures.get(target.tag)) for target in targets}
    nearest: tuple[float, tuple[Change, ...]] = (_miss(targets, now) - 1e-9, ())
    singles: list[_Group] = [((change,), _delta(change, targets)) for change in _changes(plates, eaten)]
    for groups in (singles, _pairs(singles)):
        for changes, delta in sorted(groups, key=_size):
            after = {tag: now[tag] + delta[tag] for tag in now}
            miss = _miss(targets, after)
            if miss <= 0:
                return _mend(changes, eaten, total.person.targets, True)
            if miss < nearest[0] - 1e-12:
                nearest = (miss, changes)
    return _mend(nearest[1], eaten, total.person.targets, False) if nearest[1] else None


def _pairs(singles: Sequence[_Group]) -> list[_Group]:
    """Two changes to two dishes of the day."""
    return [
        (one + other, {tag: first[tag] + second[tag] for tag in first})
        for (one, first), (other, second) in combinations(singles, 2)
        if one[0].plate is not other[0].plate
    ]


def _size(group: _Group) -> tuple[float, int]:
    changes = group[0]
    return sum(change.cost for change in changes) + SECOND_COST * (len(changes) - 1), len(changes)


def _miss(targets: Sequence[Target], amounts: Mapping[Tag, float]) -> float:
    """How far the amounts are from the targets, each as a share of its end; 0 when all are met."""
    miss = 0.0
    for target in targets:
        amount = amounts[target.tag]
        if target.under(amount) and target.low:
            miss += (target.low - amount) / target.low
        elif target.over(amount) and target.high is not None:
            miss += (amount - target.high) / max(target.high, 1e-9)
    return miss


def _amount(figure: Figure | None) -> float:
    return 0.0 if figure is None else figure.amount


def _delta(change: Change, targets: Sequence[Target]) -> dict[Tag, float]:
    old, new = change.plate.variant.label.per_portion, change.variant.label.per_portion
    return {
        target.tag: _amount(new.get(target.tag)) * change.portions - _amount(old.get(target.tag)) * change.before
        for target in targets
    }


def _changes(plates: Plates, eaten: Sequence[tuple[Plate, float]]) -> Iterator[Change]:
    """Every single change of a day."""
    for plate, portions in eaten:
        for steps in range(-MOST_STEPS, MOST_STEPS + 1):
            after = portions + steps * STEP
            if steps and after >= LEAST_PORTION - 1e-9:
                yield Change(plate, after, portions, plate.variant, None, True, abs(steps) * STEP_COST)
        yield from _options(plates, plate, portions)


def _options(plates: Plates, plate: Plate, portions: float) -> Iterator[Change]:
    """Each topping and swap of a dish that is not as it is now."""
    taken = plate.variant.choices
    for option in options_of(plates.variants.recipes.dish(plate.serving.recipe)):
        others = [each for each in taken if each.row != option.row]
        now = next((each for each in taken if each.row == option.row), None)
        same = now is not None and now.swap == option.swap
        try:
            variant = plates.variants.of(plate.serving.recipe, others if same else [*others, option])
        except Trouble:  # a choice that cannot be computed is no way out
            continue
        cost = TOPPING_COST if option.optional else SWAP_COST
        yield Change(plate, portions, portions, variant, option, not same, cost)


def _mend(
    changes: tuple[Change, ...], eaten: Sequence[tuple[Plate, float]], targets: Sequence[Target], meets: bool
) -> Mend:
    """The day as changed, summed anew."""
    changed = {id(change.plate): change for change in changes}
    after = [
        (change.variant, change.portions) if (change := changed.get(id(plate))) else (plate.variant, portions)
        for plate, portions in eaten
    ]
    figures, _ = summed(after)
    left_out = to_taste(after)
    return Mend(changes, tuple(outcome(target, figures, left_out) for target in targets), meets)
