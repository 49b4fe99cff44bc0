"""Declared energy against the energy of the parts; no energy where there is fat."""

from __future__ import annotations

from collections.abc import Iterator

from gramwright.composition.audit.finding import Finding, Table, found, known, plain


def check(table: Table) -> Iterator[Finding]:
    """Codes 'zero-energy', 'energy-mismatch'."""
    rules = table.thresholds
    for food in table.foods:
        declared = known(food, "ENERC_kJ")
        if declared is None:
            continue
        parts = table.factors.of(food.values)
        if declared == 0 and parts.low > rules.energy_least:
            yield from found(
                "zero-energy",
                food,
                f"expected about {plain(parts.middle)} kJ per 100 g from its parts, found an energy of 0",
                "an energy that is not known stays empty; a 0 hides it from every sum",
                table.weight("ENERC_kJ", parts.middle),
            )
            continue
        share = rules.energy_groups.get(food.group, rules.energy_share)
        tolerance = max(rules.energy_least, share * max(declared, parts.middle))
        if declared < parts.low - tolerance:
            off = parts.low - declared
        elif parts.complete and declared > parts.high + tolerance:
            off = declared - parts.high
        else:
            continue
        known_parts = "its parts" if parts.complete else "its known parts alone"
        yield from found(
            "energy-mismatch",
            food,
            f"expected about {plain(parts.middle)} kJ per 100 g from {known_parts}, found {plain(declared)} kJ",
            "look at the energy's unit (kJ or kcal) and at each part; alcohol, polyols, acids and fibre may be missing",
            table.weight("ENERC_kJ", off),
        )
