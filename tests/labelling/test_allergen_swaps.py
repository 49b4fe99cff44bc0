"""What swaps and optional rows change, as lists say it: edge by edge, and over random recipes with every way tried."""

from __future__ import annotations

import random
from itertools import product

import pytest
from tests.labelling.allergen_make import SETTINGS, TODAY, dish_of, food, row_of, said

from gramwright.labelling import allergen_rules, allergens
from gramwright.labelling.allergen_swaps import NO_SWAPS, WHATS, Swaps, swaps
from gramwright.model import AllergenFindings, AllergenStatement, Food, Ingredient, Presence, Quality

STRENGTH = {Presence.NOT_RECORDED: 0, Presence.UNKNOWN: 1, Presence.MAY_CONTAIN: 2, Presence.CONTAINS: 3}

TURNIP = food("turnip")
FETA = food("feta", said(["milk"]))
TOFU = food("tofu", said(["soybeans"]))
MYSTERY = food("mystery", said(checked=False))
SEEDS = food("seeds", said(["sesame"]))


def changed(*rows: Ingredient, rules: str = "eu") -> Swaps:
    return swaps(rows, rules, SETTINGS, TODAY)


def told(found: Swaps) -> dict[str, tuple[str, ...]]:
    assert [each.what for each in found.told] == sorted((each.what for each in found.told), key=WHATS.index)
    return dict(found.told)


def test_nothing_to_choose_changes_nothing() -> None:
    assert changed() is NO_SWAPS
    assert changed(row_of(FETA), row_of(MYSTERY)) is NO_SWAPS
    assert not NO_SWAPS.without(["milk"])
    assert not NO_SWAPS.without([])


def test_a_swap_that_changes_no_allergen_says_nothing() -> None:
    assert changed(row_of(TURNIP, swaps=[row_of(food("swede"))])) == NO_SWAPS
    assert changed(row_of(TURNIP), row_of(food("kale"), optional=True)) == NO_SWAPS


def test_a_swap_removes_one_and_adds_another() -> None:
    found = changed(row_of(FETA, swaps=[row_of(TOFU)]), row_of(SEEDS))
    assert told(found) == {"swap_removes": ("milk",), "swap_adds": ("soybeans",)}
    assert found.fixed == ("sesame",)
    assert found.rows == ((("milk",), ("soybeans",)),)
    assert found.without(["milk"])
    assert found.without(["soybeans"])
    assert not found.without(["milk", "soybeans"])
    assert not found.without(["sesame"])
    assert not found.without(["milk", "sesame"])


def test_a_swap_that_leaves_anything_not_known_never_counts_as_removing() -> None:
    """Not even an allergen that it is known about: celery is open, milk is named as not in it."""
    half = food("half known", said([], ["milk"], checked=False))
    fish = food("fish sauce", said(), kinds=["fish"])
    for other in (MYSTERY, half, fish, food("nut paste", said(["nuts"]))):
        found = changed(row_of(FETA, swaps=[row_of(other)]))
        assert "swap_removes" not in told(found), other.id
        assert not found.frees
        assert not found.without(["milk"])
    assert told(changed(row_of(FETA, swaps=[row_of(fish)]))) == {"swap_opens": ("fish",)}


def test_a_pack_read_too_long_ago_never_counts_as_removing() -> None:
    old = food("oat drink", said(["oats"]), quality=Quality.DECLARED, updated="2025-11-24")
    new = food("oat drink", said(["oats"]), quality=Quality.DECLARED, updated="2025-11-25")
    assert not changed(row_of(FETA, swaps=[row_of(old)])).without(["milk"])
    assert changed(row_of(FETA, swaps=[row_of(new)])).without(["milk"])


def test_a_swap_that_may_contain_it_or_leaves_less_of_it_does_not_remove_it() -> None:
    less = food("oat cream", said(["oats"], ["milk"]))
    found = changed(row_of(FETA, swaps=[row_of(less)]))
    assert told(found) == {"swap_adds": ("oats",)}
    assert not found.without(["milk"])


def test_another_row_keeps_what_a_swap_would_remove() -> None:
    found = changed(row_of(FETA, swaps=[row_of(TURNIP)]), row_of(food("butter", said(["milk"]))))
    assert found == NO_SWAPS
    unsure = changed(row_of(FETA, swaps=[row_of(TURNIP)]), row_of(MYSTERY))
    assert not unsure.frees
    assert told(unsure) == {}


def test_swaps_of_two_rows_together() -> None:
    butter = food("butter", said(["milk"]))
    found = changed(row_of(FETA, swaps=[row_of(TOFU)]), row_of(butter, swaps=[row_of(food("oil"))]))
    assert told(found) == {"swaps_remove": ("milk",), "swap_adds": ("soybeans",)}
    assert found.without(["milk"])
    assert not found.without(["milk", "soybeans"])
    assert found.fixed == ()
    assert found.rows == ((("milk",), ("soybeans",)),), "of the other row the swap is never worse"


def test_what_may_be_contained_is_removed_too() -> None:
    found = changed(row_of(food("bar", said([], ["milk"])), swaps=[row_of(TURNIP)]))
    assert told(found) == {"swap_removes": ("milk",)}
    assert found.without(["milk"])


def test_a_swap_settles_what_is_not_known() -> None:
    found = changed(row_of(MYSTERY, swaps=[row_of(TOFU)]), row_of(FETA))
    assert told(found) == {"swap_adds": ("soybeans",)}, "one that was not known is then contained, so it stays in sight"
    found = changed(row_of(MYSTERY, swaps=[row_of(TURNIP)]), row_of(FETA))
    assert told(found) == {"swap_settles": ()}
    assert found.without(["eggs"])
    assert not found.without(["milk"])


def test_what_may_be_contained_besides_does_not_keep_the_rest_from_being_settled() -> None:
    bar = food("bar", said([], ["peanuts"]))
    found = changed(row_of(MYSTERY, swaps=[row_of(TURNIP)]), row_of(bar))
    assert told(found) == {"swap_settles": ()}
    assert found.without(["eggs"])
    assert not found.without(["peanuts"])


def test_what_is_not_known_and_then_contained_is_not_settled() -> None:
    """A food of the kind fish that does not name it, and one that does: fish is there either way."""
    fishy = food("fishy", said(["milk"]), kinds=["fish"])
    found = changed(row_of(fishy, swaps=[row_of(food("roe", said(["fish", "eggs"])))]))
    assert told(found) == {"swap_removes": ("milk",), "swap_adds": ("eggs", "fish")}
    assert not found.without(["fish"])


def test_what_every_way_of_a_row_has_is_not_removed() -> None:
    rich, other = food("rich", said(["milk", "eggs"])), food("other", said(["milk", "soybeans"]))
    found = changed(row_of(rich, swaps=[row_of(other)]))
    assert told(found) == {"swap_removes": ("eggs",), "swap_adds": ("soybeans",)}
    assert not found.without(["milk"])
    assert found.without(["eggs"])


def test_two_swaps_settle_together_what_neither_settles_alone() -> None:
    other = food("another mystery", said(checked=False))
    rows = [row_of(each, swaps=[row_of(TURNIP)]) for each in (MYSTERY, other)]
    assert told(changed(*rows)) == {"swaps_settle": ()}
    assert "swaps_settle" not in told(changed(*rows, row_of(food("third", said(checked=False)))))


def test_what_swaps_may_add_and_leave_open() -> None:
    bar = food("bar", said([], ["peanuts"]))
    found = changed(row_of(TURNIP, swaps=[row_of(bar), row_of(TOFU)]))
    assert told(found) == {"swap_adds": ("soybeans",), "swap_may_add": ("peanuts",)}
    found = changed(row_of(TURNIP, swaps=[row_of(MYSTERY), row_of(bar)]))
    assert told(found)["swap_may_add"] == ("peanuts",)
    assert len(told(found)["swap_opens"]) == 25, "every other one of the law's 26 names"
    assert told(changed(row_of(bar, swaps=[row_of(food("peanut", said(["peanuts"])))]))) == {"swap_adds": ("peanuts",)}
    assert told(changed(row_of(MYSTERY, swaps=[row_of(bar)]))) == {"swap_may_add": ("peanuts",)}


def test_an_optional_row_and_its_swaps_are_told_apart_from_swaps() -> None:
    topping = row_of(SEEDS, optional=True, swaps=[row_of(food("egg", said(["eggs"])))])
    assert told(changed(row_of(FETA), topping)) == {"optional_adds": ("eggs", "sesame")}
    assert told(changed(row_of(FETA), row_of(food("bar", said([], ["lupin"])), optional=True))) == {
        "optional_may_add": ("lupin",)
    }
    assert set(told(changed(row_of(FETA), row_of(MYSTERY, optional=True)))) == {"optional_opens"}
    assert changed(row_of(FETA), row_of(food("butter", said(["milk"])), optional=True)) == NO_SWAPS
    assert not changed(row_of(FETA), topping).frees


def test_a_group_as_a_whole_stays_although_the_law_lists_one_member_alone() -> None:
    """21 U.S.C. 321(qq): wheat is listed, rye is not. Rye flour in its place is still no cereal left out."""
    wheat, rye = food("wheat flour", said(["wheat"])), food("rye flour", said(["rye"]))
    found = changed(row_of(wheat, swaps=[row_of(rye)]), rules="us")
    assert told(found) == {"swap_removes": ("wheat",)}
    assert found.without(["wheat"])
    assert not found.without(["gluten", "wheat"])
    rice = changed(row_of(wheat, swaps=[row_of(food("rice flour"))]), rules="us")
    assert rice.without(["gluten", "wheat"])


def test_one_nut_for_another_is_still_a_nut() -> None:
    almond, walnut = food("almonds", said(["almond"])), food("walnuts", said(["walnut"]))
    found = changed(row_of(almond, swaps=[row_of(walnut)]))
    assert told(found) == {"swap_removes": ("almond",), "swap_adds": ("walnut",)}
    assert not found.without(["nuts"])


def test_swaps_inside_a_recipe_that_is_used_are_not_offered() -> None:
    inner = dish_of(row_of(FETA, swaps=[row_of(TOFU)]))
    assert changed(row_of(inner)) is NO_SWAPS
    found = changed(row_of(inner, swaps=[row_of(TURNIP)]))
    assert told(found) == {"swap_removes": ("milk",)}


def test_a_sub_recipe_in_place_of_a_food_brings_what_is_in_it() -> None:
    inner = dish_of(row_of(TOFU), row_of(MYSTERY))
    found = changed(row_of(FETA, swaps=[row_of(inner)]))
    assert not found.without(["milk"])
    assert told(found)["swap_adds"] == ("soybeans",)


# ---------------------------------------------------------------- every way tried


def _pool() -> list[Food]:
    chance = random.Random(21)
    ids = sorted(allergen_rules.vocabulary().group)
    pool = []
    for number in range(60):
        named = chance.sample(ids, chance.choice([0, 0, 1, 1, 2, 3]))
        cut = chance.randint(0, len(named))
        contains = [*named[:cut], *(["nuts"] if chance.random() < 0.1 else [])]
        statement = AllergenStatement(chance.random() < 0.85, frozenset(contains), frozenset(named[cut:]))
        pool.append(food(f"thing {number}", statement))
    return pool


@pytest.mark.parametrize("rules", allergen_rules.available())
def test_it_is_without_something_exactly_where_some_way_of_swapping_is(rules: str) -> None:
    """Each way of making the swaps is worked out as a recipe of its own, by the findings that pages show."""
    chance, pool = random.Random(rules), _pool()
    law = allergen_rules.load(rules)
    vocabulary = allergen_rules.vocabulary()
    fits = 0
    for _ in range(120):
        rows = [
            row_of(
                chance.choice(pool),
                optional=chance.random() < 0.15,
                swaps=[row_of(chance.choice(pool)) for _ in range(chance.choice([0, 0, 1, 2]))],
            )
            for _ in range(chance.randint(1, 4))
        ]
        found = changed(*rows, rules=rules)
        counted = [each for each in rows if not each.row.optional]
        sure = [[each, *(swap for swap in each.swaps if not _open(swap, rules))] for each in counted]
        made = [allergens.findings(way, rules, SETTINGS, TODAY) for way in product(*sure)]
        written = allergens.findings(counted, rules, SETTINGS, TODAY)
        for _ in range(12):
            left = set(chance.sample(sorted(law.all_ids), chance.choice([1, 1, 2, 3])))
            group = chance.choice([*vocabulary.generic, ""])
            if group:
                of = vocabulary.generic[group]
                left |= {each for each in law.all_ids if each in vocabulary.members[of]} | {group}

            def fine(way: AllergenFindings, left: set[str] = left) -> bool:
                states = [way.states.get(each, Presence.NOT_RECORDED) for each in left]
                groups = [way.groups[vocabulary.generic[each]] for each in left if each in vocabulary.generic]
                return all(state is Presence.NOT_RECORDED for state in (*states, *groups))

            if not fine(written):
                assert found.without(left) == any(map(fine, made)), (left, [each.food for each in rows])
                fits += found.without(left)
    assert fits > 40


def _open(swap: Ingredient, rules: str) -> bool:
    alone = allergens.findings([swap], rules, SETTINGS, TODAY)
    return Presence.UNKNOWN in alone.groups.values() or bool(alone.open) or bool(alone.unresolved)


@pytest.mark.parametrize("rules", ["eu", "us", "anz"])
def test_what_is_told_is_what_the_single_choices_change(rules: str) -> None:
    """Against `allergens.choices`, which the recipe page shows one by one."""
    chance, pool = random.Random(f"told {rules}"), _pool()
    seen: set[str] = set()
    for _ in range(300):
        rows = [
            row_of(
                chance.choice(pool),
                optional=chance.random() < 0.2,
                swaps=[row_of(chance.choice(pool)) for _ in range(chance.choice([0, 0, 1, 2]))],
            )
            for _ in range(chance.randint(1, 3))
        ]
        got = told(changed(*rows, rules=rules))
        seen |= got.keys()
        before = allergens.findings(rows, rules, SETTINGS, TODAY).states
        best: dict[str, dict[str, Presence]] = {"swap": {}, "optional": {}}
        removed: set[str] = set()
        for choice in allergens.choices(rows, rules, SETTINGS, TODAY):
            row = rows[choice.index]
            taken = best["optional" if row.row.optional else "swap"]
            for name, state in choice.adds.items():
                taken[name] = max(taken.get(name, state), state, key=STRENGTH.__getitem__)
            if choice.swap is not None and not _open(row.swaps[choice.swap], rules):
                removed |= {
                    name
                    for name, state in choice.removes.items()
                    if state is Presence.NOT_RECORDED and before[name] is not Presence.UNKNOWN
                }
        for sort, taken in best.items():
            for word, state in (
                ("adds", Presence.CONTAINS),
                ("may_add", Presence.MAY_CONTAIN),
                ("opens", Presence.UNKNOWN),
            ):
                assert set(got.get(f"{sort}_{word}", ())) == {name for name, new in taken.items() if new is state}
        assert set(got.get("swap_removes", ())) == removed
    assert {"swap_removes", "swap_adds", "swap_may_add", "swap_opens", "optional_adds", "optional_may_add"} <= seen
