"""A report of what would change, as one page to send to somebody. Takes prepared lines, gives bytes; needs no site.

Template `report.html` gets `report`, a ReportView. It is the one page that carries its own style: it travels alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from gramwright.site.line_names import line_names
from gramwright.site.theme import Theme


class FigureLine(NamedTuple):
    name: str
    before: str
    after: str


class RecipeChange(NamedTuple):
    """One recipe: what the change means, then its figures."""

    title: str
    kind: str
    """'changed', 'added', 'removed': a word key below `report`."""
    means: tuple[str, ...]
    figures: tuple[FigureLine, ...]


class ReportView(NamedTuple):
    site: str
    language: str
    direction: str
    recipes: int
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
                    names.get(line.name, line.name),
                    words.joined(words.localised(line.before)) or words("notes.unknown"),
                    words.joined(words.localised(line.after)) or words("notes.unknown"),
                )
                for line in change.figures
            ),
        )
        for change in changes
    )
    view = ReportView(theme.settings.title, theme.settings.language, words.direction, recipes, named)
    return theme.environment.get_template("report.html").render(report=view).encode()
