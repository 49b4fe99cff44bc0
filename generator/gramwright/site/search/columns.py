"""Cards -> the index's first file: every figure and every choice that a filter needs, as packed columns.

Takes cards in the index's order, gives the file's content as a mapping of
names and packed strings (see pack.py); there is no object per recipe.
In a column of numbers 0 stands for "not known" and n + 1 for n.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple, TypeVar

from gramwright.model import Presence
from gramwright.site.cards import Card
from gramwright.site.search.pack import pack_numbers, pack_sets, pack_subset, zigzag
from gramwright.site.search.shown import graded, graded_tenths, half_up, regraded, tenths, whole_minutes


class AllergenChoice(NamedTuple):
    """An allergen that a reader can leave out: its id, what it is called, and the ids that count as it."""

    id: str
    name: str
    members: tuple[str, ...] = ()
    """Ids of the allergens that a class stands for ('nuts': almond, hazelnut ...); () for a single allergen."""
    group: str = ""
    """The group of Card.groups that a class is answered by as a whole ('gluten cereals'), or ''."""


class NumberColumn(NamedTuple):
    """A figure of the card as the index keeps it."""

    name: str
    """Name in the index and in the page's address."""
    field: str
    """Field of Card."""
    pack: Callable[[float], int]


KCAL = NumberColumn("kcal", "energy_kcal", half_up)
PROTEIN = NumberColumn("protein", "protein_g", tenths)
CARBOHYDRATE = NumberColumn("carbohydrate", "carbohydrate_g", graded)
FAT = NumberColumn("fat", "fat_g", graded)
FIBRE = NumberColumn("fibre", "fibre_g", graded)
SALT = NumberColumn("salt", "salt_g", lambda amount: graded(amount, 100))
HANDS_ON = NumberColumn("hands_on", "hands_on_min", whole_minutes)
TOTAL = NumberColumn("total", "total_min", whole_minutes)

NUMBERS = (KCAL, PROTEIN, FAT, FIBRE, CARBOHYDRATE, SALT, HANDS_ON, TOTAL)
"""In the order the browser reads them: what another column is told by comes before it."""

_Run = TypeVar("_Run", tuple[int, ...], tuple[str, ...])

_FACTORS = ((PROTEIN, 4), (FAT, 9), (FIBRE, 2))
_CARBOHYDRATE_FACTOR = 4
"""kcal a gram (Regulation (EU) 1169/2011, Annex XIV): only what a packed figure is told by, never what is shown."""


def columns(cards: Sequence[Card], allergens: Sequence[AllergenChoice]) -> dict[str, Any]:
    """The first file's content.

    Two figures are kept as the difference from what others say already:
    carbohydrate from what protein, fat and fibre leave of the energy, the
    total time from the time of work. The shown figure comes out whole.
    """
    known = {column.name: _values(cards, column) for column in NUMBERS}
    told = {CARBOHYDRATE.name: _rest(known), TOTAL.name: [value or 0 for value in known[HANDS_ON.name]]}
    return {
        "recipes": len(cards),
        "numbers": {c.name: _number_column(known[c.name], told.get(c.name)) for c in NUMBERS},
        "least": _at_least(cards),
        "meals": _combinations([keys(card.meals) for card in cards]),
        "tags": _sets([keys(card.tags) for card in cards]),
        "diets": _diets(cards),
        "allergens": _allergens(cards, allergens),
    }


def _values(cards: Sequence[Card], column: NumberColumn) -> list[int | None]:
    """The column's packed steps; None: not known."""
    values: Iterable[float | None] = (getattr(card, column.field) for card in cards)
    return [None if value is None else column.pack(value) for value in values]


def _rest(known: Mapping[str, Sequence[int | None]]) -> list[int]:
    """The graded grams of carbohydrate that would give what is left of the energy.

    In whole numbers only, so that the browser gets the very same.
    """
    tenths_of_kcal = [10 * (energy or 0) for energy in known[KCAL.name]]
    for column, factor in _FACTORS:
        for place, step in enumerate(known[column.name]):
            if step is not None:
                tenths_of_kcal[place] -= factor * (step if column is PROTEIN else graded_tenths(step))
    return [regraded(max(rest, 0) // _CARBOHYDRATE_FACTOR) for rest in tenths_of_kcal]


def _number_column(values: Sequence[int | None], told: Sequence[int] | None) -> str:
    if told is None:
        return pack_numbers([0 if value is None else value + 1 for value in values])
    pairs = zip(values, told, strict=True)
    return pack_numbers([0 if value is None else zigzag(value - guess) + 1 for value, guess in pairs])


def _at_least(cards: Sequence[Card]) -> dict[str, str]:
    """Per column the recipes whose figure is "at least"; columns without any are left out."""
    packed = {c.name: _subset(c.field in card.incomplete for card in cards) for c in NUMBERS}
    return {name: bits for name, bits in packed.items() if bits}


@lru_cache(maxsize=8192)
def key(name: str) -> str:
    """A meal or a tag as the index and an address know it: 'One tray' gives 'one-tray'."""
    return re.sub(r"[\W_]+", "-", name.casefold()).strip("-")


def keys(names: Iterable[str]) -> list[str]:
    """The keys of names, each once, sorted."""
    return sorted({key(name) for name in names} - {""})


def _subset(members: Iterable[bool]) -> str:
    listed = list(members)
    return pack_subset([place for place, member in enumerate(listed) if member], len(listed))


def frequent_first(sets: Iterable[Iterable[str]]) -> list[str]:
    """Every name once, the most frequent first, equally frequent ones by name."""
    counts = Counter(name for members in sets for name in members)
    return sorted(counts, key=lambda name: (-counts[name], name))


def _sets(sets: Sequence[Sequence[str]]) -> dict[str, Any]:
    """Names, and for every recipe the numbers of its names."""
    names = frequent_first(sets)
    place = {name: number for number, name in enumerate(names)}
    return {"names": names, "sets": pack_sets([[place[name] for name in members] for members in sets])}


def _combinations(sets: Sequence[Sequence[str]]) -> dict[str, Any]:
    """Names, which of them come together, and for every recipe the number of its combination."""
    names = frequent_first(sets)
    place = {name: number for number, name in enumerate(names)}
    numbers = [tuple(sorted(place[name] for name in members)) for members in sets]
    together = _most_first(numbers)
    which = {combination: number for number, combination in enumerate(together)}
    return {
        "names": names,
        "together": [list(combination) for combination in together],
        "which": pack_numbers([which[combination] for combination in numbers]),
    }


def _diets(cards: Sequence[Card]) -> dict[str, Any]:
    """Names, the different runs of answers (y, n, ?: not known), and for every recipe the number of its run."""
    names = list(dict.fromkeys(diet for card in cards for diet, _ in card.suits))
    runs = []
    for card in cards:
        answers = dict(card.suits)
        runs.append(tuple(_ANSWERS[answers.get(name)] for name in names))
    together = _most_first(runs)
    which = {run: number for number, run in enumerate(together)}
    return {
        "names": names,
        "together": ["".join(run) for run in together],
        "which": pack_numbers([which[run] for run in runs]),
    }


_ANSWERS = {True: "y", False: "n", None: "?"}


def _most_first(items: Sequence[_Run]) -> list[_Run]:
    counts = Counter(items)
    return sorted(counts, key=lambda item: (-counts[item], item))


def _allergens(cards: Sequence[Card], choices: Sequence[AllergenChoice]) -> dict[str, Any]:
    """The three states of every allergen.

    `open` has the recipes with anything not known. An allergen is not known
    where a recipe is open and neither contains nor may contain it; `unknown`
    has, per allergen, only the recipes where that is not so.
    """
    single = [choice.id for choice in choices if not choice.members]
    named = (id for card in cards for ids in (card.contains, card.may_contain, card.unknown) for id in ids)
    names = list(dict.fromkeys([*single, *named]))
    contains = [frozenset(card.contains) for card in cards]
    may = [frozenset(card.may_contain) for card in cards]
    unknown = [frozenset(card.unknown) for card in cards]
    exceptions = []
    for name in names:
        guessed = (bool(u) and name not in c and name not in m for c, m, u in zip(contains, may, unknown, strict=True))
        exceptions.append(_subset((name in u) != guess for u, guess in zip(unknown, guessed, strict=True)))
    return {
        "names": names,
        "classes": {choice.id: _class(choice, names, cards) for choice in choices if choice.members},
        "contains": [_subset(name in ids for ids in contains) for name in names],
        "may": [_subset(name in ids for ids in may) for name in names],
        "open": _subset(bool(ids) for ids in unknown),
        "unknown": exceptions,
    }


def _class(choice: AllergenChoice, names: Sequence[str], cards: Sequence[Card]) -> dict[str, Any]:
    """A class of allergens: the numbers of its members, its own id among them ("nuts, which ones is not known").

    Beside them, for each state, the recipes where the group as a whole has
    that state without a member saying so (rye, where the law lists wheat alone).
    """
    ids = {choice.id, *choice.members}
    states = [dict(card.groups).get(choice.group, "") for card in cards]
    said: dict[str, list[bool]] = {"contains": [], "may": [], "unknown": []}
    for card, state in zip(cards, states, strict=True):
        contained = not ids.isdisjoint(card.contains)
        said["contains"].append(state == Presence.CONTAINS and not contained)
        said["may"].append(state == Presence.MAY_CONTAIN and ids.isdisjoint(card.may_contain))
        said["unknown"].append(state == Presence.UNKNOWN and ids.isdisjoint(card.unknown))
    members = [number for number, name in enumerate(names) if name in ids]
    return {"members": members, **{state: _subset(listed) for state, listed in said.items()}}
