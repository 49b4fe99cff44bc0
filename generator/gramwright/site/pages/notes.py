"""Dated notes of a recipe's page: which declared figures moved with a correction, and why. Gives their texts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from gramwright.site.line_names import line_names
from gramwright.site.words import Words


class Moved(NamedTuple):
    """One declared figure, or one allergen's state (`key` is '' then, `name` the law's word), before and after."""

    key: str
    before: str
    after: str
    name: str = ""


class Note(NamedTuple):
    """What a correction did to one recipe."""

    date: str
    foods: tuple[str, ...]
    moved: tuple[Moved, ...]
    reason: str


class NoteView(NamedTuple):
    """What `recipe.html` gets of a note."""

    date: str
    text: str
    """'energy 412 kcal -> 389 kcal; fat ...'."""
    reason: str
    day: str
    """The date as the language writes it."""


def views(notes: tuple[Note, ...], rule_set: str, words: Words) -> tuple[NoteView, ...]:
    """Notes in words; a declaration's lines by the names that the recipe's page shows."""
    names = line_names(rule_set, words) if notes else {}
    return tuple(
        NoteView(
            note.date,
            "; ".join(_text(moved, names, words) for moved in note.moved),
            f"{', '.join(note.foods)}: {note.reason}",
            words.date(note.date),
        )
        for note in notes
    )


def _text(moved: Moved, names: Mapping[str, str], words: Words) -> str:
    if not moved.key:
        states = [words(f"notes.{state}") for state in (moved.before, moved.after)]
        return words("notes.moved", name=moved.name, before=states[0], after=states[1])
    unknown = words("notes.unknown")
    return words(
        "notes.moved",
        name=names.get(moved.key, moved.key),
        before=words.localised(moved.before) or unknown,
        after=words.localised(moved.after) or unknown,
    )
