"""One shopping list for a plan. Takes plates and what is in the house, gives what to buy, aisle by aisle.

Rows are merged by food over all recipes and sub-recipes, for the portions that
are made. What is in the house is taken first, the oldest date first, and
only what is good on the day it is eaten; the rest is rounded up to whole packs
where the hub knows the pack. No gram is lost:

    from the house + bought (packs x pack) = needed + left over
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil
from typing import NamedTuple

from gramwright.model import Food
from gramwright.prep.aisles import Aisle, aisle_of, is_free
from gramwright.prep.needs import needs_of
from gramwright.prep.packs import NONE, Pack, pack_of
from gramwright.prep.plates import Plates, dates_of
from gramwright.prep.recipes import Variant, options_of
from gramwright.problems import ProblemLog, Trouble
from gramwright.reading.fold import fold

SMALLEST_LEFT_G = 5.0
"""Less than this is not worth finding a use for."""
ROUNDING = 1e-9


class Stock(NamedTuple):
    """Some of a food in the house."""

    food: Food
    grams: float
    best_before: str
    """ISO date or ''."""


class Portion(NamedTuple):
    """Portions of one variant that are made; `days`: when it is eaten (for extras: the day it is cooked)."""

    variant: Variant
    portions: float
    day: int


class LeftUse(NamedTuple):
    """Where the plan could use what is left of a pack: as a topping or a swap, or in more portions of a dish."""

    recipe: str
    """Slug."""
    title: str
    kind: str
    """'topping', 'swap' or 'portions'."""
    portions: float
    """How many portions it is enough for."""


@dataclass(frozen=True, slots=True)
class Item:
    """One food of the list; grams as bought."""

    food: Food
    raw: bool
    needed_g: float
    eaten_g: float
    """Of these, what is eaten."""
    house_g: float
    """From what is in the house."""
    pack: Pack | None
    packs: int
    taste: bool
    """Some row has it 'to taste'; with nothing needed beside that, no amount is known."""
    uses: tuple[tuple[str, float], ...]
    """(recipe title, grams needed), in the plan's order."""
    measures: Mapping[str, float] = field(default_factory=dict)
    """Measure that rows count it by, folded -> grams needed by it."""
    left_uses: tuple[LeftUse, ...] = ()

    @property
    def buy_g(self) -> float:
        """Still needed after what is in the house."""
        short = self.needed_g - self.house_g
        return short if short > ROUNDING * max(1.0, self.needed_g) else 0.0

    @property
    def bought_g(self) -> float:
        """What the packs hold; without a known pack, what is needed."""
        return self.buy_g if self.pack is None else self.packs * self.pack.usable_g

    @property
    def left_g(self) -> float:
        """Of the bought packs, afterwards."""
        return max(0.0, self.bought_g - self.buy_g)


class Shopping(NamedTuple):
    aisles: tuple[tuple[Aisle, tuple[Item, ...]], ...]
    """To buy, in the order one walks through the shop; in an aisle by name."""
    house: tuple[Item, ...]
    """What is in the house already, wholly or in part."""
    free: tuple[Item, ...]
    """Needed but not bought: water."""
    checked_dates: bool
    """False: the plan has no dates, so the dates in the house could not be compared."""

    @property
    def items(self) -> tuple[Item, ...]:
        """Everything that is needed, once."""
        bought = {item.food.id: item for _, items in self.aisles for item in items}
        return (*bought.values(), *(item for item in self.house if item.food.id not in bought), *self.free)


@dataclass(slots=True)
class _Sum:
    food: Food
    needed: float = 0.0
    eaten: float = 0.0
    raw: bool = False
    taste: bool = False
    uses: dict[str, float] = field(default_factory=dict)
    measures: dict[str, float] = field(default_factory=dict)
    by_day: dict[int, float] = field(default_factory=dict)


def portions_made(plates: Plates) -> tuple[Portion, ...]:
    """Everything that is cooked: what is eaten as it was chosen, extras as the recipe is written."""
    eaten = [Portion(plate.variant, plate.portions, plate.serving.day) for plate in plates.plates]
    extra = [
        Portion(plates.variants.of(batch.recipe), batch.extra, batch.day)
        for batch in plates.batches
        if batch.extra > ROUNDING
    ]
    return (*eaten, *extra)


def shopping(
    plates: Plates,
    stock: Mapping[str, Sequence[Stock]],
    language: str,
    log: ProblemLog,
    packs: Mapping[str, Pack] = NONE,
) -> Shopping:
    """The list. `stock`: food id -> what is in the house; `packs`: food id -> the pack, before what its table says.

    Bad packs are logged at the food's line in its table.
    """
    sums = _summed(portions_made(plates))
    items: list[Item] = []
    for one in sums.values():
        try:
            pack = pack_of(one.food, packs)
        except Trouble as trouble:
            log.add(trouble.at(one.food.place))
            continue
        house = 0.0 if is_free(one.food) else _from_house(one, stock.get(one.food.id, ()), plates)
        items.append(_item(one, pack, house, plates))
    by_aisle: dict[Aisle, list[Item]] = {}
    for item in items:
        if not is_free(item.food) and (item.buy_g > 0 or (item.taste and not item.house_g)):
            by_aisle.setdefault(aisle_of(item.food, language), []).append(item)
    return Shopping(
        aisles=tuple((aisle, tuple(sorted(by_aisle[aisle], key=_by_name))) for aisle in sorted(by_aisle)),
        house=tuple(sorted((item for item in items if item.house_g > 0), key=_by_name)),
        free=tuple(item for item in items if is_free(item.food)),
        checked_dates=plates.plan.dated,
    )


def _by_name(item: Item) -> tuple[str, str]:
    return item.food.name.casefold(), item.food.id


def _summed(portions: Sequence[Portion]) -> dict[str, _Sum]:
    sums: dict[str, _Sum] = {}
    for portion in portions:
        for need in needs_of(portion.variant.dish):
            one = sums.setdefault(need.food.id, _Sum(need.food))
            grams = need.bought_g * portion.portions
            one.needed += grams
            one.eaten += need.eaten_g * portion.portions
            one.raw |= need.raw
            one.taste |= need.taste
            title = portion.variant.title
            one.uses[title] = one.uses.get(title, 0.0) + grams
            measure = fold(need.measure)
            one.measures[measure] = one.measures.get(measure, 0.0) + grams
            one.by_day[portion.day] = one.by_day.get(portion.day, 0.0) + grams
    return sums


def _from_house(one: _Sum, stock: Sequence[Stock], plates: Plates) -> float:
    """Grams taken from the house: the oldest first, each only for days on which it is still good."""
    dates = dates_of(plates.plan)
    open_days = dict(sorted(one.by_day.items()))
    taken = 0.0
    for entry in sorted(stock, key=lambda each: (each.best_before or "9999", each.grams)):
        left = entry.grams
        for day in open_days:
            if entry.best_before and dates.get(day, "") > entry.best_before:
                continue
            used = min(left, open_days[day])
            open_days[day] -= used
            left -= used
            taken += used
    return min(taken, one.needed)


def _item(one: _Sum, pack: Pack | None, house_g: float, plates: Plates) -> Item:
    short = one.needed - house_g
    packs = 0
    if pack is not None and short > ROUNDING * max(1.0, one.needed):
        packs = ceil(short / pack.usable_g - 1e-6)
    elif pack is not None and one.taste and not one.needed and not house_g:
        packs = 1
    uses = tuple(one.uses.items())
    item = Item(one.food, one.raw, one.needed, one.eaten, house_g, pack, max(packs, 0), one.taste, uses, one.measures)
    if item.left_g < SMALLEST_LEFT_G or is_free(one.food):
        return item
    return replace(item, left_uses=tuple(_left_uses(one.food, item.left_g, plates)))


def _left_uses(food: Food, left_g: float, plates: Plates) -> Iterator[LeftUse]:
    """Toppings and swaps of the plan's dishes that are not taken, then more portions of what needs it anyway."""
    seen: set[str] = set()
    for plate in plates.plates:
        slug = plate.serving.recipe
        if slug in seen:
            continue
        seen.add(slug)
        base = plates.variants.recipes.dish(slug)
        taken = {(choice.row, choice.swap) for choice in plate.variant.choices}
        for option in options_of(base):
            grams = option.ingredient.weighed_g / base.page.portions
            if option.ingredient.food is food and (option.row, option.swap) not in taken and 0 < grams <= left_g:
                kind = "topping" if option.optional else "swap"
                yield LeftUse(slug, plate.variant.title, kind, left_g / grams)
        each = sum(need.bought_g for need in needs_of(plate.variant.dish) if need.food is food)
        if 0 < each <= left_g:
            yield LeftUse(slug, plate.variant.title, "portions", left_g / each)
