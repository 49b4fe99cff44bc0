"""Figures that no food can have; a density or a refuse share out of range. (Negative cells never become figures.)"""

from __future__ import annotations

from collections.abc import Iterator

from gramwright.composition.audit.finding import Finding, Table, found, plain


def check(table: Table) -> Iterator[Finding]:
    """Codes 'absurd-value', 'bad-density', 'bad-refuse'."""
    rules = table.thresholds
    for food in table.foods:
        for tag, value in food.values.items():
            limit = rules.limits.get(tag)
            if limit is None:
                limit = rules.unit_limits.get(tag.rpartition("_")[2])
            if limit is not None and value.amount > limit:
                yield from found(
                    "absurd-value",
                    food,
                    f"expected at most {plain(limit)} for {tag}, found {plain(value.amount)}",
                    "look at the unit and the decimal point",
                    table.weight(tag, value.amount - limit),
                )
        density = food.density_g_ml
        least, most = rules.density
        if density is not None and not least <= density <= most:
            yield from found(
                "bad-density",
                food,
                f"expected a density from {least:g} to {most:g} g/mL, found {density:g}",
                "grams in one millilitre; water is 1",
                rules.weights["bad-density"],
            )
        refuse = food.refuse * 100
        if not rules.refuse_pct[0] <= refuse <= rules.refuse_pct[1]:
            yield from found(
                "bad-refuse",
                food,
                f"expected a refuse of at most {rules.refuse_pct[1]:g} %, found {refuse:g} %",
                "per cent of the bought weight that is not eaten, not the edible share",
                rules.weights["bad-refuse"],
            )
