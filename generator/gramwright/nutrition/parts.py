"""Recipes as foods. Takes ingredients, gives every food in them to any depth with its grams and how loose those are.

A row that is a recipe is opened into its own foods, so that a food which is in
both shares the error of its values, and an unknown value stays unknown all the
way up. What the two rooms above need: `Content`, one flat list.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import sqrt

from gramwright.model import Dish, Ingredient, Scale, Weight
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.profiles import Profile, Sides, sides

_MOST_INNER = 512

_Key = tuple[int, Scale, str, bool, float, str | None]
"""What rows must share to count as measured once."""


@dataclass(slots=True)
class Part:
    """One food's grams. `down2`, `up2`: squared half-widths of the grams."""

    profile: Profile
    grams: float
    down2: float
    up2: float
    gap_g: float
    """Grams that an unknown value may stand for: the upper end, errors added up."""
    share_g: float
    """Eaten grams for coverage (a recipe's foods share out the grams of its row)."""


@dataclass(slots=True)
class Whole:
    """A row that is a recipe: what it holds, and how loose its amount is."""

    content: Content
    factor: float
    """Grams of the row / the recipe's basis weight."""
    halves: Sides
    """As shares of what it holds."""


@dataclass(slots=True)
class Content:
    """What a recipe, or some of its rows, holds."""

    loads: list[Part] = field(default_factory=list)
    """Each food and preparation once."""
    pairs: list[tuple[Part, Part]] = field(default_factory=list)
    """Loads that are the same food under two preparations."""
    wholes: list[Whole] = field(default_factory=list)
    water_g: float = 0.0
    """Water that the recipes in it took up (or lost, below 0) in cooking."""
    water_half_g: float = 0.0
    share_g: float = 0.0
    version: int = 0
    """Of the shelf that the profiles are from."""
    row_by_row: bool = False
    """Each load is one row, in the rows' order."""


def content_of(ingredients: Iterable[Ingredient], books: NutritionBooks) -> Content:
    """The foods of some rows. Raises Trouble for an unknown retention code."""
    rows = [item for item in ingredients if item.grams > 0]
    while True:  # a tag met for the first time is unknown to every food made ready before: once more, then
        content = _open(rows, books)
        if content.version == books.shelf.version:
            return content


def _open(rows: list[Ingredient], books: NutritionBooks) -> Content:
    version = books.shelf.version
    parts: list[Part] = []
    content = Content(version=version, share_g=sum(item.grams for item in rows))
    foods = [item for item in rows if item.food is not None]
    plain = len({id(item.food) for item in foods}) == len(foods) == len(rows)
    if plain:  # nothing is shared: one part a row
        for item in foods:
            profile = books.profile(item.food, item.row.cooked_as)  # type: ignore[arg-type]
            parts.append(_part(profile, item.grams, (item,), books))
        content.loads, content.row_by_row = parts, True
        return content
    batches: dict[_Key, list[Ingredient]] = {}
    profiles: dict[int, Profile] = {}
    recipes: dict[int, dict[_Key, list[Ingredient]]] = {}
    for item in rows:
        row = item.row
        if item.dish is not None:
            key = (id(item.dish), item.scale, item.measure, row.gross, row.eaten, row.weighed)
            recipes.setdefault(id(item.dish), {}).setdefault(key, []).append(item)
        elif item.food is not None:
            profile = books.profile(item.food, row.cooked_as)
            profiles[id(profile)] = profile
            key = (id(profile), item.scale, item.measure, row.gross, row.eaten, row.weighed)
            batches.setdefault(key, []).append(item)
    for same in recipes.values():
        _add_dish(content, parts, list(same.values()), books)
    for key, batch in batches.items():  # rows of one food measured in one way: as if measured once
        parts.append(_part(profiles[key[0]], sum(item.grams for item in batch), batch, books))
    content.loads = _put_together(parts)
    content.pairs = _pairs_of_one_food(content.loads)
    content.wholes = _wholes_together(content.wholes)
    return content


def _put_together(parts: list[Part]) -> list[Part]:
    """Parts of the same food and preparation as one, in order of first appearance."""
    found: dict[int, Part] = {}
    for part in parts:
        load = found.get(id(part.profile))
        if load is None:
            found[id(part.profile)] = part
        else:
            load.grams += part.grams
            load.down2 += part.down2
            load.up2 += part.up2
            load.gap_g += part.gap_g
            load.share_g += part.share_g
    return list(found.values())


def _pairs_of_one_food(loads: list[Part]) -> list[tuple[Part, Part]]:
    """The same food under different preparations: their value errors are one error."""
    by_food: dict[int, list[Part]] = {}
    for load in loads:
        by_food.setdefault(id(load.profile.food), []).append(load)
    return [(one, other) for same in by_food.values() for place, one in enumerate(same) for other in same[place + 1 :]]


def _part(profile: Profile, grams: float, batch: Sequence[Ingredient], books: NutritionBooks) -> Part:
    down, up = grams_error(batch, grams, books)
    return Part(profile, grams, down * down, up * up, grams + up, grams)


def grams_error(batch: Sequence[Ingredient], grams: float, books: NutritionBooks) -> tuple[float, float]:
    """Half-widths below and above of rows' grams: the written range, the measure, trimming and the share eaten."""
    first = batch[0]
    row = first.row
    low, high, weighed = first.low_g, first.high_g, first.weighed_g
    for item in batch[1:]:
        low += item.low_g
        high += item.high_g
        weighed += item.weighed_g
    loose = books.looseness.measures
    ratio = grams / weighed if weighed > 0 else 1.0
    own = min(grams, loose.half(first.scale, first.measure, weighed) * ratio)
    if low == grams == high and row.eaten == 1 and not row.gross and row.weighed is None:
        return own, own
    own *= own
    if row.gross and first.food is not None and 0 < first.food.refuse < 1:
        own += (loose.gross * first.food.refuse / (1 - first.food.refuse) * grams) ** 2
    if row.eaten < 1:
        own += (loose.eaten * min(row.eaten, 1 - row.eaten) / row.eaten * grams) ** 2
    if row.weighed is not None:
        own += (loose.weighed * grams) ** 2
    down, up = sqrt(own + max(0.0, grams - low) ** 2), sqrt(own + max(0.0, high - grams) ** 2)
    return min(down, grams), up


def _add_dish(content: Content, parts: list[Part], batches: list[list[Ingredient]], books: NutritionBooks) -> None:
    """Opens all rows that are one recipe: its foods by the share of the batch that is used."""
    dish = batches[0][0].dish
    if dish is None or dish.basis_g <= 0 or dish.raw_g <= 0:
        return
    inner = _inner(dish, books)
    grams = by_weight = down2 = up2 = 0.0
    for batch in batches:
        used = sum(item.grams for item in batch)
        below, above = grams_error(batch, used, books)
        grams, down2, up2 = grams + used, down2 + below * below, up2 + above * above
        if batch[0].scale is not Scale.PORTIONS:  # a share of the batch needs no finished weight
            by_weight += used
    low, high = ends = finished_ends(dish, books)
    down = min(1.0, sqrt(down2 + ((1 - 1 / high) * by_weight) ** 2) / grams)
    up = sqrt(up2 + ((1 / low - 1) * by_weight) ** 2) / grams
    factor, share = grams / dish.basis_g, grams / dish.raw_g
    for part in inner.loads:
        parts.append(
            Part(
                part.profile,
                part.grams * factor,
                part.down2 * factor * factor,
                part.up2 * factor * factor,
                part.gap_g * factor * (1 + up),
                part.share_g * share,
            )
        )
    for whole in inner.wholes:
        content.wholes.append(Whole(whole.content, whole.factor * factor, whole.halves))
    content.wholes.append(Whole(inner, factor, sides(down, up)))
    change, half = water_change(inner, dish.raw_g, dish.finished_g, ends, books)
    content.water_g += change * factor
    content.water_half_g = sqrt(content.water_half_g**2 + (half * factor) ** 2)


def _inner(dish: Dish, books: NutritionBooks) -> Content:
    """The content of a recipe that others use; opened once, whatever leads to it."""
    kept = books.inner_contents.get(id(dish))
    if kept is not None and kept[0] is dish and kept[1].version == books.shelf.version:
        return kept[1]
    content = content_of(dish.counted, books)
    if len(books.inner_contents) >= _MOST_INNER:
        books.inner_contents.clear()
    books.inner_contents[id(dish)] = (dish, content)
    return content


def _wholes_together(wholes: list[Whole]) -> list[Whole]:
    """The same sub-recipe reached by several ways errs once."""
    found: dict[tuple[int, Sides], Whole] = {}
    for whole in wholes:
        key = (id(whole.content), whole.halves)
        if key in found:
            found[key] = Whole(whole.content, found[key].factor + whole.factor, whole.halves)
        else:
            found[key] = whole
    return list(found.values())


def water_change(
    content: Content, raw_g: float, finished_g: float | None, ends: tuple[float, float], books: NutritionBooks
) -> tuple[float, float]:
    """Grams of water that a recipe took up in cooking (below 0: lost), with its half-width; never more than it had.

    `ends`: of the finished weight, as shares of it.
    """
    place = books.shelf.water
    raw = sum(part.profile.amount_at(place) * part.grams for part in content.loads) + content.water_g
    change, half = content.water_g, content.water_half_g
    if finished_g is not None:
        low, high = ends
        change = max(content.water_g + finished_g - raw_g, content.water_g - raw)
        half = sqrt(half * half + (finished_g * max(high - 1, 1 - low)) ** 2)
    return change, half


def finished_ends(dish: Dish, books: NutritionBooks) -> tuple[float, float]:
    """The ends of the weight behind per-100 g figures (finished, or raw where that is unknown), as shares of it."""
    return weight_ends(dish.finished_g, dish.finished_by, dish.page.yield_name, books)


def weight_ends(grams: float | None, by: Weight, yield_name: str, books: NutritionBooks) -> tuple[float, float]:
    """The ends of a finished weight by how it is known, as shares of it."""
    if by is Weight.TYPICAL:
        typical = books.typical_yield(yield_name)
        return typical.low / typical.factor, typical.high / typical.factor
    loose = books.looseness.finished[by.value]
    low, high = loose.low, loose.high
    if loose.least_g and grams:
        share = min(0.5, loose.least_g / grams)
        low, high = min(low, 1 - share), max(high, 1 + share)
    return low, high
