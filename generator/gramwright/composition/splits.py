"""Takes what stands after a row's number ('medium carrots'), gives its measure and its food. Exact names only."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from gramwright.composition.table import FoodTable, Split, described, listed
from gramwright.composition.units import MASS, MeasureSystem, Unit, refused
from gramwright.model import Food, Measure, Scale
from gramwright.problems import Trouble

EACH = "each"
"""The measure of a bare count ('2 eggs')."""
LONGEST = 3
"""Words that a measure may have."""
_CONTAINERS = frozenset({"can", "tin", "jar", "pack", "packet", "bag", "carton", "bottle", "tub", "sachet"})


class _Readings(NamedTuple):
    """What the ways to divide some words came to."""

    valid: list[tuple[int, Food, Measure]]
    """(words of the measure, food, its measure)."""
    bare: list[tuple[Sequence[str], Food]]
    """(words that are no measure of it, food)."""
    several: list[tuple[str, tuple[str, ...]]]
    """(name, ids) of names that lead to several foods, one of which owns the measure."""
    vague: list[tuple[str, tuple[str, ...]]]
    """The same where none owns it."""


MOST_KEPT = 20_000
"""Readings that a table remembers; recipes repeat themselves."""


def split(words: str, table: FoodTable, system: MeasureSystem) -> Split:
    """The only reading of 'MEASURE FOOD', remembered by the table.

    A unit is looked for first; else the first words as a measure that the food
    owns (none of them: a bare count, the food's 'each'), else the last words
    ('garlic cloves'). Raises Trouble 'unknown-food', 'ambiguous-food',
    'ambiguous-row', 'missing-measure', 'unknown-unit', 'no-food'.
    """
    kept = table.kept.get((system, words))
    if kept is None:
        names: set[str] = set()
        before = table.listen(names)
        try:
            kept = _split(words, table, system), names
        finally:
            table.listen(before)
            table.hear(names)
        if len(table.kept) < MOST_KEPT:
            table.kept[system, words] = kept
    else:
        table.hear(kept[1])
    return kept[0]


def _split(words: str, table: FoodTable, system: MeasureSystem) -> Split:
    tokens = words.split()
    unit, used = system.leading(tokens)
    if unit is not None:
        rest = _without_of(tokens[used:])
        if not rest:
            raise Trouble(
                "no-food", f"expected a food after '{words}', found none", "write AMOUNT FOOD: 160 g pearl barley"
            )
        if unit.kind == MASS:
            return Split(_weighed_food(rest, table), unit.factor, Scale.MASS, unit.name)
        return _volume_split(unit, rest, table)
    longest = min(LONGEST, len(tokens) - 1)
    readings = _readings(((tokens[:k], tokens[k:]) for k in range(longest + 1)), table)
    if not readings.valid and not readings.several:
        at_end = _readings(((tokens[-k:], tokens[:-k]) for k in range(1, min(2, longest) + 1)), table)
        if at_end.valid:
            readings = at_end
    if readings.valid or readings.several:
        return _only(words, readings, table)
    if readings.vague and not (readings.bare and not readings.bare[0][0]):
        raise table.ambiguous(*readings.vague[0])
    if readings.bare:
        tried, food = readings.bare[0]
        raise _no_measure(food, tried, table, system)
    why = refused(tokens[0])
    if why is not None and len(tokens) > 1:
        raise Trouble("unknown-unit", f"expected a unit with one meaning, found '{tokens[0]}'", why)
    raise table.unknown(words, " ".join(tokens[1:]), " ".join(tokens[2:]))


def measured(food: Food, words: str, table: FoodTable, system: MeasureSystem) -> Split:
    """The measure of a food that is named apart. Raises Trouble 'missing-measure', 'unknown-unit'."""
    tokens = words.split()
    if tokens:
        unit, used = system.leading(tokens)
        if unit is not None and used == len(tokens):
            return in_unit(food, unit, table)
        if unit is not None:
            tokens = [unit.name, *tokens[used:]]
        measure = table.measure(food.id, " ".join(tokens))
        if measure is not None:
            return _of_measure(food, measure, unit)
    else:
        each = table.measure(food.id, EACH)
        if each is not None:
            return Split(food, each.grams, Scale.COUNT, "")
    raise _no_measure(food, tokens, table, system)


def in_unit(food: Food, unit: Unit, table: FoodTable) -> Split:
    """Grams of one unit of a food: a mass; or a volume by the food's own measure, another spoon or cup, its density.

    Raises Trouble 'missing-measure'.
    """
    if unit.kind == MASS:
        return Split(food, unit.factor, Scale.MASS, unit.name)
    own = table.measure(food.id, unit.name)
    if own is not None and own.volume_ml is not None:
        return Split(food, own.grams * (unit.factor / own.volume_ml), Scale.VOLUME, unit.name)
    nearest: tuple[float, Measure, float] | None = None
    for measure in table.volumes(food):
        if measure.volume_ml is not None:
            away = abs(math.log(measure.volume_ml / unit.factor))
            if nearest is None or away < nearest[0]:
                nearest = (away, measure, measure.volume_ml)
    if nearest is not None:
        _, measure, volume = nearest
        return Split(food, measure.grams * (unit.factor / volume), Scale.VOLUME, unit.name)
    if food.density_g_ml is not None:
        return Split(food, food.density_g_ml * unit.factor, Scale.VOLUME, unit.name)
    raise missing(food, unit.name, table)


def missing(food: Food, measure: str, table: FoodTable) -> Trouble:
    """The problem of a measure that a food does not have, with what it has."""
    wanted = f"the weight of one '{measure}'" if measure else "the weight of one"
    return Trouble("missing-measure", f"expected {wanted} of {described(food)}, found none", _has(food))


def _has(food: Food) -> str:
    weigh = "weigh it and write grams"
    if food.measures:
        own = ", ".join(f"{measure.name} ({measure.grams:g} g)" for measure in food.measures[:12])
        return f"it has: {own}; or {weigh}, or add a line to a table in measures/"
    return f"{weigh}, or add a line to a table in measures/: {food.id},measure,grams,source"


def _no_measure(food: Food, tokens: Sequence[str], table: FoodTable, system: MeasureSystem) -> Trouble:
    """A word that is no unit and no measure of the food: a slip in a unit's name is told apart."""
    if tokens:
        why = refused(tokens[0])
        close = system.close(tokens[0])
        if why is not None or close:
            hint = why or f"did you mean {' or '.join(close)}?"
            return Trouble(
                "unknown-unit",
                f"expected a unit or a measure of {described(food)}, found '{' '.join(tokens)}'",
                f"{hint} {_has(food)}",
            )
    return missing(food, " ".join(tokens), table)


def _weighed_food(rest: Sequence[str], table: FoodTable) -> Food:
    name = " ".join(rest)
    ids = table.find(name)
    if len(ids) == 1:
        food = table.get(ids[0])
        if food is not None:
            return food
    if ids:
        raise table.ambiguous(name, ids)
    trouble = table.unknown(name)
    if len(rest) > 1 and rest[0].lower().rstrip("s") in _CONTAINERS:
        trouble.hint += f"; write the grams of what goes in (drained, when the liquid does not), without '{rest[0]}'"
    raise trouble


def _volume_split(unit: Unit, rest: Sequence[str], table: FoodTable) -> Split:
    """'cup chopped onion': the unit with the rest as food, or a longer measure that starts with the unit."""
    longer: list[tuple[Sequence[str], Sequence[str]]] = []
    for k in range(1, min(LONGEST, len(rest) - 1) + 1):
        name = [unit.name, *rest[:k]]
        if table.is_volume_name(" ".join(name)):
            longer.append((name, _without_of(rest[k:])))
    if not longer:
        return in_unit(_weighed_food(rest, table), unit, table)
    readings = _readings(longer, table)
    ids = table.find(" ".join(rest))
    plain = table.get(ids[0]) if len(ids) == 1 else None
    if len(ids) > 1:
        readings.several.append((" ".join(rest), ids))
    if readings.several or len({food.id for _, food, _ in readings.valid} | ({plain.id} if plain else set())) > 1:
        foods = [food for _, food, _ in readings.valid] + ([plain] if plain else [])
        raise _unclear(" ".join([unit.name, *rest]), readings, foods, table)
    if readings.valid:
        _, food, measure = max(readings.valid, key=lambda found: found[0])
        return _of_measure(food, measure, unit)
    return in_unit(_weighed_food(rest, table), unit, table)


def _readings(ways: Iterable[tuple[Sequence[str], Sequence[str]]], table: FoodTable) -> _Readings:
    """Looks up every way to divide words into a measure and a food's name."""
    found = _Readings([], [], [], [])
    for measure_words, food_words in ways:
        name = " ".join(_without_of(food_words) if measure_words else food_words)
        ids = table.find(name)
        if not ids:
            continue
        wanted = " ".join(measure_words) if measure_words else EACH
        if len(ids) > 1:
            owned = any(table.measure(food_id, wanted) is not None for food_id in ids)
            (found.several if owned else found.vague).append((name, ids))
            continue
        food = table.get(ids[0])
        if food is None:
            continue
        measure = table.measure(food.id, wanted)
        if measure is None:
            found.bare.append((measure_words, food))
        else:
            found.valid.append((len(measure_words), food, measure))
    return found


def _only(words: str, readings: _Readings, table: FoodTable) -> Split:
    """The one food of the valid readings, with its longest measure. Raises Trouble when there are several foods."""
    foods = [food for _, food, _ in readings.valid]
    if readings.several or len({food.id for food in foods}) > 1:
        raise _unclear(words, readings, foods, table)
    count, food, measure = max(readings.valid, key=lambda found: found[0])
    if not count:
        return Split(food, measure.grams, Scale.COUNT, "")
    return _of_measure(food, measure, None)


def _unclear(words: str, readings: _Readings, foods: Sequence[Food], table: FoodTable) -> Trouble:
    if not foods and len(readings.several) == 1:
        return table.ambiguous(*readings.several[0])
    known = {food.id: food for food in foods}
    for _, ids in readings.several:
        known.update((food_id, food) for food_id in ids if (food := table.get(food_id)) is not None)
    return Trouble(
        "ambiguous-row",
        f"expected a row with one reading, found '{words}', which may be {len(known)} foods: {listed(known.values())}",
        "write it as a mapping: {amount: 2 medium, food: ...}",
    )


def _of_measure(food: Food, measure: Measure, unit: Unit | None) -> Split:
    """A named measure; one that starts with a spoon or cup is rescaled to the hub's."""
    if unit is None or measure.volume_ml is None:
        scale = Scale.COUNT if measure.volume_ml is None else Scale.VOLUME
        return Split(food, measure.grams, scale, measure.name)
    return Split(food, measure.grams * (unit.factor / measure.volume_ml), Scale.VOLUME, measure.name)


def _without_of(tokens: Sequence[str]) -> Sequence[str]:
    return tokens[1:] if len(tokens) > 1 and tokens[0].lower() == "of" else tokens
