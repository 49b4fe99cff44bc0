"""The log of corrected figures. Takes corrections, gives corrections/index.html.

Template `corrections.html` gets `shell` and `corrections`, a tuple of CorrectionView, newest first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gramwright.site.pages.food import tag_name
from gramwright.site.theme import Theme, safe_path

PATH = "corrections/index.html"


@dataclass(frozen=True, slots=True)
class Correction:
    """One corrected figure of one food. Texts as the log has them; `old` is '' where the figure was not known."""

    date: str
    food: str
    food_name: str
    tag: str
    old: str
    new: str
    reason: str
    has_page: bool = True
    """Whether the food has a page on this site."""


@dataclass(frozen=True, slots=True)
class CorrectionView:
    """A line of the log, in words."""

    date: str
    name: str
    href: str
    figure: str
    old: str
    new: str
    reason: str


def render(theme: Theme, corrections: Sequence[Correction]) -> dict[str, bytes]:
    """The page; the log may be empty."""
    words = theme.words
    root = theme.root(PATH)
    ordered = sorted(corrections, key=lambda c: (c.food, c.tag))
    views = tuple(
        CorrectionView(
            date=c.date,
            name=c.food_name,
            href=f"{root}foods/{safe_path(c.food)}/index.html" if c.has_page else "",
            figure=f"{tag_name(c.tag, words)} ({c.tag.rpartition('_')[2]})",
            old=words.localised(c.old),
            new=words.localised(c.new),
            reason=c.reason,
        )
        for c in sorted(ordered, key=lambda c: c.date, reverse=True)
    )
    shell = theme.shell(
        PATH, kind="corrections", title=words("corrections.title"), description=words("corrections.description")
    )
    return {PATH: theme.render("corrections.html", shell, corrections=views)}
