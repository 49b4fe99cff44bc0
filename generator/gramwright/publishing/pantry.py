"""Takes a hub (or none), gives its food table for the `foods` commands, and foods as data and as text."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from gramwright.composition.library import load_shipped
from gramwright.composition.table import FoodTable
from gramwright.composition.units import MeasureSystem
from gramwright.model import Food, Value, ValueKind
from gramwright.problems import Problem, ProblemLog
from gramwright.publishing.hub import scan
from gramwright.publishing.kitchen import read_hub_settings, read_own_tables
from gramwright.reading import vocabulary as reading_vocabulary
from gramwright.site.facts import in_order


def open_pantry(root: Path | None, today: date) -> tuple[FoodTable, list[Problem]]:
    """The shipped table, with the hub's own on top when there is one. Raises Trouble 'no-hub'."""
    log = ProblemLog()
    vocabulary = reading_vocabulary.load()
    foods, measures = load_shipped(vocabulary, log)
    if root is None:
        system = MeasureSystem.of("metric", "metric")
        return FoodTable(foods, measures, [], [], system), log.sorted()
    hub = scan(root)
    settings = read_hub_settings(hub, log)
    own_foods, own_measures = read_own_tables(hub, vocabulary, today, log)
    spoons, cups = (settings.spoons, settings.cups) if settings else ("metric", "metric")
    table = FoodTable(foods, measures, own_foods, own_measures, MeasureSystem.of(spoons, cups))
    log.extend(table.problems)
    return table, log.sorted()


def brief(food: Food) -> dict[str, Any]:
    """One line's worth of a food."""
    return {"food": food.id, "name": food.name, "state": food.state, "group": food.group, "aliases": list(food.aliases)}


def full(food: Food) -> dict[str, Any]:
    """Everything the table says of a food. Unknown components are absent."""
    return {
        **brief(food),
        "refuse_pct": food.refuse * 100,
        "density_g_ml": food.density_g_ml,
        "per_100g": {tag: _value(food.values[tag]) for tag in in_order(food.values)},
        "measures": [{"measure": m.name, "grams": m.grams, "source": m.source} for m in food.measures],
        "contains": sorted(food.allergens.contains),
        "may_contain": sorted(food.allergens.may_contain),
        "allergens_checked": food.allergens.checked,
        "kind": sorted(food.kinds),
        "source": food.source,
        "source_ref": food.source_ref,
        "quality": food.quality.value,
        "updated": food.updated,
        "file": food.place.file,
        "line": food.place.line,
    }


def _value(value: Value) -> dict[str, Any]:
    shown: dict[str, Any] = {"amount": value.amount, "kind": value.kind.value}
    if value.limit is not None:
        shown["limit"] = value.limit
    return shown


def sheet(food: Food) -> list[str]:
    """A food as text lines."""
    lines = [
        f"{food.name}  [{food.id}]",
        f"  state {food.state or 'not said'}, group {food.group or 'not said'}, refuse {food.refuse:.0%}",
        f"  also called: {', '.join(food.aliases) or '-'}",
        f"  source: {food.source} {food.source_ref}, {food.quality.value}, {food.updated or 'date not said'}",
        "  per 100 g edible portion (what is not listed is unknown):",
    ]
    lines += [f"    {tag:<14} {_shown(food.values[tag])}" for tag in in_order(food.values)]
    if food.measures:
        lines.append("  measures:")
        lines += [f"    1 {m.name} = {m.grams:g} g  ({m.source})" for m in food.measures]
    contains = ", ".join(sorted(food.allergens.contains)) or "none listed"
    rest = "whole list checked" if food.allergens.checked else "the rest is not known"
    lines.append(f"  allergens: contains {contains}; {rest}")
    if food.allergens.may_contain:
        lines.append(f"  may contain: {', '.join(sorted(food.allergens.may_contain))}")
    return lines


def _shown(value: Value) -> str:
    if value.kind is ValueKind.TRACE:
        return "trace"
    if value.kind is ValueKind.BELOW:
        return f"below {value.limit:g}"
    return f"({value.amount:g})" if value.kind is ValueKind.BORROWED else f"{value.amount:g}"
