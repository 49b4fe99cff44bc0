"""Sums around 100 g, and parts that are larger than their whole."""

from __future__ import annotations

from collections.abc import Iterator

from gramwright.composition.audit.finding import Finding, Table, found, known, plain
from gramwright.model import Food, Tag

SALT_FROM_SODIUM_MG = 2.54 / 1000
"""Grams of sodium chloride that hold a milligram of sodium: 58.44 / 22.99 by the atomic weights."""


def check(table: Table) -> Iterator[Finding]:
    """Codes 'parts-over-100', 'parts-under-100', 'child-above-parent'."""
    for food in table.foods:
        yield from _sum(table, food)
        yield from _children(table, food)


def parts_of(table: Table, food: Food) -> dict[Tag, float]:
    """The known parts that make up 100 g; carbohydrate once."""
    carbohydrate = ("CHOCDF_g",) if "CHOCDF_g" in food.values else ("CHOAVL_g", "FIBTG_g")
    tags = (*table.thresholds.whole_parts, *carbohydrate)
    return {tag: amount for tag in tags if (amount := known(food, tag)) is not None}


def _sum(table: Table, food: Food) -> Iterator[Finding]:
    rules = table.thresholds
    parts = parts_of(table, food)
    total = sum(parts.values())
    over = total - 100
    if over > rules.whole["over"]:
        largest = max(parts, key=lambda tag: (parts[tag], tag))
        yield from found(
            "parts-over-100",
            food,
            f"expected parts of at most 100 g in 100 g, found {plain(total)} g ({_listed(parts)})",
            f"one of them is too large, perhaps {largest}; or the carbohydrate is the total, fibre included",
            table.weight("ENERC_kJ", over * max(17.0, table.factors.kj.get(largest, 17.0))),
        )
    most = {"WATER_g", "PROCNT_g", "FAT_g"} <= parts.keys() and (
        "CHOCDF_g" in parts or {"CHOAVL_g", "FIBTG_g"} <= parts.keys()
    )
    if most and "ASH_g" not in parts:
        yield from _bare(table, food, parts)
    if most and "ASH_g" in parts and -over > rules.whole["under"] and parts["WATER_g"] >= rules.whole["dry"]:
        yield from found(
            "parts-under-100",
            food,
            f"expected parts of about 100 g in 100 g, found {plain(total)} g ({_listed(parts)})",
            "a part is too small or missing: alcohol, organic acids, polyols, a digit",
            table.weight("ENERC_kJ", -over * 17.0),
        )


def _bare(table: Table, food: Food, parts: dict[Tag, float]) -> Iterator[Finding]:
    """Much of a food is in no part, and its sodium is not the salt that it would have to be."""
    sodium = known(food, "NA_mg")
    if sodium is None:
        return
    parts = {**parts, "salt": sodium * SALT_FROM_SODIUM_MG}
    missing = 100 - sum(parts.values())
    if missing > table.thresholds.whole["bare"]:
        yield from found(
            "parts-under-100",
            food,
            f"expected parts of about 100 g in 100 g, found {plain(100 - missing)} g ({_listed(parts)})",
            "a part is too small or missing; of salt: sodium is in mg, and 100 g of salt hold about 39,000",
            max(table.weight("ENERC_kJ", missing * 17.0), table.weight("NA_mg", missing / SALT_FROM_SODIUM_MG)),
        )


def _children(table: Table, food: Food) -> Iterator[Finding]:
    rules = table.thresholds
    told: set[Tag] = set()
    for children, parent in rules.children:
        whole = known(food, parent)
        if whole is None or (parent == "CHOCDF_g" and "CHOAVL_g" in told):
            continue
        parts = {tag: amount for tag in children if (amount := known(food, tag)) is not None}
        total = sum(parts.values())
        off = total - whole
        if not parts or off <= max(rules.child_least, rules.child_share * whole) or told & parts.keys():
            continue
        told.update(parts)
        told.add(parent)
        yield from found(
            "child-above-parent",
            food,
            f"expected at most {plain(whole)} g ({parent}), found {plain(total)} g ({_listed(parts)})",
            f"one of {', '.join([*parts, parent])} is wrong, or they are from different samples",
            max(table.weight(tag, off) for tag in (*parts, parent)),
        )


def _listed(parts: dict[Tag, float]) -> str:
    return ", ".join(f"{tag} {plain(amount)}" for tag, amount in parts.items())
