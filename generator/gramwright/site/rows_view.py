"""The ingredient list as a page shows it. Takes a dish's ingredients, gives rows by part with allergens emphasised."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import NamedTuple

from markupsafe import Markup, escape

from gramwright.labelling import allergen_rules
from gramwright.labelling.allergens import Said
from gramwright.model import Dish, Food, Ingredient, Label, Scale
from gramwright.reading.fold import fold
from gramwright.site.allergen_view import Marker, RowMarks
from gramwright.site.theme import safe_path
from gramwright.site.words import Words

_PLAIN_GRAMS = frozenset({"g", "gram", "grams", "gr", "gramme", "grammes"})
_FLUID = frozenset({"fl", "fl.", "fluid"})
ALREADY_SAID = 0.005
"""A weight closer to the amount as written than this share is not repeated."""


class RowView(NamedTuple):
    """One row of the ingredient list."""

    amount: str
    """As written: '2 medium', '160 g'."""
    name: Markup
    """The food as the author names it, its allergens in <strong>."""
    named: str
    """The food table's name (or the recipe's), for the link's title."""
    href: str
    note: str
    grams: str
    """Grams on the scale, where the amount does not say them already."""
    eaten: str
    """'of it 40 g eaten' where not all is."""
    contains: tuple[str, ...]
    """Allergens that the name itself does not show."""
    may_contain: tuple[str, ...]
    unknown: bool
    optional: bool
    swaps: tuple[RowView, ...]

    @property
    def lines(self) -> tuple[RowView, ...]:
        """The row, then its swaps: what can be taken."""
        return (self, *self.swaps) if self.swaps else (self,)


class PartView(NamedTuple):
    name: str
    rows: tuple[RowView, ...]


class TraceView(NamedTuple):
    """One line of "where the figures come from"."""

    name: str
    href: str
    grams: str
    kcal: str
    source: str
    quality: str
    """Word key below `quality`; '' for a recipe."""
    optional: bool


def parts(dish: Dish, label: Label, words: Words, root: str, law: Callable[[Ingredient], Said]) -> tuple[PartView, ...]:
    """The rows by part, in the order written; `law` says what a row that is left out would bring."""
    names = allergen_rules.load(label.rule_set).names(words.language)
    marker = Marker(label.allergens, law, names)
    made: list[tuple[str, list[RowView]]] = []
    for ingredient in dish.ingredients:
        part = ingredient.row.part
        if not made or made[-1][0] != part:
            made.append((part, []))
        made[-1][1].append(_row(ingredient, marker, words, root))
    return tuple(PartView(name, tuple(rows)) for name, rows in made)


def _row(ingredient: Ingredient, marker: Marker, words: Words, root: str, swap: bool = False) -> RowView:
    row = ingredient.row
    amount, name = said(ingredient)
    marks = marker.left_out(ingredient) if swap or row.optional else marker.counted(ingredient)
    shown, missing = _emphasised(name, marks)
    eaten = ""
    if ingredient.weighed_g - ingredient.grams > ALREADY_SAID * ingredient.weighed_g:
        eaten = words("recipe.eaten", grams=words.grams(ingredient.grams))
    return RowView(
        amount=words("recipe.to_taste") if ingredient.scale is Scale.TASTE else words.localised(amount),
        name=shown,
        named=ingredient.name,
        href=link(ingredient, root),
        note=row.note,
        grams="" if _says_grams(ingredient) else words.grams(ingredient.weighed_g),
        eaten=eaten,
        contains=missing,
        may_contain=marks.may_contain,
        unknown=marks.unknown,
        optional=row.optional,
        swaps=tuple(_row(other, marker, words, root, swap=True) for other in ingredient.swaps),
    )


def readable(text: str, ingredient: Ingredient) -> str:
    """A row's text with the food's name in place of its id: 'rolled-oats' is written for the program."""
    food = ingredient.food
    if food is None or "-" not in food.id or food.id not in text:
        return text
    return re.sub(rf"(?<![\w-]){re.escape(food.id)}(?![\w-])", lambda _: food.name, text)


def said(ingredient: Ingredient) -> tuple[str, str]:
    """The amount with its measure, and the food's name, both as the author wrote them but for ids."""
    amount, name = _written(ingredient)
    return amount, readable(name, ingredient)


def _written(ingredient: Ingredient) -> tuple[str, str]:
    row = ingredient.row
    number = row.quantity.text if row.quantity is not None else ""
    if row.food is not None or row.recipe is not None:
        name = row.food if row.food is not None else ingredient.name
        return (f"{number} {row.words}".strip(), name)
    words = row.words.split()
    length = _measure_length(words, ingredient)
    start = length + 1 if length and len(words) > length + 1 and words[length].casefold() == "of" else length
    return (" ".join((number, *words[:length])).strip(), " ".join(words[start:]))


def _measure_length(words: list[str], ingredient: Ingredient) -> int:
    """How many of a row's words are its measure."""
    if not ingredient.measure or ingredient.scale is Scale.TASTE:
        return 0
    wanted = fold(ingredient.measure)
    length = len(wanted.split())
    if length < len(words) and fold(" ".join(words[:length])) == wanted:
        return length
    if ingredient.scale in (Scale.MASS, Scale.VOLUME) and len(words) > 1:
        return 2 if words[0].casefold() in _FLUID and len(words) > 2 else 1
    return 0


def _says_grams(ingredient: Ingredient) -> bool:
    """Whether the amount as written is already the grams on the scale."""
    row = ingredient.row
    if ingredient.scale is Scale.TASTE:
        return True
    if ingredient.scale is not Scale.MASS or row.quantity is None:
        return False
    unit = row.words.split(" ", 1)[0] if row.words else ""
    close = abs(row.quantity.middle - ingredient.weighed_g) <= ALREADY_SAID * ingredient.weighed_g
    return unit in _PLAIN_GRAMS and close


def _emphasised(name: str, marks: RowMarks) -> tuple[Markup, tuple[str, ...]]:
    """The name with its allergens in <strong>, and the allergens that it does not show."""
    if not marks.contains:
        return escape(name), ()
    missing = []
    spans: list[tuple[int, int]] = []
    for word in marks.contains:
        found = _named_as(word).search(name)
        if found is None:
            missing.append(word)
        elif not any(start < found.end() and found.start() < end for start, end in spans):
            spans.append(found.span())
    if not spans:
        return escape(name), tuple(missing)
    return Markup("").join(_pieces(name, sorted(spans))), tuple(missing)


@lru_cache(maxsize=512)
def _named_as(word: str) -> re.Pattern[str]:
    """Finds an allergen's name in a food's, singular or plural."""
    stem = word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
    return re.compile(rf"\b{re.escape(stem)}(?:s|es)?\b", re.IGNORECASE)


def _pieces(name: str, spans: list[tuple[int, int]]) -> Iterator[Markup]:
    at = 0
    for start, end in spans:
        yield escape(name[at:start])
        yield Markup("<strong>{}</strong>").format(name[start:end])
        at = end
    yield escape(name[at:])


def link(ingredient: Ingredient, root: str) -> str:
    """The page of the ingredient's food or recipe."""
    if ingredient.dish is not None:
        return f"{root}recipes/{safe_path(ingredient.dish.page.slug)}/index.html"
    return f"{root}foods/{safe_path(ingredient.key)}/index.html"


def _source(food: Food) -> str:
    """Publisher and entry of a food's figures."""
    return f"{food.source} {food.source_ref}".strip()


def trace(dish: Dish, label: Label, words: Words, root: str) -> tuple[TraceView, ...]:
    """Every row with its weight in the batch, its energy in a portion, and who says so."""
    return tuple(
        TraceView(
            name=ingredient.name,
            href=link(ingredient, root),
            grams=words.grams(ingredient.grams),
            kcal="" if kcal is None else words.number(kcal),
            source=words("recipe.from_recipe") if ingredient.food is None else _source(ingredient.food),
            quality="" if ingredient.food is None else ingredient.food.quality.value,
            optional=ingredient.row.optional,
        )
        for ingredient, kcal in zip(dish.ingredients, label.row_energy_kcal, strict=True)
    )
