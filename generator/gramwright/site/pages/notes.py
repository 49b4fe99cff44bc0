"""Dated notes of a recipe's page: which declared figures moved with a correction, and why. Gives their texts."""

from __future__ import annotations

from dataclasses import dataclass

from gramwright.site.words import Words


@dataclass(frozen=True, slots=True)
class Moved:
    """One declared figure, or one allergen's state (`key` is '' then, `name` the law's word), before and after."""

    key: str
    before: str
    after: str
    name: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """What a correction did to one recipe."""

    date: str
    foods: tuple[str, ...]
    moved: tuple[Moved, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class NoteView:
    """What `recipe.html` gets of a note."""

    date: str
    text: str
    """'energy 412 kcal -> 389 kcal; fat ...'."""
    reason: str


def views(notes: tuple[Note, ...], words: Words) -> tuple[NoteView, ...]:
    return tuple(
        NoteView(
            note.date,
            "; ".join(_text(moved, words) for moved in note.moved),
            f"{', '.join(note.foods)}: {note.reason}",
        )
        for note in notes
    )


def _text(moved: Moved, words: Words) -> str:
    if not moved.key:
        states = [words(f"notes.{state}") for state in (moved.before, moved.after)]
        return words("notes.moved", name=moved.name, before=states[0], after=states[1])
    unknown = words("notes.unknown")
    return words(
        "notes.moved",
        name=words.get(f"lines.{moved.key}", moved.key),
        before=words.localised(moved.before) or unknown,
        after=words.localised(moved.after) or unknown,
    )
