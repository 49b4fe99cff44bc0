"""The log of corrected figures. Takes corrections, gives corrections/index.html.

Template `corrections.html` gets `shell` and `corrections`, a tuple of CorrectionView, newest first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple
from urllib.parse import quote

from gramwright.reading.pack_figures import load_rules
from gramwright.site import feeds
from gramwright.site.pages.food import tag_name
from gramwright.site.theme import Theme, safe_path
from gramwright.site.words import Words

PATH = "corrections/index.html"
ENERGY = "ENERC_kJ"
"""What the energy of a pack is called, in kJ, kcal or both."""


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


class CorrectionView(NamedTuple):
    """A line of the log, in words."""

    date: str
    name: str
    href: str
    figure: str
    old: str
    new: str
    reason: str
    anchor: str
    """What tells the line from all others, in the feed too."""
    day: str
    """The date as the language writes it."""


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
            figure=_figure(c.tag, words),
            old=words.localised(c.old),
            new=words.localised(c.new),
            reason=c.reason,
            anchor="-".join((c.date, c.food, c.tag, c.new)),
            day=words.date(c.date),
        )
        for c in sorted(ordered, key=lambda c: c.date, reverse=True)
    )
    shell = theme.shell(
        PATH, kind="corrections", title=words("corrections.title"), description=words("corrections.description")
    )
    return {
        PATH: theme.render("corrections.html", shell, corrections=views),
        feeds.CORRECTIONS: feeds.corrections_feed(theme, [_entry(theme, view) for view in views]),
    }


def _figure(column: str, words: Words) -> str:
    """'protein (g)'; 'protein' for a pack's line, whose figures have their unit; 'contains' for no component."""
    name, _, unit = column.rpartition("_")
    line = ENERGY if column == "energy" else load_rules().lines.get(column)
    if line is not None:
        return tag_name(line, words)
    if name and name.isupper():
        return f"{tag_name(column, words)} ({unit})"
    return words.get(f"corrections.columns.{column}", column.replace("_", " "))


def _entry(theme: Theme, view: CorrectionView) -> feeds.Entry:
    words = theme.words
    unknown = words("notes.unknown")
    title = words(
        "feed.corrected", food=view.name, figure=view.figure, old=view.old or unknown, new=view.new or unknown
    )
    return feeds.Entry(title=title, path=PATH, updated=view.date, summary=view.reason, name="#" + quote(view.anchor))
