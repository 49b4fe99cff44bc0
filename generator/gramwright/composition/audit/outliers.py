"""Energy and macronutrients far from the rest of the food group, by median and median absolute deviation."""

from __future__ import annotations

from collections.abc import Iterator

from gramwright.composition.audit.finding import Finding, Table, found, known, plain, spread
from gramwright.composition.audit.wholes import parts_of
from gramwright.model import Food
from gramwright.reading.cells import SALT_PER_SODIUM


def check(table: Table) -> Iterator[Finding]:
    """Code 'outlier': one finding a food, its farthest component."""
    rules = table.thresholds
    for group, foods in table.groups.items():
        if not group:
            continue
        farthest: dict[str, tuple[float, str, float, float]] = {}
        for tag, least in rules.outlier_least.items():
            figures = [(food, food.values[tag].amount) for food in foods if tag in food.values]
            if len(figures) < rules.outlier_foods:
                continue
            middle, usual = spread([amount for _, amount in figures], least)
            for food, amount in figures:
                away = abs(amount - middle) / usual
                if away > rules.outlier_spread and away > farthest.get(food.id, (0.0,))[0]:
                    farthest[food.id] = (away, tag, amount, middle)
        for food in foods:
            if food.id in farthest and not _agrees(table, food):
                away, tag, amount, middle = farthest[food.id]
                yield from found(
                    "outlier",
                    food,
                    f"expected {tag} near {plain(middle)} as in the group {group}, found {plain(amount)} "
                    f"({away:.0f} times the usual distance)",
                    "a slip, another group, or a food unlike its group",
                    table.weight(tag, amount - middle),
                )


def _agrees(table: Table, food: Food) -> bool:
    """Whether the food's own figures bear each other out: energy with parts; parts and water (if known) with 100 g."""
    rules = table.thresholds
    declared, energy = known(food, "ENERC_kJ"), table.factors.of(food.values)
    if declared is None or not energy.complete:
        return False
    allowed = max(rules.outlier_agrees["kJ"], rules.outlier_agrees["share"] * max(declared, energy.middle))
    if abs(declared - energy.middle) > allowed:
        return False
    if "WATER_g" not in food.values:
        return True
    whole, ash = sum(parts_of(table, food).values()), 0.0
    if "ASH_g" not in food.values:
        ash = rules.outlier_ash
        whole += (known(food, "NA_mg") or 0.0) * SALT_PER_SODIUM / 1000
    return 100 - rules.outlier_whole - ash <= whole <= 100 + rules.outlier_whole
