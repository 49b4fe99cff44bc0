"""Sums with their ranges. Takes a recipe's content, gives per component the amount, its two ends and its coverage.

How the ends come about. Two things are loose: the grams of a row and the value
of a food. Independent parts are combined in quadrature (root of the sum of
squares): the weighings of different foods, the values of different foods.
Shared parts are added up before squaring: a food's value errs the same way in
every row that holds it, through all sub-recipes; a sub-recipe's amount errs for
everything in it at once; rows of one food measured in one way count as one
measuring. A product of two errors is carried along (the value's error is taken
at root(g^2 + h^2) grams).

Unknown values are not drawn at random: a table leaves a component out for one
reason, and nothing says that one gap makes up for another. They take nothing
from the lower end (they may be nothing) and add the most that is plausible to
the upper end, in full. Only so can it be promised that a value which becomes
unknown never lowers the upper end: with any smaller addition a known value near
the plausible limit would reach higher.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from gramwright.model import Figure, Tag
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.parts import Content, Part, Whole
from gramwright.nutrition.profiles import Mix, Profile


@dataclass(slots=True)
class Load:
    """All grams of one profile in a recipe."""

    profile: Profile
    grams: float
    down2: float
    up2: float
    gap_g: float
    share_g: float


def loads(parts: list[Part]) -> list[Load]:
    """Parts of the same food and preparation put together, in order of first appearance."""
    found: dict[int, Load] = {}
    for part in parts:
        load = found.get(id(part.profile))
        if load is None:
            found[id(part.profile)] = Load(
                part.profile, part.grams, part.down2, part.up2, part.gap_g, part.share_g
            )
        else:
            load.grams += part.grams
            load.down2 += part.down2
            load.up2 += part.up2
            load.gap_g += part.gap_g
            load.share_g += part.share_g
    return list(found.values())


def pairs_of_one_food(loaded: list[Load]) -> list[tuple[Load, Load]]:
    """The same food under different preparations: their value errors are one error."""
    by_food: dict[int, list[Load]] = {}
    for load in loaded:
        by_food.setdefault(id(load.profile.food), []).append(load)
    if len(by_food) == len(loaded):
        return []
    return [
        (one, other)
        for same in by_food.values()
        for place, one in enumerate(same)
        for other in same[place + 1 :]
    ]


def totals(content: Content, books: NutritionBooks, water: tuple[float, float]) -> dict[Tag, Figure]:
    """Every component that at least one row knows. `water`: (grams taken up, half-width) of the whole recipe."""
    shelf = books.shelf
    size = len(shelf.tags)
    amount, lower2, upper2 = [0.0] * size, [0.0] * size, [0.0] * size
    gap, unknown_g, unknown = [0.0] * size, [0.0] * size, [0] * size
    loaded = loads(content.parts)
    for load in loaded:
        profile, grams, down2, up2 = load.profile, load.grams, load.down2, load.up2
        square = grams * grams
        low_square, high_square = square + down2, square + up2
        amount = [a + grams * x for a, x in zip(amount, profile.amounts, strict=True)]
        lower2 = [
            a + low_square * d + down2 * s for a, d, s in zip(lower2, profile.down2, profile.squares, strict=True)
        ]
        upper2 = [
            a + high_square * u + up2 * s for a, u, s in zip(upper2, profile.up2, profile.squares, strict=True)
        ]
        gap_g, share_g = load.gap_g, load.share_g
        for place, most in profile.gaps:
            gap[place] += most * gap_g
            unknown_g[place] += share_g
            unknown[place] += 1
    for one, other in pairs_of_one_food(loaded):
        both = 2 * one.grams * other.grams
        (down_1, up_1), (down_2, up_2) = one.profile.halves, other.profile.halves
        lower2 = [a + both * x * y for a, x, y in zip(lower2, down_1, down_2, strict=True)]
        upper2 = [a + both * x * y for a, x, y in zip(upper2, up_1, up_2, strict=True)]
    for whole in content.wholes:
        _add_whole(whole, lower2, upper2)
    place = shelf.places["WATER_g"]
    change, half = water
    if change or half:
        amount[place] = max(0.0, amount[place] + change)
        lower2[place] += half * half
        upper2[place] += half * half
    all_g, count = content.share_g, len(loaded)
    figures: dict[Tag, Figure] = {}
    for tag, place in shelf.order:
        missing = unknown[place]
        if missing == count:
            continue
        known = amount[place]
        low = known - sqrt(lower2[place])
        if not missing:
            figures[tag] = Figure(known, low if low > 0 else 0.0, known + sqrt(upper2[place]), 1.0)
        else:
            figures[tag] = Figure(
                known,
                low if low > 0 else 0.0,
                known + sqrt(upper2[place]) + gap[place],
                max(0.0, 1.0 - unknown_g[place] / all_g),
            )
    return figures


def _add_whole(whole: Whole, lower2: list[float], upper2: list[float]) -> None:
    """A sub-recipe's own amount: everything in it errs together."""
    held = [0.0] * len(lower2)
    for part in whole.content.parts:
        grams = part.grams
        held = [a + grams * x for a, x in zip(held, part.profile.amounts, strict=True)]
    down2, up2 = (whole.factor * whole.down) ** 2, (whole.factor * whole.up) ** 2
    for place, amount in enumerate(held):
        lower2[place] += down2 * amount * amount
        upper2[place] += up2 * amount * amount


def mixture(content: Content, mix: Mix) -> Figure:
    """One linear combination over the content, with its range and coverage."""
    amount = lower2 = upper2 = gap_low = gap_high = covered_g = 0.0
    loaded = loads(content.parts)
    for load in loaded:
        blend = load.profile.blend(mix)
        grams, each = load.grams, blend.amount
        square, each2 = grams * grams, each * each
        amount += grams * each
        lower2 += (square + load.down2) * blend.down2 + load.down2 * each2
        upper2 += (square + load.up2) * blend.up2 + load.up2 * each2
        gap_low += blend.gap_low * load.gap_g
        gap_high += blend.gap_high * load.gap_g
        if blend.covered:
            covered_g += load.share_g
    for one, other in pairs_of_one_food(loaded):
        both = 2 * one.grams * other.grams
        first, second = one.profile.blend(mix), other.profile.blend(mix)
        lower2 += both * sqrt(first.down2 * second.down2)
        upper2 += both * sqrt(first.up2 * second.up2)
    for whole in content.wholes:
        held = sum(part.grams * part.profile.blend(mix).amount for part in whole.content.parts) * whole.factor
        lower2 += (held * whole.down) ** 2
        upper2 += (held * whole.up) ** 2
    share = min(1.0, covered_g / content.share_g) if content.share_g > 0 else 1.0
    if share > 1 - 1e-12:
        share = 1.0
    low = amount - sqrt(lower2) - gap_low
    return Figure(amount, min(amount, max(0.0, low)), amount + sqrt(upper2) + gap_high, share)
