"""Foods with the same name, or the same figures throughout."""

from __future__ import annotations

from collections.abc import Iterator

from gramwright.composition.audit.finding import Finding, Table, found
from gramwright.composition.names import fold
from gramwright.model import Food


def check(table: Table) -> Iterator[Finding]:
    """Codes 'duplicate-name', 'same-figures'."""
    rules = table.thresholds
    names: dict[tuple[str, str], Food] = {}
    figures: dict[tuple[tuple[str, float], ...], Food] = {}
    for food in table.foods:
        first = names.setdefault((fold(food.name), food.state), food)
        if first is not food:
            yield from found(
                "duplicate-name",
                food,
                f"expected each name once, found '{food.name}' for {food.id} and for {first.id} ({first.place})",
                "say in the names what tells the two apart, or delete one",
                rules.weights["duplicate-name"],
            )
            continue
        same = tuple(sorted((tag, value.amount) for tag, value in food.values.items()))
        if sum(amount > 0 for _, amount in same) < rules.same_figures:
            continue
        first = figures.setdefault(same, food)
        if first is not food and not (
            food.source_ref and (food.source, food.source_ref) == (first.source, first.source_ref)
        ):
            yield from found(
                "same-figures",
                food,
                f"expected figures of its own, found those of {first.id} ({first.place}) in every column",
                "two lines of one food, or a line that was copied and not filled in",
                rules.weights["same-figures"],
            )
