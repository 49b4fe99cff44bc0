"""A report of what would change, as one page to send to somebody. Takes prepared lines, gives bytes; needs no site.

Template `report.html` gets `report`, a ReportView. It is the one page that carries its own style: it travels alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from gramwright.site.line_names import line_names
from gramwright.site.theme import Theme
from gramwright.site.words import Words


class FigureLine(NamedTuple):
    name: str
    before: str
    after: str
    person: str = ""
    """Whose day it is, of a plan."""
    day: str = ""
    """The day's number or ISO date."""


class RecipeChange(NamedTuple):
    """One recipe or plan: what the change means, then its figures."""

    title: str
    kind: str
    """'changed', 'added', 'removed': a word key below `report`."""
    means: tuple[str, ...]
    figures: tuple[FigureLine, ...]
    what: str = "recipe"
    """'recipe' or 'plan'."""


class ReportView(NamedTuple):
    site: str
    language: str
    direction: str
    recipes: int
    differ: int
    """Of these."""
    changes: tuple[RecipeChange, ...]


def render(theme: Theme, recipes: int, changes: Sequence[RecipeChange]) -> bytes:
    """The whole page. `changes` are in the order to show; `recipes` is how many were looked at."""
    words = theme.words
    names = line_names(theme.settings.rule_set, words)
    named = tuple(
        RecipeChange(
            change.title,
            change.kind,
            change.means,
            tuple(
                FigureLine(
                    _named(line, names, words),
                    words.joined(words.localised(line.before)) or words("notes.unknown"),
                    words.joined(words.localised(line.after)) or words("notes.unknown"),
                )
                for line in change.figures
            ),
            change.what,
        )
        for change in changes
    )
    differ = sum(change.what == "recipe" for change in named)
    view = ReportView(theme.settings.title, theme.settings.language, words.direction, recipes, differ, named)
    return theme.environment.get_template("report.html").render(report=view).encode()


def _named(line: FigureLine, names: Mapping[str, str], words: Words) -> str:
    """'fat', or 'Ada, Day 2: fat' of a plan."""
    name = names.get(line.name, words.get(f"lines.{line.name}", line.name))
    if not line.person:
        return name
    day = words("plan.day", n=line.day) if line.day.isdigit() else words.date(line.day)
    return f"{line.person}, {day}: {name}"
