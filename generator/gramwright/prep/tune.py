"""The smallest change of a recipe's rows that meets targets per portion. Takes a recipe and targets, gives a Tuned.

    tune(recipes, slug, targets, asked, packs, finished) -> Tuned

A row moves in whole steps of its own unit (5 g, a whole egg) between its limits (`tune_rows`). The smallest change is
the one with the least sum of relative changes, few rows before many, the weight of the whole batch staying near what
it was. It is found by mixed-integer programming (`tune_solve`), which is linear; what it finds is computed again by
the engine, and only what the engine says is said. Where no change within the limits meets every target, the nearest
point that can be reached is given as what it is. A finished weight that is asked for is no target but a limit: nothing
outside of it is ever given.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from gramwright.labelling.label import SALT_FROM_SODIUM
from gramwright.labelling.rules_model import RuleSet
from gramwright.model import Dish, Label, Quantity, Tag, Target
from gramwright.prep.needs import needs_of
from gramwright.prep.packs import NONE, Pack, pack_of
from gramwright.prep.recipes import Recipes
from gramwright.prep.tune_rows import Asked, Lever, Span, levers
from gramwright.prep.tune_solve import Goal, Knob, solve
from gramwright.problems import ProblemLog, Trouble

ROUNDS = 4
"""Times that the arithmetic is set right where the engine comes to another figure."""
COMPLETE = 1 - 1e-9


class Move(NamedTuple):
    """A row that changes."""

    lever: Lever
    after: float

    @property
    def grams(self) -> float:
        """What the batch gains."""
        return (self.after - self.lever.amount) * self.lever.grams


class Reached(NamedTuple):
    """One target before and after, by the engine; None where nothing is known."""

    target: Target
    before: float | None
    after: float | None
    coverage: float
    fare: str
    """'met', 'missed', or 'unsure': what is not known could take it over its upper end."""


class Tuned(NamedTuple):
    """What was found. With `met` false it is the nearest point that can be reached."""

    before: Dish
    after: Dish
    label_before: Label
    label_after: Label
    levers: tuple[Lever, ...]
    moves: tuple[Move, ...]
    reached: tuple[Reached, ...]
    cost_before: tuple[float, float]
    """(price of a portion, share of the bought grams that has a price)."""
    cost_after: tuple[float, float]
    currency: str
    """'' where no price is known, or in more than one currency."""
    finished: Span | None = None
    """What the finished weight had to lie within."""

    @property
    def met(self) -> bool:
        weight = self.after.finished_g
        kept = self.finished is None or (weight is not None and self.finished.holds(weight))
        return kept and all(one.fare != "missed" for one in self.reached)


def tune(
    recipes: Recipes,
    slug: str,
    targets: Sequence[Target],
    asked: Sequence[Asked] = (),
    packs: Mapping[str, Pack] = NONE,
    finished: Span | None = None,
) -> Tuned:
    """The smallest change that meets all targets, or the nearest point; figures are the engine's.

    `packs`: food id -> what a pack holds and costs, before what the tables say. `finished`: limits of the finished
    weight, which what is found keeps, whatever becomes of the targets.

    Raises Trouble 'unknown-recipe', 'recipe-broken', 'unknown-row', 'bad-rows', 'nothing-known', 'no-optimiser',
    'no-finished-weight', 'weight-out-of-reach'.
    """
    dish = recipes.dish(slug)
    label = recipes.label(dish)
    rows = levers(dish, asked)
    knobs = [_knob(lever) for lever in rows]
    goals = [_goal(target, dish, label, recipes.rules, rows) for target in targets]
    within = None if finished is None else _within(finished, dish, rows)
    made, found = dish, label
    moves: tuple[Move, ...] = ()
    for _ in range(ROUNDS):
        counts = solve(knobs, goals, dish.raw_g, within)
        if counts is None:
            raise _out_of_reach(finished, within, knobs)
        moves = tuple(
            Move(lever, round(lever.amount + count * lever.step, 6))
            for lever, count in zip(rows, counts, strict=True)
            if count
        )
        made = _cooked(recipes, dish, moves)
        found = recipes.label(made)
        off = [_amount(found, goal.tag) - goal.at(counts) for goal in goals]
        heavier = 0.0 if within is None else (made.finished_g or 0.0) - within.at(counts)
        if within is not None:
            within = replace(within, base=within.base + heavier)
        if abs(heavier) <= 1e-6 * dish.raw_g and all(
            abs(error) <= 1e-6 * goal.scale for error, goal in zip(off, goals, strict=True)
        ):
            break
        goals = [replace(goal, base=goal.base + error) for error, goal in zip(off, goals, strict=True)]
    before_cost, after_cost, currency = _costs(dish, made, packs)
    return Tuned(
        before=dish,
        after=made,
        label_before=label,
        label_after=found,
        levers=rows,
        moves=moves,
        reached=tuple(_reached(target, label, found) for target in targets),
        cost_before=before_cost,
        cost_after=after_cost,
        currency=currency,
        finished=finished,
    )


def _within(finished: Span, dish: Dish, rows: Sequence[Lever]) -> Goal:
    """The finished weight as arithmetic: a measured one gains what the rows gain, another one its share of that."""
    if dish.finished_g is None:
        raise Trouble(
            "no-finished-weight",
            f"expected a recipe whose finished weight is known, found none said of '{dish.page.slug}'",
            "weigh the batch and write 'finished_weight: ... g', or write its 'yield'",
        )
    share = 1.0 if dish.page.finished_g is not None else dish.finished_g / dish.raw_g
    slopes = tuple(lever.step * lever.grams * share for lever in rows)
    return Goal("finished_g", dish.finished_g, slopes, finished.low, finished.high)


def _out_of_reach(finished: Span | None, within: Goal | None, knobs: Sequence[Knob]) -> Trouble:
    """No step of any row comes into the limits of the weight."""
    lightest = heaviest = 0.0 if within is None else within.base
    for knob, slope in zip(knobs, () if within is None else within.slopes, strict=False):
        lightest, heaviest = lightest + knob.least * slope, heaviest + knob.most * slope
    return Trouble(
        "weight-out-of-reach",
        f"expected a finished weight that the rows can come to in their steps, from {lightest:.0f} to "
        f"{heaviest:.0f} g, found {finished} asked for",
        "allow another weight, or more of the rows: --rows FOOD=MIN-MAX/STEP",
    )


def _knob(lever: Lever) -> Knob:
    return Knob(
        least=-int((lever.amount - lever.low) / lever.step + 1e-9),
        most=int((lever.high - lever.amount) / lever.step + 1e-9),
        cost=lever.step / lever.amount,
        grams=lever.step * lever.grams,
    )


def _amount(label: Label, tag: Tag) -> float:
    figure = label.per_portion.get(tag)
    return 0.0 if figure is None else figure.amount


def _goal(target: Target, dish: Dish, label: Label, rules: RuleSet, rows: Sequence[Lever]) -> Goal:
    """The target as arithmetic: what the portion has, and what each step of each row adds to it."""
    if target.tag not in label.per_portion:
        raise Trouble(
            "nothing-known",
            f"expected a recipe whose {target.key} is known, found it for no row of '{dish.page.slug}'",
            "correct the foods first: gramwright correct",
        )
    slopes = tuple(_share(target.tag, lever.index, dish, label, rules) * lever.step / lever.amount for lever in rows)
    return Goal(target.tag, _amount(label, target.tag), slopes, target.low, target.high)


def _share(tag: Tag, index: int, dish: Dish, label: Label, rules: RuleSet) -> float:
    """What one row gives of a figure per portion, as far as it is known."""
    totals, portions = dish.row_totals[index], dish.page.portions
    if tag == "ENERC_kcal":
        return label.row_energy_kcal[index] or 0.0
    if tag == "SALT_g":
        return totals.get("NA_mg", 0.0) * SALT_FROM_SODIUM / portions
    if tag == "ENERC_kJ" and label.energy_by != "table":
        weights: Mapping[Tag, float] = rules.energy.weights_kj
        total: float = sum(weight * totals.get(part, 0.0) for part, weight in weights.items())
        return total / portions
    return totals.get(tag, 0.0) / portions


def _cooked(recipes: Recipes, dish: Dish, moves: Sequence[Move]) -> Dish:
    """The recipe with its rows changed, by the engine. A measured weight gains what the rows gain."""
    if not moves:
        return dish
    page = dish.page
    rows = list(page.rows)
    for move in moves:
        rows[move.lever.index] = replace(
            rows[move.lever.index], quantity=Quantity(move.after, move.after, written(move.after))
        )
    finished = None if page.finished_g is None else max(page.finished_g + sum(move.grams for move in moves), 1.0)
    log = ProblemLog()
    made = recipes.cook(replace(page, rows=tuple(rows), finished_g=finished), log)
    if made is None:
        first = next((problem for problem in log if problem.severity == "error"), None)
        raise Trouble(
            "recipe-broken",
            f"expected a recipe that can be computed when changed, found: {first.message if first else 'nothing'}",
            first.hint if first else "change the limits",
        )
    return made


def written(amount: float) -> str:
    """A number as it is written into a row: '165', '1.5'."""
    return f"{round(amount, 3):g}" if abs(amount) < 1e5 else f"{amount:.0f}"


def _reached(target: Target, before: Label, after: Label) -> Reached:
    old, new = before.per_portion.get(target.tag), after.per_portion.get(target.tag)
    coverage = 0.0 if new is None else new.coverage
    if new is None or not target.met(new.amount):
        fare = "missed"
    else:
        open_end = coverage < COMPLETE or target.tag in after.to_taste
        fare = "unsure" if target.high is not None and open_end else "met"
    return Reached(target, None if old is None else old.amount, None if new is None else new.amount, coverage, fare)


def _costs(
    before: Dish, after: Dish, packs: Mapping[str, Pack]
) -> tuple[tuple[float, float], tuple[float, float], str]:
    """Price of a portion before and after, as far as pack prices are known; '' for no one currency."""
    known = {}
    for need in (*needs_of(before), *needs_of(after)):
        pack = pack_of(need.food, packs)
        if pack is not None and pack.price is not None:
            known[need.food.id] = (pack.price.amount / pack.usable_g, pack.price.code)
    currencies = {currency for _, currency in known.values()}
    if len(currencies) != 1:
        return (0.0, 0.0), (0.0, 0.0), ""

    def cost(dish: Dish) -> tuple[float, float]:
        needs = needs_of(dish)
        whole = sum(need.bought_g for need in needs)
        priced = [need for need in needs if need.food.id in known]
        share = sum(need.bought_g for need in priced) / whole if whole > 0 else 0.0
        return sum(need.bought_g * known[need.food.id][0] for need in priced), share

    return cost(before), cost(after), currencies.pop()
