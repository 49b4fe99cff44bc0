"""Sums with their ranges. Takes a recipe's content, gives per component the amount, its two ends and its coverage.

How the ends come about. Two things are loose: the grams of a row and the value
of a food. Independent parts are combined in quadrature (root of the sum of
squares): the weighings of different foods, the values of different foods.
Shared parts are added up before squaring: a food's value errs the same way in
every row that holds it, through all sub-recipes; a sub-recipe's amount errs for
everything in it at once; rows of one food measured in one way count as one
measuring. A product of two errors is carried along (the value's error is taken
at root(g^2 + h^2) grams). Where a half-width is wider above than below (a
declared 0.3 g that may be 2.3 g), half of the difference is added up, since a
dozen such values do not even out.

Unknown values are not drawn at random: a table leaves a component out for one
reason, and nothing says that one gap makes up for another. They take nothing
from the lower end (they may be nothing) and add the most that is plausible to
the upper end, in full. Only so can it be promised that a value which becomes
unknown never lowers the upper end: with any smaller addition a known value near
the plausible limit would reach higher.
"""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

from gramwright.model import Figure, Tag
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.parts import Content, Part, Whole
from gramwright.nutrition.profiles import Mix


def totals(content: Content, books: NutritionBooks, water: tuple[float, float]) -> dict[Tag, Figure]:
    """Every component that at least one row knows. `water`: (grams taken up, half-width) of the whole recipe."""
    shelf = books.shelf
    size = len(shelf.places)
    amount, lower2, upper2 = [0.0] * size, [0.0] * size, [0.0] * size
    low, high = [0.0] * size, [0.0] * size  # what is added up
    unknown_g, unknown = [0.0] * size, [0] * size
    for load in content.loads:
        profile, grams, down2, up2, gap_g, share_g = (
            load.profile, load.grams, load.down2, load.up2, load.gap_g, load.share_g
        )  # fmt: skip
        low_square, high_square = grams * grams + down2, grams * grams + up2
        for place, each, square, below2, above2 in profile.terms:
            amount[place] += grams * each
            lower2[place] += low_square * below2 + down2 * square
            upper2[place] += high_square * above2 + up2 * square
        for place, below, above in profile.skews:
            low[place] += below * gap_g
            high[place] += above * gap_g
        for place, most in profile.gaps:
            high[place] += most * gap_g
            unknown_g[place] += share_g
            unknown[place] += 1
    for one, other in content.pairs:
        both = 2 * one.grams * other.grams
        second = other.profile.halves
        for place, (below, above, _, _) in one.profile.halves.items():
            lower2[place] += both * below * second[place][0]
            upper2[place] += both * above * second[place][1]
    for whole in content.wholes:
        _add_whole(whole, lower2, upper2, low, high)
    change, half = water
    if change or half:
        place = shelf.water
        amount[place] = max(0.0, amount[place] + change)
        lower2[place] += half * half
        upper2[place] += half * half
    all_g, count = content.share_g, len(content.loads)
    figures: dict[Tag, Figure] = {}
    for tag, place in shelf.order:
        missing = unknown[place]
        if missing == count:
            continue
        known = amount[place]
        least = known - sqrt(lower2[place]) - low[place]
        coverage = 1.0 if not missing else max(0.0, 1.0 - unknown_g[place] / all_g)
        figures[tag] = Figure(known, least if least > 0 else 0.0, known + sqrt(upper2[place]) + high[place], coverage)
    return figures


def _add_whole(whole: Whole, lower2: list[float], upper2: list[float], low: list[float], high: list[float]) -> None:
    """A sub-recipe's own amount: everything in it errs together."""
    held = [0.0] * len(lower2)
    for part in whole.content.loads:
        grams = part.grams * whole.factor
        for place, each, _, _, _ in part.profile.terms:
            held[place] += grams * each
    down, up, below, above = whole.halves
    for place, amount in enumerate(held):
        if amount:
            lower2[place] += (down * amount) ** 2
            upper2[place] += (up * amount) ** 2
            low[place] += below * amount
            high[place] += above * amount


class Spread(NamedTuple):
    """What some rows add to a linear combination. Spreads of rows that share no food add up, field by field."""

    amount: float
    lower2: float
    upper2: float
    """Squared half-widths."""
    low: float
    high: float
    """What is added up rather than combined."""
    covered_g: float
    share_g: float

    @property
    def figure(self) -> Figure:
        """The combination with its range and coverage."""
        amount, lower2, upper2, low, high, covered_g, share_g = self
        share = min(1.0, covered_g / share_g) if share_g > 0 else 1.0
        if share > 1 - 1e-12:
            share = 1.0
        least = amount - sqrt(lower2) - low
        return Figure(amount, min(amount, max(0.0, least)), amount + sqrt(upper2) + high, share)


def mixture(content: Content, mix: Mix) -> Figure:
    """One linear combination over the content, with its range and coverage."""
    return spread(content, mix).figure


def spread(content: Content, mix: Mix) -> Spread:
    """One linear combination over the content, not yet put together."""
    amount = lower2 = upper2 = low = high = covered_g = 0.0
    for load in content.loads:
        blend = load.profile.blend(mix)
        grams, each = load.grams, blend.amount
        square, each2 = grams * grams, each * each
        amount += grams * each
        lower2 += (square + load.down2) * blend.down2 + load.down2 * each2
        upper2 += (square + load.up2) * blend.up2 + load.up2 * each2
        low += blend.low * load.gap_g
        high += blend.high * load.gap_g
        if blend.covered:
            covered_g += load.share_g
    for one, other in content.pairs:
        both = 2 * one.grams * other.grams
        first, second = one.profile.blend(mix), other.profile.blend(mix)
        lower2 += both * sqrt(first.down2 * second.down2)
        upper2 += both * sqrt(first.up2 * second.up2)
    for whole in content.wholes:
        held = sum(part.grams * part.profile.blend(mix).amount for part in whole.content.loads) * whole.factor
        down, up, below, above = whole.halves
        lower2 += (held * down) ** 2
        upper2 += (held * up) ** 2
        low += held * below
        high += held * above
    return Spread(amount, lower2, upper2, low, high, covered_g, content.share_g)


def half_of_load(load: Part, mix: Mix) -> float:
    """Half of what one food of a recipe leaves open in a linear combination."""
    blend = load.profile.blend(mix)
    grams, each = load.grams, blend.amount
    square, each2, amount = grams * grams, each * each, grams * each
    low = amount - sqrt((square + load.down2) * blend.down2 + load.down2 * each2) - blend.low * load.gap_g
    up = sqrt((square + load.up2) * blend.up2 + load.up2 * each2) + blend.high * load.gap_g
    return (amount + up - min(amount, max(0.0, low))) / 2
