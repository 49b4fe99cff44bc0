"""Figures a thousand times off: one food in its group, a group, or a whole column."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from gramwright.composition.audit.finding import Finding, Table, median, plain, spread
from gramwright.model import Food, Tag

HINT = "a unit slip (g for mg, mg for µg) or a decimal point"


def check(table: Table) -> Iterator[Finding]:
    """Code 'unit-slip'. Zeros say nothing of a unit; grams and kJ have their own checks (sums, parts, energy)."""
    for tag in table.tags():
        if not tag.endswith(("_mg", "_ug")):
            continue
        above = [(food, food.values[tag].amount) for food in table.foods if tag in food.values]
        above = [(food, amount) for food, amount in above if amount > 0]
        typical = table.thresholds.typical.get(tag)
        least = int(table.thresholds.units["foods"])
        if typical is not None and len(above) >= least:
            middle = median(amount for _, amount in above)
            if _far(table, middle / typical):
                yield _shared(table, "column", f"the column {tag}", above, tag, middle, typical)
                continue
        yield from _groups(table, tag, above, typical, least)


def _groups(
    table: Table, tag: Tag, above: Sequence[tuple[Food, float]], typical: float | None, least: int
) -> Iterator[Finding]:
    groups: dict[str, list[tuple[Food, float]]] = {}
    for food, amount in above:
        groups.setdefault(food.group, []).append((food, amount))
    for group, members in groups.items():
        if len(members) < least:
            continue
        logs = [math.log10(amount) for _, amount in members]
        middle, usual = spread(logs, table.thresholds.units["narrow"])
        median = 10**middle
        if typical is not None and _far(table, median / typical):
            yield _shared(table, f"group:{group}", f"{tag} of the group {group}", members, tag, median, typical)
            continue
        for (food, amount), log in zip(members, logs, strict=True):
            if _slip(table, amount / median) and abs(log - middle) > table.thresholds.units["spread"] * usual:
                yield Finding(
                    "unit-slip",
                    food.id,
                    food.name,
                    food.place,
                    f"expected {tag} near {plain(median)} as in its group, found {plain(amount)}",
                    HINT,
                    table.weight(tag, amount - median),
                )


def _slip(table: Table, ratio: float) -> bool:
    """Whether two figures stand about a thousand to one."""
    return _far(table, ratio) and max(ratio, 1 / ratio) <= table.thresholds.units["to"]


def _far(table: Table, ratio: float) -> bool:
    return max(ratio, 1 / ratio) >= table.thresholds.units["from"]


def _shared(
    table: Table, key: str, what: str, members: Sequence[tuple[Food, float]], tag: Tag, median: float, typical: float
) -> Finding:
    first = members[0][0]
    return Finding(
        "unit-slip",
        key,
        what,
        first.place,
        f"expected figures around {plain(typical)}, found a middle of {plain(median)} over {len(members)} foods",
        HINT,
        table.weight(tag, median - typical),
    )
