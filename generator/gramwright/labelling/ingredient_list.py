"""The ingredient list. Takes a computed dish and a rule set's id, gives its ingredients by weight, allergens marked.

Weight is that at the time of use: what went on the scale, without the refuse of
rows that were weighed untrimmed. The same food in two parts is one ingredient;
optional rows are left out; a sub-recipe is opened in brackets, in its own order.

An allergen is marked in the food's own name when the name has its word
("WHEAT flour"); otherwise the law's name follows in brackets ("cheese (MILK)").
A segment that is `emphasised` is to be set apart by its type, and not by colour
alone. A food that leaves allergens not known has `unknown` set.

Where the law wants it, what the title names has its share of the weight: of the
finished weight when the dish has become lighter, else of what went in. A share
above 100 % is given as grams in 100 g.

    build(dish, rules_id, settings, today) -> IngredientList
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, lru_cache
from typing import NamedTuple

from gramwright.labelling import allergen_rules
from gramwright.labelling.allergen_rules import AllergenRules
from gramwright.labelling.allergens import Said, said_by
from gramwright.labelling.sentences import sentences
from gramwright.labelling.shipped_data import in_language, read_yaml
from gramwright.model import Dish, Ingredient, Presence, Settings


class Segment(NamedTuple):
    """A piece of text; joined without anything between, they give the entry."""

    text: str
    emphasised: bool = False


@dataclass(frozen=True, slots=True)
class Entry:
    """One ingredient."""

    segments: tuple[Segment, ...]
    used_g: float
    share: float | None
    """Per cent of the weight, where the law wants it shown (0 to 100, or above: grams in 100 g)."""
    unknown: bool
    """Some listed allergen is not known for it."""
    parts: tuple[Entry, ...] = ()
    """The ingredients of a sub-recipe; they are in `segments` already."""

    @property
    def text(self) -> str:
        return "".join(segment.text for segment in self.segments)


class IngredientList(NamedTuple):
    entries: tuple[Entry, ...]

    @property
    def segments(self) -> tuple[Segment, ...]:
        """The whole list. Entries are divided by semicolons, as the names of foods have commas."""
        return _joined([entry.segments for entry in self.entries])

    @property
    def text(self) -> str:
        return "".join(segment.text for segment in self.segments)


def build(dish: Dish, rules_id: str, settings: Settings, today: date) -> IngredientList:
    """Raises Trouble 'unknown-rule-set'."""
    rules = allergen_rules.load(rules_id)
    entries = _entries(dish, rules, settings, today)
    used = sum(entry.used_g for _, entry in entries)
    finished = dish.finished_g
    whole = finished if finished is not None and finished < used else used
    title = _words(dish.page.title) if rules.shares else ()
    language = settings.language
    return IngredientList(
        tuple(
            _with_share(entry, 100 * entry.used_g / whole, language)
            if whole > 0 and _names(title, ingredient, language)
            else entry
            for ingredient, entry in entries
        )
    )


def _entries(dish: Dish, rules: AllergenRules, settings: Settings, today: date) -> list[tuple[Ingredient, Entry]]:
    """Each ingredient once, in descending weight; equal weights in the order of the rows."""
    weights: dict[str, float] = {}
    first: dict[str, Ingredient] = {}
    for ingredient in dish.counted:
        first.setdefault(ingredient.key, ingredient)
        weights[ingredient.key] = weights.get(ingredient.key, 0.0) + _used_g(ingredient)
    order = sorted(first, key=lambda key: -weights[key])
    return [(first[key], _entry(first[key], weights[key], rules, settings, today)) for key in order]


def _used_g(ingredient: Ingredient) -> float:
    refuse = ingredient.food.refuse if ingredient.food is not None and ingredient.row.gross else 0.0
    return ingredient.weighed_g * (1 - refuse)


def _entry(ingredient: Ingredient, used_g: float, rules: AllergenRules, settings: Settings, today: date) -> Entry:
    said = said_by(ingredient, rules.id, settings, today)
    if ingredient.dish is not None:
        parts = tuple(entry for _, entry in _entries(ingredient.dish, rules, settings, today))
        inside = _joined([part.segments for part in parts])
        segments = (Segment(f"{ingredient.name} ("), *inside, Segment(")"))
        return Entry(segments, used_g, None, bool(said.unknown), parts)
    return Entry(_marked(ingredient.name, said, rules.id, settings.language), used_g, None, bool(said.unknown))


@lru_cache(maxsize=8192)
def _marked(name: str, said: Said, rules_id: str, language: str) -> tuple[Segment, ...]:
    """The name with its allergens' words emphasised, and the law's names of the others after it."""
    spans: list[tuple[int, int]] = []
    missing: list[str] = []
    words = allergen_rules.vocabulary()
    for entry in allergen_rules.load(rules_id).order if said.contains else ():
        if said.state(entry.id) is not Presence.CONTAINS:
            continue
        ids = sorted(entry.covers) if not entry.generic else [entry.id]
        found = [match.span() for each in ids for match in words.refers[each].finditer(name)]
        if not found and not entry.generic and not language.startswith("en"):
            found = [match.span() for match in _begins(entry.name(language)).finditer(name)]
        if found:
            spans += found
        else:
            missing.append(entry.name(language))
    segments: list[Segment] = []
    at = 0
    for start, end in sorted(spans):
        if start < at:
            continue
        if start > at:
            segments.append(Segment(name[at:start]))
        segments.append(Segment(name[start:end], emphasised=True))
        at = end
    if at < len(name):
        segments.append(Segment(name[at:]))
    for number, law_name in enumerate(missing):
        segments += [Segment(", " if number else " ("), Segment(law_name, emphasised=True)]
    if missing:
        segments.append(Segment(")"))
    return tuple(segments)


@cache
def _begins(law_name: str) -> re.Pattern[str]:
    """Matches the law's name at the beginning of a word ('Mandeln' in 'Mandelmus'), for languages that compound."""
    return re.compile(rf"(?<!\w){re.escape(law_name.removesuffix('n'))}n?", re.IGNORECASE)


def _joined(many: Sequence[tuple[Segment, ...]]) -> tuple[Segment, ...]:
    joined: list[Segment] = []
    for number, segments in enumerate(many):
        if number:
            joined.append(Segment("; "))
        joined += segments
    return tuple(joined)


# ---------------------------------------------------------------- shares


def _with_share(entry: Entry, share: float, language: str) -> Entry:
    digits = sentences(language).number(f"{share:.0f}" if share >= 1 else f"{share:.1f}")
    if share > 100:
        text = in_language(read_yaml("allergens/ingredient-list.yaml")["per_100g"], language).format(grams=digits)
    else:
        text = f"{digits} %"
    return replace(entry, segments=(*entry.segments, Segment(f" {text}")), share=share)


def _names(title: Sequence[str], ingredient: Ingredient, language: str) -> bool:
    """Whether a title (its words) names the ingredient."""
    if not title:
        return False
    if ingredient.food is None:
        return _has(title, _words(ingredient.name), {})
    candidates = _candidates(ingredient.food.name, ingredient.food.aliases, language)
    return any(_has(title, candidate, _unlike()) for candidate in candidates if candidate[0] in title)


@lru_cache(maxsize=8192)
def _candidates(name: str, aliases: tuple[str, ...], language: str) -> tuple[tuple[str, ...], ...]:
    """The words and word groups by which a title would name the food."""
    skipped = _not_naming(language)
    found: dict[tuple[str, ...], None] = {}
    for text in (name, *aliases):
        words = _words(text.split(",")[0])
        found[words] = None
        for word in words if text == name else ():
            if word not in skipped and len(word) > 2:
                found[(word,)] = None
    return tuple(words for words in found if any(word not in skipped for word in words))


@cache
def _not_naming(language: str) -> frozenset[str]:
    """Words (folded to their singular) that a title may use without naming a food."""
    lists = read_yaml("allergens/ingredient-list.yaml")["not_naming"]
    words = (*lists["en"], *lists.get(language.split("-")[0], ()))
    return frozenset(map(_singular, words))


def _has(title: Sequence[str], words: Sequence[str], unlike: Mapping[str, frozenset[str]]) -> bool:
    """Whether the words stand together in the title, and beside no word that makes another thing of them."""
    size = len(words)
    for at in range(len(title) - size + 1):
        if tuple(title[at : at + size]) == tuple(words):
            before = title[at - 1] if at else ""
            after = title[at + size] if at + size < len(title) else ""
            if before not in unlike.get(words[0], frozenset()) and words[-1] not in unlike.get(after, frozenset()):
                return True
    return False


@cache
def _unlike() -> Mapping[str, frozenset[str]]:
    data = read_yaml("allergens/ingredient-list.yaml")["unlike"]
    return {word: frozenset(map(_singular, before)) for word, before in data.items()}


def _words(text: str) -> tuple[str, ...]:
    return tuple(_singular(word) for word in re.findall(r"[^\W\d_]+", text.casefold()))


def _singular(word: str) -> str:
    """A plain plural's singular, near enough to compare two words that are folded the same way."""
    for ending, instead in (("ies", "y"), ("oes", "o"), ("ves", "f"), ("ses", "s"), ("ches", "ch"), ("shes", "sh")):
        if word.endswith(ending) and len(word) > len(ending) + 1:
            return word[: -len(ending)] + instead
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word
