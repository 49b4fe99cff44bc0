"""Finding done the plain way, straight from cards: what the packed index and the browser's code are checked against.

Written apart from them: no packing, no index, an edit distance of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache

from gramwright.site.cards import Card
from gramwright.site.search import AllergenChoice
from gramwright.site.search.fold import Language, words

FIELDS = {
    "kcal": "energy_kcal",
    "protein": "protein_g",
    "carbohydrate": "carbohydrate_g",
    "fat": "fat_g",
    "fibre": "fibre_g",
    "salt": "salt_g",
    "hands_on": "hands_on_min",
    "total": "total_min",
}


@dataclass(frozen=True)
class Asked:
    """A reader's conditions."""

    text: str = ""
    ranges: Mapping[str, tuple[float | None, float | None]] = ()  # type: ignore[assignment]
    meals: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    diets: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    may: bool = False


def shown(card: Card, name: str) -> Fraction | None:
    """A figure as a list shows it, exactly."""
    return _shown(getattr(card, FIELDS[name]), name)


@cache
def _shown(amount: float | None, name: str) -> Fraction | None:
    if amount is None:
        return None
    exact = Decimal(repr(amount))
    if name == "kcal":
        return Fraction(exact.quantize(Decimal(1), ROUND_HALF_UP))
    if name in ("hands_on", "total"):
        return Fraction(int(exact) + (exact % 1 > 0))
    fine, limit = (Decimal("0.01"), 1) if name == "salt" else (Decimal("0.1"), 10)
    rounded = exact.quantize(fine, ROUND_HALF_UP)
    if rounded < limit:
        return Fraction(rounded)
    return Fraction(exact.quantize(Decimal("0.1") if name == "salt" else Decimal(1), ROUND_HALF_UP))


def in_range(card: Card, name: str, low: float | None, high: float | None) -> bool:
    value = shown(card, name)
    if value is None:
        return False
    if low is not None and value < exactly(low):
        return False
    return high is None or (value <= exactly(high) and FIELDS[name] not in card.incomplete)


@cache
def exactly(limit: float) -> Fraction:
    return Fraction(str(limit))


def left_out(card: Card, allergen: str, choices: Iterable[AllergenChoice], may: bool) -> bool:
    """Whether a reader who avoids the allergen must not be shown the card."""
    ids = {allergen}
    as_a_whole = "not_recorded"
    for choice in choices:
        if choice.id == allergen:
            ids.update(choice.members)
            as_a_whole = dict(card.groups).get(choice.group, "not_recorded")
    if ids & set(card.contains) or ids & set(card.unknown) or as_a_whole in ("contains", "unknown"):
        return True
    return not may and (bool(ids & set(card.may_contain)) or as_a_whole == "may_contain")


def slips(typed: str, letters: Iterable[str]) -> set[str]:
    """The word and every word one slip away: a letter dropped, doubled or strange, two that changed places."""
    cuts = [(typed[:at], typed[at:]) for at in range(len(typed) + 1)]
    found = {typed}
    for before, after in cuts:
        if after:
            found.add(before + after[1:])
            found.update(before + letter + after[1:] for letter in letters)
        if len(after) > 1:
            found.add(before + after[1] + after[0] + after[2:])
        found.update(before + letter + after for letter in letters)
    return found


def beginnings(listed: Iterable[str]) -> dict[str, set[str]]:
    """Every beginning of every word -> the words."""
    found: dict[str, set[str]] = {}
    for word in listed:
        for length in range(len(word) + 1):
            found.setdefault(word[:length], set()).add(word)
    return found


def once(word: str) -> str:
    return re.sub(r"(.)\1+", r"\1", word)


def keys(names: Iterable[str]) -> set[str]:
    """Meals or tags as an address has them."""
    return {name.lower().replace(" ", "-") for name in names}


class WordsByHand:
    """Which words a typed word stands for, over all words of a hub."""

    def __init__(self, cards: Sequence[Card], language: Language, also: Mapping[str, Sequence[str]]) -> None:
        self.language = language
        self.of_card = [
            frozenset(
                word
                for text in (
                    card.title,
                    *card.meals,
                    *card.tags,
                    *card.ingredients,
                    *(other for name in card.ingredients for other in also.get(name, ())),
                )
                for word in words(text)
            )
            for card in cards
        ]
        self.all = frozenset().union(*self.of_card)
        self.letters = sorted({letter for word in self.all for letter in word})
        self.begin = beginnings(self.all)
        self.begin_once = beginnings({once(word) for word in self.all})

    @cache  # noqa: B019 - lives as long as the test
    def fitting(self, typed: str) -> frozenset[str]:
        stem = self.language.stem
        found = self.begin.get(typed, set()) | {word for word in self.all if stem(word) == stem(typed)}
        if found or len(typed) < 5:
            return frozenset(found)
        found = {word for slip in slips(typed, self.letters) for word in self.begin.get(slip, ())}
        if not found:
            near = {word for slip in slips(once(typed), self.letters) for word in self.begin_once.get(slip, ())}
            found = {word for word in self.all if once(word) in near}
        return frozenset(found)

    def wanted(self, text: str) -> list[str]:
        typed = list(dict.fromkeys(words(text)))
        telling = [word for word in typed if word not in self.language.silent]
        return (telling or typed)[:8]


def failures(
    cards: Sequence[Card], by_hand: WordsByHand, asked: Asked, choices: Sequence[AllergenChoice]
) -> list[list[tuple[str, str]]]:
    """For each card the conditions that it does not meet, in the order of the browser's code."""
    fits = {typed: by_hand.fitting(typed) for typed in by_hand.wanted(asked.text)}
    ranges = dict(asked.ranges)
    found = []
    for card, has in zip(cards, by_hand.of_card, strict=True):
        fails = [("word", typed) for typed, fitting in fits.items() if not fitting & has]
        fails += [("range", name) for name, (low, high) in ranges.items() if not in_range(card, name, low, high)]
        if asked.meals and not set(asked.meals) & keys(card.meals):
            fails.append(("meals", ""))
        fails += [("tag", tag) for tag in asked.tags if tag not in keys(card.tags)]
        fails += [("diet", diet) for diet in asked.diets if card.suited(diet) is not True]
        fails += [("without", name) for name in asked.without if left_out(card, name, choices, asked.may)]
        found.append(fails)
    return found
