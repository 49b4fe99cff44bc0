"""Figures without a source, without a date, or very old."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from gramwright.composition.audit.finding import Finding, Table, found
from gramwright.model import Quality


def check(table: Table) -> Iterator[Finding]:
    """Codes 'no-source', 'no-source-ref', 'no-date', 'old-date'."""
    weights = table.thresholds.weights
    for food in table.foods:
        if not food.source:
            yield from found(
                "no-source",
                food,
                "expected who says so, found no source",
                "name the publisher or the pack under source",
                weights["no-source"],
            )
        elif not food.source_ref and food.quality is not Quality.DECLARED:
            yield from found(
                "no-source-ref",
                food,
                f"expected the code of this food at {food.source}, found none",
                "fill source_ref, so that the figures can be looked up",
                weights["no-source-ref"],
            )
        if not food.updated:
            if food.quality is Quality.DECLARED:
                yield from found(
                    "no-date",
                    food,
                    "expected the day on which the pack was read, found none",
                    "read the pack again and put the date under updated",
                    weights["no-date"],
                )
            continue
        years = table.thresholds.old_years.get(food.quality.value)
        age = (table.today - date.fromisoformat(food.updated)).days / 365.25
        if years is not None and age > years:
            yield from found(
                "old-date",
                food,
                f"expected figures of the last {years:g} years ({food.quality.value}), found {food.updated}",
                "look whether the publisher or the pack says something else by now",
                weights["old-date"],
            )
