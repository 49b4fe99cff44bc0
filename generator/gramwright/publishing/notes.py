"""Takes a dish and the log of corrections, gives the dated notes of its page: which declared figures moved, and why.

A note is worked out from the hub alone: the corrected cell is put back as it was, the recipe computed again, and the
two declarations compared. So the same hub gives the same notes, whatever was published before.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import NamedTuple

from gramwright.labelling.label import label
from gramwright.model import Dish, Food, Ingredient, Label
from gramwright.nutrition.dish import compute
from gramwright.problems import ProblemLog, Trouble
from gramwright.publishing import pack_edit, table_edit
from gramwright.publishing.changes import shown
from gramwright.publishing.kitchen import Kitchen
from gramwright.publishing.weigh import foods_in
from gramwright.reading.corrections import Correction
from gramwright.reading.packs import read_packs
from gramwright.reading.tables import read_foods
from gramwright.site.pages.notes import Moved, Note


class Step(NamedTuple):
    """The corrections of one day for one reason, and the foods as they were before them."""

    date: str
    reason: str
    entries: tuple[Correction, ...]
    foods: Mapping[str, Food]


def steps(kitchen: Kitchen) -> tuple[Step, ...]:
    """Recent corrections, newest first, each with its foods as they were before it (later ones undone too)."""
    since = (kitchen.today - timedelta(days=kitchen.settings.corrections_days)).isoformat()
    recent = [entry for entry in kitchen.corrections if since <= entry.date <= kitchen.today.isoformat()]
    if not recent:
        return ()
    texts: dict[str, str] = {}
    found: list[Step] = []
    for day, reason in dict.fromkeys((entry.date, entry.reason) for entry in reversed(recent)):
        entries = tuple(entry for entry in recent if (entry.date, entry.reason) == (day, reason))
        before: dict[str, Food] = {}
        for entry in reversed(entries):
            food = _undo(kitchen, entry, texts)
            if food is not None:
                before[food.id] = food
        found.append(Step(day, reason, entries, before))
    return tuple(found)


def _undo(kitchen: Kitchen, entry: Correction, texts: dict[str, str]) -> Food | None:
    """The food with one cell put back; None when the hub's tables have no such food or cell any more."""
    food = kitchen.table.get(entry.food)
    if food is None or food.id not in kitchen.own_foods:
        return None
    file = food.place.file
    text = texts.get(file) or kitchen.hub.read(file).decode("utf-8-sig")
    try:
        if file.endswith(".csv"):
            text = table_edit.set_cell(text, food.place.line, entry.component, entry.old)
            read = read_foods(text, file, ProblemLog(), kitchen.vocabulary)
        else:
            text = pack_edit.set_line(text, food.place.line, entry.component, entry.old)
            read, _ = read_packs(text, file, ProblemLog(), kitchen.vocabulary)
    except Trouble:
        return None
    texts[file] = text
    return next((one for one in read if one.id == food.id), None)


def notes(kitchen: Kitchen, dish: Dish, labelled: Label, history: Sequence[Step]) -> tuple[Note, ...]:
    """The notes of one recipe, newest first; none when no declared figure and no allergen of it moved."""
    mine = frozenset(foods_in(dish))
    found: list[Note] = []
    foods: dict[str, Food] = {}
    after = labelled
    for step in history:
        touched = mine & {entry.food for entry in step.entries}
        if not touched:
            continue
        foods.update({name: food for name, food in step.foods.items() if name in mine})
        before = _label_with(kitchen, dish, foods)
        if before is None:
            continue
        moved = tuple(_moved(before, after))
        if moved:
            names = tuple(sorted({kitchen.name_of(food) for food in touched}))
            found.append(Note(step.date, names, moved, step.reason))
        after = before
    return tuple(found)


def _moved(before: Label, after: Label) -> Iterator[Moved]:
    old, new = _declared(before), _declared(after)
    for key, now in new.items():
        was = old.get(key, "")
        if was != now:
            yield Moved(key, was, now)
    for allergen, state in after.allergens.states.items():
        was_state = before.allergens.states.get(allergen)
        if was_state is not None and was_state is not state:
            yield Moved("", was_state.value, state.value, after.allergens.words.get(allergen, allergen))


def _declared(label: Label) -> dict[str, str]:
    """Line -> what is declared of a portion; marked where only a part of it is known."""
    return {line.key: shown(line.per_portion, line.at_least) for line in label.lines}


def _label_with(kitchen: Kitchen, dish: Dish, foods: Mapping[str, Food]) -> Label | None:
    """The dish's label with some foods as they were."""
    log = ProblemLog()
    old = _dish_with(kitchen, dish, foods, log)
    if old is None:
        return None
    return label(old, kitchen.rules, kitchen.books, kitchen.settings, kitchen.vocabulary, log, kitchen.today)


def _dish_with(kitchen: Kitchen, dish: Dish, foods: Mapping[str, Food], log: ProblemLog) -> Dish | None:
    changed: list[Ingredient] = []
    for ingredient in dish.ingredients:
        if ingredient.food is not None and ingredient.food.id in foods:
            ingredient = replace(ingredient, food=foods[ingredient.food.id])
        elif ingredient.dish is not None and foods.keys() & set(foods_in(ingredient.dish)):
            inner = _dish_with(kitchen, ingredient.dish, foods, log)
            if inner is None:
                return None
            ingredient = replace(ingredient, dish=inner)
        changed.append(ingredient)
    return compute(dish.page, tuple(changed), kitchen.books, log)
