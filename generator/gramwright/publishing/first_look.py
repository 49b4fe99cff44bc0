"""The saved page first. Takes the recipes that an author just saved, gives their files before anything else is built.

A preview keeps the last build's tables and theme open. While nothing but recipes changed since then, a saved recipe is
read, computed and rendered with them in a few milliseconds, by the very function that a publish uses; lists, foods and
the search index follow with the build.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from gramwright.problems import Problem, ProblemLog, Trouble
from gramwright.publishing import state as working_state
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.house import house_digest
from gramwright.publishing.hub import HubFiles
from gramwright.publishing.kitchen import open_kitchen
from gramwright.publishing.notes import steps
from gramwright.publishing.plan import around_of, slugs_of
from gramwright.publishing.work import Desk, Order, bench_for, carry_out, theme_for

RECIPES = "recipes/"


@dataclass(frozen=True, slots=True)
class Look:
    """What became of some saved recipes."""

    files: Mapping[str, bytes] = field(default_factory=dict)
    """Path -> bytes of what can be shown at once."""
    problems: tuple[Problem, ...] = ()


@dataclass(slots=True)
class FirstLook:
    """An open kitchen of one hub. One thread at a time may use it."""

    site: Path
    """Where the last build lies."""
    state: Path
    """Its working state."""
    _desk: Desk | None = None
    _around: str = ""
    _old: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def open(self, hub: HubFiles, today: date) -> None:
        """Makes ready for saves after a build of `hub`; where that had errors nothing is shown before the next."""
        log = ProblemLog()
        house = house_digest(hub)
        known = working_state.load(self.state)
        slugs = slugs_of(hub, known, log)
        self._old = {} if known is None else {file: record.outputs for file, record in known.records.items()}
        around = around_of(hub, slugs, house, today)
        if self._desk is not None and around == self._around:
            return
        self._desk = None
        kitchen = open_kitchen(hub, today, log)
        if kitchen is None or log.has_errors:
            return
        try:
            theme = theme_for(kitchen, house)
        except Trouble:
            return  # the build says so
        book = Cookbook(kitchen, slugs)
        bench, history = bench_for(kitchen), steps(kitchen)
        self._desk = Desk(kitchen, theme, book, house, self.site, None, history, None, bench, sends=True)
        self._around = around
        self.at(hub, hub.under("recipes")[:1], today)  # templates are loaded and caches filled before the first save

    def at(self, hub: HubFiles, files: Sequence[str], today: date) -> Look | None:
        """The files of some saved recipes; None when that cannot be told before a build."""
        desk = self._desk
        if desk is None or hub.stamps.keys() != desk.kitchen.hub.stamps.keys():
            return None
        if not all(file.startswith(RECIPES) for file in files):
            return None
        book = Cookbook(replace(desk.kitchen, hub=hub), desk.cookbook.slugs)
        if around_of(hub, book.slugs, house_digest(hub), today) != self._around:
            return None
        here = desk._replace(kitchen=book.kitchen, cookbook=book)
        made: dict[str, bytes] = {}
        problems: list[Problem] = []
        for file in files:
            try:
                done = carry_out(here, Order(file, hub.stamps[file], self._old.get(file, {})))
            except (OSError, Trouble):
                return None
            problems += done.problems
            made.update(done.files)
        return Look(made, tuple(problems))
