"""What must hold for allergens over random recipes, nested at random."""

from __future__ import annotations

import random

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.labelling.allergen_make import SETTINGS, TODAY, dish_of, food, row_of

from gramwright.labelling import allergen_rules, allergens
from gramwright.model import AllergenFindings, AllergenStatement, Dish, Food, Ingredient, Presence, Quality

STRENGTH = {Presence.NOT_RECORDED: 0, Presence.UNKNOWN: 1, Presence.MAY_CONTAIN: 2, Presence.CONTAINS: 3}
IDS = sorted(allergen_rules.vocabulary().group)
WORDS = [*IDS, *allergen_rules.vocabulary().generic]
RULES = st.sampled_from(allergen_rules.available())


def _pool() -> list[Food]:
    """Foods of every sort of statement: what hypothesis draws rows from (drawing each statement anew is slow)."""
    chance = random.Random(1169)
    pool: list[Food] = []
    for number in range(400):
        named = chance.sample(WORDS, chance.randint(0, 4))
        cut = chance.randint(0, len(named))
        excepted = chance.sample(sorted(allergen_rules.exceptions()), chance.choice([0, 0, 1]))
        statement = AllergenStatement(
            chance.random() < 0.8, frozenset(named[:cut]), frozenset(named[cut:]), frozenset(excepted)
        )
        pool.append(
            food(
                f"thing {number}",
                statement,
                kinds=chance.sample(["plant", "plant", "milk", "fish", "egg", "no such kind"], chance.randint(0, 2)),
                quality=chance.choice(list(Quality)),
                updated=chance.choice(["", "2026-10-01", "2026-10-01", "2020-01-01", "2030-01-01"]),
            )
        )
    return pool


POOL = _pool()


def rows(most: int = 3) -> st.SearchStrategy[Ingredient]:
    """Rows of foods and of dishes, three levels deep."""
    leaf = st.builds(
        lambda number, optional: row_of(POOL[number], optional=optional),
        st.integers(0, len(POOL) - 1),
        st.sampled_from([False, False, True]),
    )

    def deeper(below: st.SearchStrategy[Ingredient]) -> st.SearchStrategy[Ingredient]:
        return st.lists(below, min_size=1, max_size=most).map(lambda inside: row_of(dish_of(*inside)))

    return st.recursive(leaf, deeper, max_leaves=6)


def find(ingredients: list[Ingredient], rules: str) -> AllergenFindings:
    return allergens.findings(ingredients, rules, SETTINGS, TODAY)


def strength(found: AllergenFindings, allergen: str) -> int:
    return STRENGTH[found.states.get(allergen, Presence.NOT_RECORDED)]


@given(st.lists(rows(), max_size=4), rows(), RULES)
@settings(max_examples=80, deadline=None)
def test_adding_a_row_never_weakens_an_allergen(some: list[Ingredient], more: Ingredient, rules: str) -> None:
    before, after = find(some, rules), find([*some, more], rules)
    for allergen in before.states:
        assert strength(after, allergen) >= strength(before, allergen)
    assert before.unresolved <= after.unresolved
    for group in allergens.GROUPS:
        assert STRENGTH[after.groups[group]] >= STRENGTH[before.groups[group]]


def buried(unchecked: Food, depth: int, beside: Ingredient) -> Ingredient:
    row = row_of(unchecked)
    for _ in range(depth):
        row = row_of(dish_of(row, beside))
    return row


@given(st.lists(rows(), max_size=3), rows(), st.integers(0, 5), RULES)
@settings(max_examples=80, deadline=None)
def test_an_unchecked_food_at_any_depth_leaves_nothing_unrecorded(
    some: list[Ingredient], beside: Ingredient, depth: int, rules: str
) -> None:
    sauce = food("sauce", AllergenStatement(checked=False))
    found = find([*some, buried(sauce, depth, beside)], rules)
    assert Presence.NOT_RECORDED not in found.states.values()
    assert allergen_rules.load(rules).all_ids <= found.unresolved
    assert Presence.NOT_RECORDED not in found.groups.values()


@given(st.lists(rows(), max_size=5).flatmap(lambda some: st.tuples(st.just(some), st.permutations(some))), RULES)
@settings(max_examples=80, deadline=None)
def test_the_order_of_rows_does_not_matter(orders: tuple[list[Ingredient], list[Ingredient]], rules: str) -> None:
    one, other = (find(list(each), rules) for each in orders)
    assert one.states == other.states
    assert list(one.states) == list(other.states)
    assert one.unresolved == other.unresolved
    assert one.groups == other.groups
    assert {key: set(why) for key, why in one.because.items()} == {key: set(why) for key, why in other.because.items()}
    assert set(one.excepted) == set(other.excepted)


@given(st.lists(rows(), max_size=4), RULES)
@settings(max_examples=80, deadline=None)
def test_each_allergen_has_one_state_a_word_and_a_reason(some: list[Ingredient], rules: str) -> None:
    found = find(some, rules)
    assert found.states.keys() == found.words.keys()
    assert allergen_rules.load(rules).all_ids <= found.states.keys()
    for allergen, state in found.states.items():
        assert bool(found.because.get(allergen)) is (state is not Presence.NOT_RECORDED)
        if state is Presence.UNKNOWN:
            assert allergen in found.unresolved
        if state is Presence.NOT_RECORDED:
            assert allergen not in found.unresolved


@given(st.lists(rows(), max_size=4), RULES)
@settings(max_examples=80, deadline=None)
def test_rows_taken_one_by_one_give_the_same_states(some: list[Ingredient], rules: str) -> None:
    found = find(some, rules)
    said = [allergens.said_by(row, rules, SETTINGS, TODAY) for row in some if not row.row.optional]
    for allergen, state in found.states.items():
        assert STRENGTH[state] == max((STRENGTH[each.state(allergen)] for each in said), default=0)


@given(st.lists(rows(), min_size=1, max_size=4), RULES)
@settings(max_examples=80, deadline=None)
def test_nesting_changes_nothing(some: list[Ingredient], rules: str) -> None:
    plain = find(some, rules)
    nested = find([row_of(dish_of(*some)), row_of(dish_of())], rules)
    assert plain.states == nested.states
    assert plain.unresolved == nested.unresolved


def naive(ingredients: list[Ingredient] | tuple[Ingredient, ...], allergen: str) -> int:
    """The weakest reading of a plain EU statement, by hand: foods without exceptions, generics, kinds or packs."""
    strongest = 0
    for each in ingredients:
        if each.row.optional:
            continue
        if isinstance(each.dish, Dish):
            strongest = max(strongest, naive(each.dish.ingredients, allergen))
        elif each.food is not None:
            said = each.food.allergens
            strongest = max(
                strongest,
                3 if allergen in said.contains else 2 if allergen in said.may_contain else 0 if said.checked else 1,
            )
    return strongest


@given(st.data(), st.lists(st.integers(0, 2), min_size=1, max_size=5))
@settings(max_examples=80, deadline=None)
def test_against_a_reading_by_hand(data: st.DataObject, depths: list[int]) -> None:
    listed = sorted(allergen_rules.load("eu").all_ids)
    some: list[Ingredient] = []
    for depth in depths:
        named = data.draw(st.lists(st.sampled_from(listed), max_size=3, unique=True))
        cut = data.draw(st.integers(0, len(named)))
        statement = AllergenStatement(data.draw(st.booleans()), frozenset(named[:cut]), frozenset(named[cut:]))
        some.append(buried(food("thing", statement), depth, row_of(food("turnip"))))
    found = find(some, "eu")
    for allergen in listed:
        assert strength(found, allergen) == naive(some, allergen)
