"""Which of a law's allergens a recipe has. Takes resolved ingredients and a rule set's id, gives AllergenFindings.

Only what is said counts. Per food, an allergen is contained, may be contained,
not known, or - when the food was checked and does not name it - not recorded.
A recipe has for each allergen the strongest state of its counted foods, at any
depth of sub-recipes: contains, then may contain, then not known, then not
recorded. So no food can weaken what another says, and the order of rows does
not matter.

A food leaves the whole list not known, but for what it names, when

* its allergens were not checked;
* it is a bought product whose pack was read too long ago, on no date or on a
  date that cannot be (then even "may contain" is unresolved);
* it names an allergen, an exception or a kind that does not exist.

A generic name ('gluten', 'nuts') is contained as such and leaves every member
of its group not known. A food whose kind has an allergen (fish) that its table
line does not name leaves that one not known. A named legal exception takes its
allergen off only under a law that has it; under another law the allergen is
contained (not known, when the exception is about one of several).

    findings(ingredients, rules_id, settings, today) -> AllergenFindings
    said_by(ingredient, rules_id, settings, today) -> Said     one row or one swap, for a reader's choice
    choices(ingredients, rules_id, settings, today) -> tuple[Choice, ...]   what optional rows and swaps change
    summary(findings, rules_id, language) -> tuple[str, ...]   names for the law's "contains" statement

`rules_id` raises Trouble 'unknown-rule-set'. `today` is a date, so that the
same inputs give the same findings.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from gramwright.labelling import allergen_rules
from gramwright.labelling.allergen_rules import AllergenRules
from gramwright.labelling.kinds import kinds_table
from gramwright.labelling.packs import pack_state
from gramwright.model import (
    AllergenFindings,
    AllergenStatement,
    Dish,
    Excepted,
    Food,
    Ingredient,
    Presence,
    Settings,
    Why,
)

GROUPS = ("gluten cereals", "nuts")
"""Groups that are also answered as a whole."""

_NONE: frozenset[str] = frozenset()
_STRENGTH = {Presence.NOT_RECORDED: 0, Presence.UNKNOWN: 1, Presence.MAY_CONTAIN: 2, Presence.CONTAINS: 3}


class Said(NamedTuple):
    """What one food, or one row, says of a rule set's allergens. Ids in several sets count as the first of them."""

    contains: frozenset[str]
    may_contain: frozenset[str]
    unknown: frozenset[str]
    excepted: frozenset[str] = _NONE
    """Ids of the legal exceptions that are used."""
    group_contains: frozenset[str] = _NONE
    group_may_contain: frozenset[str] = _NONE
    group_unknown: frozenset[str] = _NONE

    def state(self, allergen: str) -> Presence:
        return _state(allergen, self.contains, self.may_contain, self.unknown)


@dataclass(frozen=True, slots=True)
class Choice:
    """What a reader's choice changes against the recipe as written."""

    index: int
    """Of the ingredient."""
    swap: int | None
    """Which of its swaps is taken; None: the optional row is taken in."""
    name: str
    adds: Mapping[str, Presence]
    """Allergens whose state becomes stronger, with the new state."""
    removes: Mapping[str, Presence]
    """Allergens whose state becomes weaker, with the new state."""


def findings(
    ingredients: Sequence[Ingredient], rules_id: str, settings: Settings, today: date
) -> AllergenFindings:
    """The rule set's allergens in the counted rows (optional ones are left out), each with its reasons."""
    rules = allergen_rules.load(rules_id)
    leaves = list(_leaves(ingredients, rules, settings, today))
    contains, may_contain, unknown, excepted, *groups = _merge(said for said, _, _ in leaves)
    states: dict[str, Presence] = {}
    words: dict[str, str] = {}
    because: dict[str, tuple[Why, ...]] = {}
    whys = [_why(food, row) for _, food, row in leaves]
    for entry in rules.order:
        state = _state(entry.id, contains, may_contain, unknown)
        if entry.generic and state is Presence.NOT_RECORDED:
            continue
        states[entry.id] = state
        words[entry.id] = entry.name(settings.language)
        if state is not Presence.NOT_RECORDED:
            field = _FIELD[state]
            because[entry.id] = tuple(
                dict.fromkeys(why for (said, _, _), why in zip(leaves, whys, strict=True) if entry.id in field(said))
            )
    return AllergenFindings(
        states=states,
        words=words,
        because=because,
        unresolved=unknown,
        groups={name: _state(name, *groups) for name in GROUPS},
        excepted=_excepted(leaves, rules, settings.language) if excepted else (),
    )


def said_by(ingredient: Ingredient, rules_id: str, settings: Settings, today: date) -> Said:
    """What one row or swap says, whether it is optional or not. Rows combine by the union of their sets."""
    rules = allergen_rules.load(rules_id)
    return _merge(said for said, _, _ in _below(ingredient, rules, settings, today, set()))


def choices(
    ingredients: Sequence[Ingredient], rules_id: str, settings: Settings, today: date
) -> tuple[Choice, ...]:
    """Every optional row taken in and every swap made, one at a time, where that changes some allergen's state."""
    rules = allergen_rules.load(rules_id)
    rows = [said_by(each, rules_id, settings, today) for each in ingredients]
    written = [said for each, said in zip(ingredients, rows, strict=True) if not each.row.optional]
    before = _merge(written)
    found: list[Choice] = []
    for index, each in enumerate(ingredients):
        if not each.swaps and not each.row.optional:
            continue
        others = [rows[at] for at, other in enumerate(ingredients) if at != index and not other.row.optional]
        options: list[tuple[int | None, str, Said]] = [
            (at, swap.name, said_by(swap, rules_id, settings, today)) for at, swap in enumerate(each.swaps)
        ]
        if each.row.optional:
            options.insert(0, (None, each.name, rows[index]))
        for swap, name, said in options:
            after = _merge([*others, said])
            changed = {
                entry.id: (before.state(entry.id), after.state(entry.id))
                for entry in rules.order
                if before.state(entry.id) is not after.state(entry.id)
            }
            if changed:
                adds = {key: new for key, (old, new) in changed.items() if _STRENGTH[new] > _STRENGTH[old]}
                removes = {key: new for key, (old, new) in changed.items() if _STRENGTH[new] < _STRENGTH[old]}
                found.append(Choice(index, swap, name, adds, removes))
    return tuple(found)


def summary(found: AllergenFindings, rules_id: str, language: str = "en") -> tuple[str, ...]:
    """The law's names for a "contains" statement, in its order, each once (ANZ: wheat -> wheat, gluten)."""
    entries = allergen_rules.load(rules_id).by_id
    names = (
        name
        for allergen in found.listed(Presence.CONTAINS)
        for name in entries[allergen].summary or (entries[allergen].name(language),)
    )
    return tuple(dict.fromkeys(names))


# ---------------------------------------------------------------- what is said

_Leaf = tuple[Said, Food, Ingredient]


def _leaves(
    ingredients: Iterable[Ingredient], rules: AllergenRules, settings: Settings, today: date
) -> Iterator[_Leaf]:
    """Every counted food, sub-recipes opened (each once)."""
    opened: set[int] = set()
    for ingredient in ingredients:
        if not ingredient.row.optional:
            yield from _below(ingredient, rules, settings, today, opened)


def _below(
    ingredient: Ingredient, rules: AllergenRules, settings: Settings, today: date, opened: set[int]
) -> Iterator[_Leaf]:
    food, dish = ingredient.food, ingredient.dish
    if food is not None:
        yield _said(food, rules, settings.pack_months, today), food, ingredient
    if dish is not None and id(dish) not in opened:
        opened.add(id(dish))
        yield from _dish(dish, rules, settings, today, opened)


def _dish(
    dish: Dish, rules: AllergenRules, settings: Settings, today: date, opened: set[int]
) -> Iterator[_Leaf]:
    for ingredient in dish.counted:
        yield from _below(ingredient, rules, settings, today, opened)


def _said(food: Food, rules: AllergenRules, pack_months: int, today: date) -> Said:
    readable = pack_state(food.quality, food.updated, pack_months, today).readable
    return _translate(food.allergens, food.kinds, readable, rules.id)


@lru_cache(maxsize=8192)
def _translate(statement: AllergenStatement, kinds: frozenset[str], readable: bool, rules_id: str) -> Said:
    """A food's statement in the rule set's ids. `readable` false: a pack that has to be read again."""
    rules = allergen_rules.load(rules_id)
    words = allergen_rules.vocabulary()
    contains = set(statement.contains)
    may_contain = set(statement.may_contain)
    unknown: set[str] = set()
    excepted: set[str] = set()
    sure = statement.checked and readable
    for name in statement.exceptions:
        exception = allergen_rules.exceptions().get(name)
        if exception is None:
            sure = False
        elif rules.id in exception.laws:
            excepted.add(name)
        elif len(exception.allergens) == 1:
            contains |= exception.allergens
        else:
            unknown |= exception.allergens
    for allergen in contains | may_contain:
        if allergen in words.generic:
            unknown |= words.members[words.generic[allergen]]
        elif allergen not in words.group:
            sure = False
    taken_off = {allergen for name in excepted for allergen in allergen_rules.exceptions()[name].allergens}
    table = kinds_table()
    made_of = {table.allergen.get(kind, "") for kind in kinds} - taken_off - {""}
    if not sure or kinds - table.allergen.keys():
        unknown |= words.group.keys()
    if readable:
        unknown -= may_contain
    unknown = (unknown | made_of) - contains
    return _in_law(contains, may_contain, unknown, frozenset(excepted), rules)


def _in_law(
    contains: set[str], may_contain: set[str], unknown: set[str], excepted: frozenset[str], rules: AllergenRules
) -> Said:
    words = allergen_rules.vocabulary()

    def listed(ids: set[str]) -> frozenset[str]:
        return frozenset(rules.entry_of[each] for each in ids if each in rules.entry_of)

    def groups(ids: set[str]) -> frozenset[str]:
        return frozenset(of for each in ids if (of := words.generic.get(each) or words.group.get(each)))

    has, may = listed(contains), listed(may_contain)
    return Said(
        has,
        may - has,
        listed(unknown) - has,
        excepted,
        groups(contains),
        groups(may_contain),
        groups(unknown),
    )


def _merge(said: Iterable[Said]) -> Said:
    parts = tuple(set(said))
    if not parts:
        return Said(_NONE, _NONE, _NONE)
    return Said(*(field[0].union(*field[1:]) for field in zip(*parts, strict=True)))


def _state(
    allergen: str, contains: frozenset[str], may_contain: frozenset[str], unknown: frozenset[str]
) -> Presence:
    if allergen in contains:
        return Presence.CONTAINS
    if allergen in may_contain:
        return Presence.MAY_CONTAIN
    if allergen in unknown:
        return Presence.UNKNOWN
    return Presence.NOT_RECORDED


_FIELD: Mapping[Presence, Callable[[Said], frozenset[str]]] = {
    Presence.CONTAINS: lambda said: said.contains,
    Presence.MAY_CONTAIN: lambda said: said.may_contain,
    Presence.UNKNOWN: lambda said: said.unknown,
}


def _why(food: Food, ingredient: Ingredient) -> Why:
    source = f"{food.source}, {food.source_ref}" if food.source_ref else food.source
    return Why(food.id, food.name, food.place, source, food.updated, ingredient.row.place)


def _excepted(leaves: Iterable[_Leaf], rules: AllergenRules, language: str) -> tuple[Excepted, ...]:
    known = allergen_rules.exceptions()
    notes: dict[Excepted, None] = {}
    for said, food, _ in leaves:
        for name in sorted(said.excepted):
            exception = known[name]
            allergens = tuple(sorted(exception.allergens))
            notes[Excepted(food.id, food.name, allergens, exception.text(language), exception.laws[rules.id])] = None
    return tuple(notes)
