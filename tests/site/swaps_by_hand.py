"""What swaps and optional rows of a random hub change, worked out by making every changed recipe and looking at it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from tests.site.allergen_hub import RandomHub, Row, Site, States

from gramwright.labelling import allergen_rules

LINE = re.compile(r'<span class="allergen-((?:swap|optional)\w*)">(.*?)</span>', re.S)


def made(hub: RandomHub, rows: list[Row]) -> RandomHub:
    """The hub with these rows as a recipe called 'one'."""
    return RandomHub(hub.root, hub.rules, hub.things, {**hub.recipes, "one": rows})


def is_open(hub: RandomHub, name: str) -> bool:
    """Whether a food leaves anything not known."""
    thing = hub.things[name]
    return not thing.checked or not thing.fresh or "nuts" in thing.contains


def changes(hub: RandomHub, recipe: str) -> dict[str, set[str]]:
    """What there is to say, each with its allergens; what is left not known by a change may be many."""
    rows = [row for row in hub.recipes[recipe] if not row.optional]
    extra = [row for row in hub.recipes[recipe] if row.optional]
    before = made(hub, rows).states("one")
    ids = set(hub.law.all_ids) | {"nuts"}
    strength = {each: before.strength(each) for each in ids}
    swapped = [
        (row.swap, made(hub, [*rows[:at], Row(row.swap), *rows[at + 1 :]]).states("one"))
        for at, row in enumerate(rows)
        if row.swap
    ]
    taken = [made(hub, [*rows, Row(name)]).states("one") for row in extra for name in (row.what, row.swap) if name]
    found: dict[str, set[str]] = {}
    for sort, states in (("swap", [after for _, after in swapped]), ("optional", taken)):
        for each in ids:
            best = max((after.strength(each) for after in states), default=0)
            if best > strength[each]:
                found.setdefault(f"{sort}_{('opens', 'may_add', 'adds')[best - 1]}", set()).add(each)
    sure = [after for name, after in swapped if not is_open(hub, name)]
    ways = [made(hub, way).states("one") for way in sure_ways(hub, rows)]
    named = {each for each in ids if strength[each] >= 2}
    alone = {each for each in named if any(after.strength(each) == 0 for after in sure)}
    together = {each for each in named - alone if any(after.strength(each) == 0 for after in ways)}
    unknown = {each for each in ids if strength[each] == 1}
    found["swap_removes"], found["swaps_remove"] = alone, together
    if unknown and any(_none_of(unknown, after) for after in sure):
        return {**{key: value for key, value in found.items() if value}, "swap_settles": set()}
    if unknown and any(_none_of(unknown, after) for after in ways):
        return {**{key: value for key, value in found.items() if value}, "swaps_settle": set()}
    return {key: value for key, value in found.items() if value}


def sure_ways(hub: RandomHub, rows: list[Row]) -> Iterator[list[Row]]:
    """Every way of making the swaps that leave nothing not known, the recipe as written among them."""
    ways = [[row, *([Row(row.swap)] if row.swap and not is_open(hub, row.swap) else [])] for row in rows]
    for way in product(*ways):
        yield [replace(row, swap="") for row in way]


def needs_swap(hub: RandomHub, recipe: str, ids: set[str], group: str) -> bool:
    """Whether the recipe is left out as written, and some way of making its swaps is not."""
    rows = [row for row in hub.recipes[recipe] if not row.optional]

    def clear(way: list[Row]) -> bool:
        variant = made(hub, way)
        states = variant.states("one")
        whole = _generic(variant, group) if group else False
        return _none_of(ids, states) and not whole

    return not clear(rows) and any(clear(way) for way in sure_ways(hub, rows))


def _generic(hub: RandomHub, group: str) -> bool:
    """Whether anything of a group is there, may be there or is not known, whatever the law lists of it."""
    members = allergen_rules.vocabulary().members[group]
    things = hub.foods_of("one")
    return hub.group_unclear("one", group) > 0 or any(members & set(thing.may_contain) for thing in things)


def _none_of(ids: set[str], states: States) -> bool:
    return not ids & (states.contains | states.may_contain | states.unknown)


def told_in_list(site: Site, path: str) -> dict[str, dict[str, frozenset[str] | int]]:
    """What each row of a list says of swaps: names, or how many where there are too many to name."""
    found: dict[str, dict[str, frozenset[str] | int]] = {}
    for row in re.findall(r'<li class="dish">.*?</li>', site.text(path), re.S):
        link = re.search(r'href="[^"]*recipes/([^/"]+)/', row)
        if link is None:
            continue
        block = re.search(r'<p class="dish-swaps">(.*?)</p>', row, re.S)
        said: dict[str, frozenset[str] | int] = {}
        for what, text in LINE.findall(block[1] if block else ""):
            count = re.match(r"(\d+) allergens? not known with", text)
            said[what] = int(count[1]) if count else frozenset(re.findall(r"<b>(.*?)</b>", text))
        found[link[1]] = said
    return found
