"""What rows hold. Takes a dish, gives the sums behind every choice: of the rows that stay, and of each option.

Numbers are of the whole batch, after retention, unrounded, written with fifteen
significant digits (one more than any rounding rule looks at, and what binary
arithmetic keeps).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product
from math import prod
from typing import NamedTuple

from gramwright.labelling.caution_rules import of_scope
from gramwright.labelling.claim_judge import FATTY_ACIDS
from gramwright.labelling.rules_model import RuleSet
from gramwright.model import Dish, Ingredient, Tag
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.parts import Content, content_of
from gramwright.nutrition.profiles import Mix, Profile
from gramwright.nutrition.ranges import Spread, spread
from gramwright.nutrition.variants import LEFT_OUT, options, taken

MOST_PROFILES = 20_000
MOST_WAYS = 64
"""Ways to choose among rows that share a food, above which their ranges are not put together."""


_Asked = tuple[tuple[tuple[int, float], ...], tuple[int, ...]]
"""(place among the tags, amount in a gram) of what is known; places of what is not."""


class Ledger(NamedTuple):
    """What some rows hold."""

    grams: float
    amounts: tuple[float | None, ...]
    """By tag, in the order asked for; None: known for none of the foods. Empty: there is nothing with a weight."""
    unknown_g: tuple[float, ...]
    """By tag: eaten grams whose value is not known."""
    kj: Spread
    kcal: Spread
    table: Spread
    """By the tables, in kJ."""
    foods: frozenset[int]


class Ledgers(NamedTuple):
    """A dish taken apart."""

    tags: tuple[Tag, ...]
    fixed: Ledger
    """The rows that nothing is to be chosen of."""
    options: Mapping[tuple[int, int], Ledger]
    """(ingredient index, option) -> what it adds; nothing for a row left out."""
    tangled: tuple[int, ...]
    """Rows with a choice that share a food with others, so that their ranges do not simply add up."""
    ways: Mapping[tuple[int, ...], tuple[Spread, Spread]] | None
    """Options of the tangled rows -> (kcal, table) of them and the fixed rows together; None: too many ways."""


def rule_tags(rules: RuleSet) -> tuple[Tag, ...]:
    """Every component that the rule set or a caution asks for, in a stable order."""
    found = [line.tag for line in rules.lines if line.tag]
    found += [*rules.energy.weights_kj, *rules.energy.weights_kcal, *FATTY_ACIDS]
    for term in rules.energy.terms:
        found += (term.add, *term.less)
    for claim in rules.claims.values():
        for case in (*claim.cases, *claim.main_dish):
            found += [tag for condition in case.conditions for tag in condition.tags]
    for rule in of_scope("page"):
        for when in rule.when:
            found += [tag for tag, _ in (*when.per_portion, *when.per_100g)]
    made = ["NA_mg" if tag == "SALT_g" else tag for tag in found if not tag.startswith("ENERC_")]
    return tuple(dict.fromkeys(made))


def choosable(dish: Dish) -> tuple[int, ...]:
    """Indexes of the ingredients that leave a choice."""
    return tuple(at for at, item in enumerate(dish.ingredients) if item.row.optional or item.swaps)


class Taker:
    """Takes dishes apart under one rule set. One a process."""

    def __init__(self, rules: RuleSet, books: NutritionBooks) -> None:
        self._rules = rules
        self._books = books
        self._version = -1
        self._asked = rule_tags(rules)
        self._learn()

    def _learn(self) -> None:
        """Array places and combinations, anew when a tag was met for the first time."""
        shelf, rule = self._books.shelf, self._rules.energy
        self.mixes: tuple[Mix, Mix, Mix] = (
            shelf.mix(rule.weights_kj, rule.required),
            shelf.mix(rule.weights_kcal, rule.required),
            shelf.mix({"ENERC_kJ": 1.0}, ("ENERC_kJ",)),
        )
        self.tags = tuple(tag for tag in self._asked if tag in shelf.places)
        self._places = tuple(shelf.places[tag] for tag in self.tags)
        self._at = {place: at for at, place in enumerate(self._places)}
        self._profiles: dict[int, tuple[Profile, _Asked]] = {}
        self._version = shelf.version

    def ledgers(self, dish: Dish) -> Ledgers:
        """The dish taken apart; every choice of it is a sum of these."""
        indexes = choosable(dish)
        chosen = set(indexes)
        stay = [item for at, item in enumerate(dish.ingredients) if at not in chosen]
        takes: dict[tuple[int, int], Ingredient] = {}
        for at in indexes:
            for option in options(dish.ingredients[at]):
                item = taken(dish.ingredients[at], option)
                if item is not None:
                    takes[at, option] = item
        while True:
            contents = {key: content_of((item,), self._books) for key, item in takes.items()}
            fixed = content_of(stay, self._books)
            if self._books.shelf.version == self._version:
                break
            self._learn()
        made = {key: self._ledger(content, takes[key].grams) for key, content in contents.items()}
        base = self._ledger(fixed, sum(item.grams for item in stay))
        tangled = _tangled(base, made, indexes)
        return Ledgers(self.tags, base, made, tangled, self._ways(dish, stay, tangled) if tangled else {})

    def _ways(
        self, dish: Dish, stay: Sequence[Ingredient], tangled: tuple[int, ...]
    ) -> Mapping[tuple[int, ...], tuple[Spread, Spread]] | None:
        choices = [options(dish.ingredients[at]) for at in tangled]
        if prod(map(len, choices)) > MOST_WAYS:
            return None
        ways: dict[tuple[int, ...], tuple[Spread, Spread]] = {}
        for way in product(*choices):
            items = [taken(dish.ingredients[at], option) for at, option in zip(tangled, way, strict=True)]
            content = content_of((*stay, *(item for item in items if item is not None)), self._books)
            ways[way] = spread(content, self.mixes[1]), spread(content, self.mixes[2])
        return ways

    def _asked_of(self, profile: Profile) -> _Asked:
        """What a food holds of the components asked for, and which of them are not known."""
        found = self._profiles.get(id(profile))
        if found is not None and found[0] is profile:
            return found[1]
        terms = tuple((self._at[place], each) for place, each, *_ in profile.terms if place in self._at)
        made = terms, tuple(self._at[place] for place, _ in profile.gaps if place in self._at)
        if len(self._profiles) > MOST_PROFILES:
            self._profiles.clear()
        self._profiles[id(profile)] = profile, made
        return made

    def _ledger(self, content: Content, grams: float) -> Ledger:
        loads = content.loads
        kj, kcal, table = (spread(content, mix) for mix in self.mixes)
        foods = frozenset(id(load.profile.food) for load in loads)
        size = len(self._places)
        amount, unknown, count = [0.0] * size, [0.0] * size, [0] * size
        for load in loads:
            of, share = load.grams, load.share_g
            terms, gaps = self._asked_of(load.profile)
            for at, each in terms:
                amount[at] += of * each
            for at in gaps:
                unknown[at] += share
                count[at] += 1
        every = len(loads)
        amounts = tuple([None if gone == every else known for gone, known in zip(count, amount, strict=True)])
        return Ledger(
            grams,
            amounts if loads else (),
            tuple(unknown),
            kj,
            kcal,
            table,
            foods,
        )


def _tangled(fixed: Ledger, made: Mapping[tuple[int, int], Ledger], indexes: Sequence[int]) -> tuple[int, ...]:
    foods: dict[int, set[int]] = {at: set() for at in indexes}
    for (at, option), ledger in made.items():
        if option != LEFT_OUT:
            foods[at] |= ledger.foods
    return tuple(
        at
        for at in indexes
        if not foods[at].isdisjoint(fixed.foods)
        or any(other != at and not foods[at].isdisjoint(foods[other]) for other in indexes)
    )
