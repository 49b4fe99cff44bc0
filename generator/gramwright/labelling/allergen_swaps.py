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
from gramwright.model import Ingredient, Settings

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

    def said(each: Ingredient) -> Said:
        return said_by(each, rules_id, settings, today)

    counted = [each for each in ingredients if not each.row.optional]
    rows = [said(each) for each in counted]
    options = [[said(swap) for swap in each.swaps] for each in counted]
    extra = [
        option for each in ingredients if each.row.optional for option in (said(each), *(said(s) for s in each.swaps))
    ]
    before = _states(rows)
    after: list[_States] = []
    sure: list[_States] = []
    for at, others in enumerate(options):
        rest = rows[:at] + rows[at + 1 :] if others else []
        for option in others:
            states = _states([*rest, option])
            after.append(states)
            if not _open(option):
                sure.append(states)
    written = [_unclear(row) for row in rows]
    ways = [
        _least([own, *(_unclear(option) for option in others if not _open(option))])
        for own, others in zip(written, options, strict=True)
    ]
    fixed = _NONE.union(*(each[0] for each in ways if len(each) == 1))
    free = [each for each in ways if len(each) > 1]
    gone = {id for id in _NONE.union(*written) - fixed if all(any(id not in way for way in each) for each in free)}
    told = [*_removed(before, sure, gone, free, fixed), *_added("swap", before, after)]
    told += _added("optional", before, [_states([*rows, option]) for option in extra])
    if not told and not gone:
        return NO_SWAPS
    order = _order(rules_id)
    said_of = tuple(Told(what, _in_order(ids, order)) for what, ids in told)
    if not gone:
        return Swaps(said_of)
    return Swaps(
        said_of,
        _in_order(fixed, order),
        tuple(tuple(_in_order(way, order) for way in each) for each in free),
        frees=True,
    )


_NONE: frozenset[str] = frozenset()
_Said = tuple[str, frozenset[str]]
"""What is said and of which ids, in no order yet."""


class _States(NamedTuple):
    """The listed allergens over rows. What is not known is so by every row; what may be contained can be contained."""

    contains: frozenset[str]
    may_contain: frozenset[str]
    unknown: frozenset[str]

    @property
    def any(self) -> frozenset[str]:
        return self.contains | self.may_contain | self.unknown


def _states(rows: Sequence[Said]) -> _States:
    contains = _NONE.union(*[row.contains for row in rows])
    may_contain = _NONE.union(*[row.may_contain for row in rows])
    return _States(contains, may_contain, _NONE.union(*[row.unknown for row in rows]) - contains - may_contain)


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
    before: _States,
    sure: Sequence[_States],
    gone: set[str],
    free: Sequence[Sequence[frozenset[str]]],
    fixed: frozenset[str],
) -> Iterable[_Said]:
    """What a swap, or swaps of several rows together, take away whole."""
    named, unknown = before.contains | before.may_contain, before.unknown
    alone = _NONE.union(*[named - after.any for after in sure])
    if alone:
        yield "swap_removes", alone
    if together := named & gone - alone:
        yield "swaps_remove", together
    if unknown and any(unknown.isdisjoint(after.any) for after in sure):
        yield "swap_settles", _NONE
    elif unknown and unknown.isdisjoint(fixed) and all(any(map(unknown.isdisjoint, each)) for each in free):
        yield "swaps_settle", _NONE


def _added(sort: str, before: _States, after: Sequence[_States]) -> Iterable[_Said]:
    """What some change brings in, or makes surer, by the strongest state that any of them gives it."""
    adds = _NONE.union(*[states.contains for states in after]) - before.contains
    known = adds | before.contains | before.may_contain
    may_add = _NONE.union(*[states.may_contain for states in after]) - known
    opens = _NONE.union(*[states.unknown for states in after]) - known - may_add - before.unknown
    for what, ids in (("adds", adds), ("may_add", may_add), ("opens", opens)):
        if ids:
            yield f"{sort}_{what}", ids


@cache
def _order(rules_id: str) -> Ids:
    return tuple(entry.id for entry in allergen_rules.load(rules_id).order)


def _in_order(ids: frozenset[str], order: Ids) -> Ids:
    """In the law's order; generic ids that it does not have last."""
    return (*(id for id in order if id in ids), *sorted(ids.difference(order)))
