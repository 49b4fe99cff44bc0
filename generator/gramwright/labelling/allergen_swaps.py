"""What a recipe's swaps and optional rows change of its allergens. Takes resolved ingredients, gives Swaps.

For lists and for finding, where there is no room for every single change (that
is `allergens.choices`): what some swap removes, what one adds, and whether the
swaps of all rows together can do without what a reader leaves out.

    swaps(ingredients, rules_id, settings, today) -> Swaps

Only the swaps of the recipe's own rows count, not those inside a recipe that it
uses. A swap that leaves anything at all not known is never counted as removing
something. Raises Trouble 'unknown-rule-set'.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from functools import cache
from typing import NamedTuple

from gramwright.labelling import allergen_rules
from gramwright.labelling.allergens import Said, said_by
from gramwright.model import Ingredient, Presence, Settings

Ids = tuple[str, ...]
"""Allergen ids in the law's order. A group as a whole is its generic id ('nuts'), which then may stand for what the
rule set does not list (rye, where the law lists wheat alone)."""


WHATS = (
    "swap_removes",
    "swaps_remove",
    "swap_settles",
    "swaps_settle",
    "swap_adds",
    "swap_may_add",
    "swap_opens",
    "optional_adds",
    "optional_may_add",
    "optional_opens",
)
"""What there is to say, in the order in which it is said. Removed: whole, by one swap or by those of several rows
together. Settled: nothing that was not known stays so. Opened: not known with it."""


class Told(NamedTuple):
    """One thing to say: one of WHATS and the allergens that it is about (none for what is settled)."""

    what: str
    allergens: Ids = ()


class Swaps(NamedTuple):
    """A recipe's swaps and optional rows."""

    told: tuple[Told, ...] = ()
    fixed: Ids = ()
    """What the recipe contains, may contain or leaves not known whichever swaps are made."""
    rows: tuple[tuple[Ids, ...], ...] = ()
    """The rows where it matters which swap is made: what each way of them has."""
    frees: bool = False
    """Whether some way of making swaps is without something that the recipe as written is not without."""

    def without(self, left_out: Iterable[str]) -> bool:
        """Whether some way of making swaps has none of these ids, not even as not known."""
        ids = frozenset(left_out)
        return self.frees and ids.isdisjoint(self.fixed) and all(any(map(ids.isdisjoint, ways)) for ways in self.rows)


NO_SWAPS = Swaps()


def swaps(ingredients: Sequence[Ingredient], rules_id: str, settings: Settings, today: date) -> Swaps:
    """What the swaps and optional rows change; NO_SWAPS, at no cost, where there are none."""
    if not any(each.swaps or each.row.optional for each in ingredients):
        return NO_SWAPS
    order = tuple(entry.id for entry in allergen_rules.load(rules_id).order)

    def said(each: Ingredient) -> Said:
        return said_by(each, rules_id, settings, today)

    counted = [each for each in ingredients if not each.row.optional]
    rows = [said(each) for each in counted]
    others = [[said(swap) for swap in each.swaps] for each in counted]
    extra = [
        option for each in ingredients if each.row.optional for option in (said(each), *(said(s) for s in each.swaps))
    ]
    before = _states(rows, order)
    after = [_states([*rows[:at], option, *rows[at + 1 :]], order) for at, ways in enumerate(others) for option in ways]
    sure = [
        _states([*rows[:at], option, *rows[at + 1 :]], order)
        for at, ways in enumerate(others)
        for option in ways
        if not _open(option)
    ]
    written = [_unclear(row) for row in rows]
    ways = [
        _least([own, *(_unclear(option) for option in options if not _open(option))])
        for own, options in zip(written, others, strict=True)
    ]
    fixed = frozenset[str]().union(*(each[0] for each in ways if len(each) == 1))
    free = [each for each in ways if len(each) > 1]
    whole = frozenset[str]().union(*written)
    gone = {id for id in whole - fixed if all(any(id not in way for way in each) for each in free)}
    told = [*_removed(order, before, sure, gone, free, fixed), *_added("swap", order, before, after)]
    told += _added("optional", order, before, [_states([*rows, option], order) for option in extra])
    if not gone:
        return Swaps(tuple(told))
    return Swaps(
        tuple(told),
        _in_order(fixed, order),
        tuple(tuple(_in_order(way, order) for way in each) for each in free),
        frees=True,
    )


_States = dict[str, Presence]


def _states(rows: Sequence[Said], order: Ids) -> _States:
    """The strongest state of every listed allergen over rows; what none of them has is missing."""
    found: _States = {}
    for presence, ids in (
        (Presence.UNKNOWN, [row.unknown for row in rows]),
        (Presence.MAY_CONTAIN, [row.may_contain for row in rows]),
        (Presence.CONTAINS, [row.contains for row in rows]),
    ):
        found.update(dict.fromkeys(frozenset[str]().union(*ids), presence))
    return found


def _open(option: Said) -> bool:
    return bool(option.unknown or option.group_unknown)


def _unclear(row: Said) -> frozenset[str]:
    """Everything that the row contains, may contain or leaves not known, groups by their generic ids."""
    groups = _generics()
    whole = row.group_contains | row.group_may_contain | row.group_unknown
    return row.contains | row.may_contain | row.unknown | {groups[group] for group in whole}


@cache
def _generics() -> dict[str, str]:
    return {group: name for name, group in allergen_rules.vocabulary().generic.items()}


def _least(ways: Sequence[frozenset[str]]) -> list[frozenset[str]]:
    """The ways that no other is within: what another has and more is never of use."""
    different = list(dict.fromkeys(ways))
    return [way for way in different if not any(other < way for other in different)]


def _removed(
    order: Ids,
    before: _States,
    sure: Sequence[_States],
    gone: set[str],
    free: Sequence[Sequence[frozenset[str]]],
    fixed: frozenset[str],
) -> Iterable[Told]:
    """What a swap, or swaps of several rows together, take away whole."""
    named = [id for id in order if before.get(id) in (Presence.CONTAINS, Presence.MAY_CONTAIN)]
    alone = tuple(id for id in named if any(id not in states for states in sure))
    together = tuple(id for id in named if id in gone and id not in alone)
    if alone:
        yield Told("swap_removes", alone)
    if together:
        yield Told("swaps_remove", together)
    unknown = frozenset(id for id, state in before.items() if state is Presence.UNKNOWN)
    if unknown and any(unknown.isdisjoint(states) for states in sure):
        yield Told("swap_settles")
    elif unknown and unknown.isdisjoint(fixed) and all(any(map(unknown.isdisjoint, each)) for each in free):
        yield Told("swaps_settle")


def _added(sort: str, order: Ids, before: _States, after: Sequence[_States]) -> Iterable[Told]:
    """What some change brings in, or makes surer, by the strongest state that any of them gives it."""
    found: dict[Presence, list[str]] = {}
    for id in order:
        states = {states.get(id) for states in after}
        for presence in (Presence.CONTAINS, Presence.MAY_CONTAIN, Presence.UNKNOWN):
            if before.get(id) is presence:
                break
            if presence in states:
                found.setdefault(presence, []).append(id)
                break
    for what, presence in (
        ("adds", Presence.CONTAINS),
        ("may_add", Presence.MAY_CONTAIN),
        ("opens", Presence.UNKNOWN),
    ):
        if presence in found:
            yield Told(f"{sort}_{what}", tuple(found[presence]))


def _in_order(ids: frozenset[str], order: Ids) -> Ids:
    """In the law's order; generic ids that it does not have last."""
    return (*(id for id in order if id in ids), *sorted(ids.difference(order)))
