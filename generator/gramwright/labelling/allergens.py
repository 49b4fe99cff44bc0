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
    foods_said(ingredient, rules_id, settings, today) -> each food of a row with what it says
    choices(ingredients, rules_id, settings, today) -> tuple[Choice, ...]   what optional rows and swaps change
    summary(findings, rules_id, language) -> tuple[str, ...]   names for the law's "contains" statement

`rules_id` raises Trouble 'unknown-rule-set'. `today` is a date, so that the
same inputs give the same findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from gramwright.labelling import allergen_rules
from gramwright.labelling.allergen_rules import AllergenRules
from gramwright.labelling.by_food import ByFood
from gramwright.labelling.kinds import kinds_table
from gramwright.labelling.packs import pack_speaks
from gramwright.labelling.sentences import sentences
from gramwright.model import (
    AllergenFindings,
    AllergenStatement,
    Excepted,
    Food,
    Ingredient,
    Presence,
    Quality,
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
        if allergen in self.contains:
            return Presence.CONTAINS
        if allergen in self.may_contain:
            return Presence.MAY_CONTAIN
        return Presence.UNKNOWN if allergen in self.unknown else Presence.NOT_RECORDED

    def group_state(self, group: str) -> Presence:
        return Said(self.group_contains, self.group_may_contain, self.group_unknown).state(group)


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


def findings(ingredients: Sequence[Ingredient], rules_id: str, settings: Settings, today: date) -> AllergenFindings:
    """The rule set's allergens in the counted rows (optional ones are left out), each with its reasons."""
    rules = allergen_rules.load(rules_id)
    leaves = _leaves(ingredients, rules_id, settings.pack_months, today)
    merged = _merge([said for said, _, _ in leaves])
    words = dict(rules.names(settings.language))
    states = dict.fromkeys(words, Presence.NOT_RECORDED)
    because: dict[str, tuple[Why, ...]] = {}
    whys = _Whys(leaves)
    contains, may_contain, unknown = merged[:3]
    for allergen in words:
        if allergen in contains:
            states[allergen], because[allergen] = Presence.CONTAINS, whys.of(allergen, 0)
        elif allergen in may_contain:
            states[allergen], because[allergen] = Presence.MAY_CONTAIN, whys.of(allergen, 1)
        elif allergen in unknown:
            states[allergen], because[allergen] = Presence.UNKNOWN, whys.of(allergen, 2)
    for entry in rules.generic:
        if entry.id not in because:
            del states[entry.id], words[entry.id]
    return AllergenFindings(
        states=states,
        words=words,
        because=because,
        unresolved=merged.unknown,
        groups={name: merged.group_state(name) for name in GROUPS},
        excepted=_excepted(leaves, rules, settings.language) if merged.excepted else (),
    )


def said_by(ingredient: Ingredient, rules_id: str, settings: Settings, today: date) -> Said:
    """What one row or swap says, whether it is optional or not. Rows combine by the union of their sets."""
    leaves: list[_Leaf] = []
    _below(ingredient, rules_id, settings.pack_months, today, set(), leaves)
    return _merge([said for said, _, _ in leaves])


def foods_said(ingredient: Ingredient, rules_id: str, settings: Settings, today: date) -> tuple[tuple[Food, Said], ...]:
    """What each food of one row or swap says, sub-recipes opened, whether the row is optional or not."""
    leaves: list[_Leaf] = []
    _below(ingredient, rules_id, settings.pack_months, today, set(), leaves)
    return tuple((food, said) for said, food, _ in leaves)


def choices(ingredients: Sequence[Ingredient], rules_id: str, settings: Settings, today: date) -> tuple[Choice, ...]:
    """Every optional row taken in and every swap made, one at a time, where that changes some allergen's state."""
    rules = allergen_rules.load(rules_id)
    rows = [said_by(each, rules_id, settings, today) for each in ingredients]
    written = [said for each, said in zip(ingredients, rows, strict=True) if not each.row.optional]
    before = _merge(written)
    found: list[Choice] = []
    for index, each in enumerate(ingredients):
        options: list[tuple[int | None, str, Said]] = [
            (at, swap.name, said_by(swap, rules_id, settings, today)) for at, swap in enumerate(each.swaps)
        ]
        if each.row.optional:
            options.insert(0, (None, each.name, rows[index]))
        for swap, name, said in options:
            others = (rows[at] for at, other in enumerate(ingredients) if at != index and not other.row.optional)
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
    entries, spoken = allergen_rules.load(rules_id).by_id, sentences(language)
    names = (
        name
        for allergen in found.listed(Presence.CONTAINS)
        for name in entries[allergen].summary or (entries[allergen].name(language),)
    )
    return tuple(dict.fromkeys(map(spoken.of, names)))


# ---------------------------------------------------------------- what is said

_Leaf = tuple[Said, Food, Ingredient]
"""What a food says, the food, and its row."""


def _leaves(ingredients: Iterable[Ingredient], rules_id: str, pack_months: int, today: date) -> list[_Leaf]:
    """Every counted row of a food, sub-recipes opened (each once)."""
    found: list[_Leaf] = []
    opened: set[int] = set()
    for ingredient in ingredients:
        if not ingredient.row.optional:
            _below(ingredient, rules_id, pack_months, today, opened, found)
    return found


def _below(
    ingredient: Ingredient, rules_id: str, pack_months: int, today: date, opened: set[int], into: list[_Leaf]
) -> None:
    if ingredient.food is not None:
        into.append((_said(ingredient.food, rules_id, pack_months, today), ingredient.food, ingredient))
    dish = ingredient.dish
    if dish is not None and id(dish) not in opened:
        opened.add(id(dish))
        for inside in dish.ingredients:
            if not inside.row.optional:
                _below(inside, rules_id, pack_months, today, opened, into)


def _read(food: Food, rules_id: str, pack_months: int, today: date) -> Said:
    readable = food.quality is not Quality.DECLARED or pack_speaks(food.updated, pack_months, today)
    return _translate(food.allergens, food.kinds, readable, rules_id)


_said = ByFood(_read)


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
    made_of = {table.allergen.get(kind, "") for kind in kinds} - taken_off  # "" (a kind without one) is in no law
    if not sure or kinds - table.allergen.keys():
        unknown |= words.group.keys()
    if readable:
        unknown -= may_contain
    for generic in contains & words.generic.keys():
        unknown |= words.members[words.generic[generic]]  # which one it is can be what else it may contain
    unknown |= made_of
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


def _merge(said: Sequence[Said]) -> Said:
    parts = list({id(part): part for part in said}.values())
    if len(parts) == 1:
        return parts[0]
    if not parts:
        return Said(_NONE, _NONE, _NONE)
    return Said(*(_NONE.union(*field) for field in zip(*parts, strict=True)))


class _Whys:
    """The reasons for states: per row one, made when it is first asked for."""

    def __init__(self, leaves: Sequence[_Leaf]) -> None:
        self._leaves = leaves
        self._said = [[said[at] for said, _, _ in leaves] for at in range(3)]
        """By state: what each leaf names."""
        self._made: dict[int, Why] = {}
        self._together: dict[tuple[int, ...], tuple[Why, ...]] = {}

    def of(self, allergen: str, state: int) -> tuple[Why, ...]:
        """The reasons why an allergen is contained (0), may be contained (1) or is not known (2)."""
        which = tuple([at for at, ids in enumerate(self._said[state]) if allergen in ids])
        found = self._together.get(which)
        if found is None:
            rows = {id(row): (food, row) for _, food, row in (self._leaves[at] for at in which)}
            found = self._together[which] = tuple(
                [self._made.get(key) or self._make(key, food, row) for key, (food, row) in rows.items()]
            )
        return found

    def _make(self, key: int, food: Food, row: Ingredient) -> Why:
        source = f"{food.source}, {food.source_ref}" if food.source_ref else food.source
        made = self._made[key] = Why(food.id, food.name, food.place, source, food.updated, row.row.place)
        return made


def _excepted(leaves: Iterable[_Leaf], rules: AllergenRules, language: str) -> tuple[Excepted, ...]:
    known = allergen_rules.exceptions()
    notes: dict[Excepted, None] = {}
    for said, food, _ in leaves:
        for name in sorted(said.excepted):
            exception = known[name]
            allergens = tuple(sorted(exception.allergens))
            text, law = exception.text(language), exception.laws[rules.id]
            notes[Excepted(food.id, food.name, allergens, text, law)] = None
    return tuple(notes)
