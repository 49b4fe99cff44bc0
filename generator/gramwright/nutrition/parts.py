"""Recipes as foods. Takes ingredients, gives every food in them to any depth with its grams and how loose those are.

A row that is a recipe is opened into its own foods, so that a food which is in
both shares the error of its values, and an unknown value stays unknown all the
way up. What the two rooms above need: `Content`, one flat list.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import sqrt

from gramwright.model import Dish, Ingredient, Scale, Weight
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.profiles import Profile


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
    """A row that is a recipe: what it holds, and how loose its amount is as a share (below, above)."""

    content: Content
    factor: float
    """Grams of the row / the recipe's basis weight."""
    down: float
    up: float


@dataclass(slots=True)
class Content:
    """What a recipe, or some of its rows, holds."""

    parts: list[Part] = field(default_factory=list)
    wholes: list[Whole] = field(default_factory=list)
    water_g: float = 0.0
    """Water that the recipes in it took up (or lost, below 0) in cooking."""
    water_half_g: float = 0.0
    share_g: float = 0.0
    version: int = 0
    """Of the shelf that the profiles are from."""


def content_of(ingredients: Iterable[Ingredient], books: NutritionBooks) -> Content:
    """The foods of some rows. Raises Trouble for an unknown retention code."""
    rows = tuple(ingredients)
    while True:  # a tag met for the first time makes every array longer: once more, then
        content = _open(rows, books)
        if content.version == books.shelf.version:
            return content


def _open(rows: tuple[Ingredient, ...], books: NutritionBooks) -> Content:
    content = Content(version=books.shelf.version)
    batches: dict[tuple[int, Scale, str, bool, float, str | None], list[Ingredient]] = {}
    profiles: dict[int, Profile] = {}
    for item in rows:
        if item.grams <= 0:
            continue
        content.share_g += item.grams
        if item.dish is not None:
            _add_dish(content, item, item.dish, books)
        elif item.food is not None:
            row = item.row
            profile = books.profile(item.food, row.cooked_as)
            profiles[id(profile)] = profile
            key = (id(profile), item.scale, item.measure, row.gross, row.eaten, row.weighed)
            batches.setdefault(key, []).append(item)
    for key, batch in batches.items():
        content.parts.append(_part(profiles[key[0]], batch, books))
    return content


def _part(profile: Profile, batch: list[Ingredient], books: NutritionBooks) -> Part:
    """Rows of one food measured in one way: as if measured once."""
    grams = batch[0].grams if len(batch) == 1 else sum(item.grams for item in batch)
    down, up = grams_error(batch, grams, books)
    return Part(profile, grams, down * down, up * up, grams + up, grams)


def grams_error(batch: list[Ingredient], grams: float, books: NutritionBooks) -> tuple[float, float]:
    """Half-widths below and above of rows' grams: the written range, the measure, trimming and the share eaten."""
    first = batch[0]
    row = first.row
    if len(batch) == 1:
        low, high, weighed = first.low_g, first.high_g, first.weighed_g
    else:
        low = sum(item.low_g for item in batch)
        high = sum(item.high_g for item in batch)
        weighed = sum(item.weighed_g for item in batch)
    loose = books.looseness.measures
    ratio = grams / weighed if weighed > 0 else 1.0
    own = (loose.half(first.scale, first.measure, weighed) * ratio) ** 2
    if row.gross and first.food is not None and 0 < first.food.refuse < 1:
        own += (loose.gross * first.food.refuse / (1 - first.food.refuse) * grams) ** 2
    if row.eaten < 1:
        own += (loose.eaten * min(row.eaten, 1 - row.eaten) / row.eaten * grams) ** 2
    if row.weighed is not None:
        own += (loose.weighed * grams) ** 2
    below, above = grams - low, high - grams
    down = sqrt(own + below * below) if below > 0 else sqrt(own)
    up = sqrt(own + above * above) if above > 0 else sqrt(own)
    return min(down, grams), up


def _add_dish(content: Content, item: Ingredient, dish: Dish, books: NutritionBooks) -> None:
    """Opens a recipe row: its foods by the share of the batch that is used."""
    basis = dish.basis_g
    if basis <= 0 or dish.raw_g <= 0:
        return
    inner = content_of(dish.counted, books)
    factor = item.grams / basis
    down, up = (half / item.grams for half in grams_error([item], item.grams, books))
    if item.scale is not Scale.PORTIONS:  # a share of the batch needs no finished weight
        low, high = finished_ends(dish, books)
        down = sqrt(down * down + (1 - 1 / high) ** 2)
        up = sqrt(up * up + (1 / low - 1) ** 2)
    down = min(down, 1.0)
    share = item.grams / dish.raw_g
    for part in inner.parts:
        content.parts.append(
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
        content.wholes.append(Whole(whole.content, whole.factor * factor, whole.down, whole.up))
    content.wholes.append(Whole(inner, factor, down, up))
    change, half = water_change(dish, inner, books)
    content.water_g += change * factor
    content.water_half_g = sqrt(content.water_half_g**2 + (half * factor) ** 2)


def water_change(dish: Dish, content: Content, books: NutritionBooks) -> tuple[float, float]:
    """Grams of water that a recipe took up in cooking (below 0: lost), with its half-width; never more than it had."""
    place = books.shelf.places["WATER_g"]
    raw = sum(part.profile.amounts[place] * part.grams for part in content.parts) + content.water_g
    change, half = content.water_g, content.water_half_g
    if dish.finished_g is not None:
        low, high = finished_ends(dish, books)
        change = max(content.water_g + dish.finished_g - dish.raw_g, content.water_g - raw)
        half = sqrt(half * half + (dish.finished_g * max(high - 1, 1 - low)) ** 2)
    return change, half


def finished_ends(dish: Dish, books: NutritionBooks) -> tuple[float, float]:
    """The ends of the weight behind per-100 g figures (finished, or raw where that is unknown), as shares of it."""
    if dish.finished_by is Weight.TYPICAL and dish.page.yield_name:
        typical = books.typical_yield(dish.page.yield_name)
        return typical.low / typical.factor, typical.high / typical.factor
    known = "factor" if dish.finished_by is Weight.TYPICAL else dish.finished_by.value
    loose = books.looseness.finished[known]
    low, high = loose.low, loose.high
    if loose.least_g and dish.finished_g:
        share = min(0.5, loose.least_g / dish.finished_g)
        low, high = min(low, 1 - share), max(high, 1 + share)
    return low, high
