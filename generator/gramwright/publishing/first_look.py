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
from typing import NamedTuple

from gramwright.problems import Problem, ProblemLog, Trouble
from gramwright.publishing import state as working_state
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.house import house_digest
from gramwright.publishing.hub import HubFiles
from gramwright.publishing.kitchen import open_kitchen
from gramwright.publishing.plan import around_of, slugs_of
from gramwright.publishing.work import Desk, Order, carry_out, desk_for, theme_for

RECIPES = "recipes/"


@dataclass(frozen=True, slots=True)
class Look:
    """What became of some saved recipes."""

    files: Mapping[str, bytes] = field(default_factory=dict)
    """Path -> bytes of what can be shown at once."""
    problems: tuple[Problem, ...] = ()


class _Open(NamedTuple):
    """What a look needs; put in place whole, so that one thread may look while another makes the next ready."""

    desk: Desk
    around: str
    old: Mapping[str, Mapping[str, str]]
    """File -> what is published of it: path -> digest."""


class FirstLook:
    """An open kitchen of one hub."""

    def __init__(self, site: Path, state: Path) -> None:
        """`site`: where the last build lies; `state`: its working state."""
        self._site = site
        self._state = state
        self._ready: _Open | None = None

    @property
    def ready(self) -> bool:
        """Whether saves can be shown."""
        return self._ready is not None

    def open(self, hub: HubFiles, today: date) -> None:
        """Makes ready for saves after a build of `hub`; where that had errors nothing is shown before the next."""
        log = ProblemLog()
        house = house_digest(hub)
        known = working_state.load(self._state)
        slugs = slugs_of(hub, known, log)
        old = {} if known is None else {file: record.outputs for file, record in known.records.items()}
        around = around_of(hub, slugs, house, today)
        before = self._ready
        if before is not None and before.around == around:
            self._ready = before._replace(old=old)
            return
        self._ready = None
        kitchen = open_kitchen(hub, today, log)
        if kitchen is None or log.has_errors:
            return
        try:
            theme = theme_for(kitchen, house)
        except Trouble:
            return  # the build says so
        desk = desk_for(kitchen, theme, slugs, house, self._site, None, None, sends=True)
        opened = _Open(desk, around, old)
        _at(opened, hub, hub.under("recipes")[:1], today)  # templates and caches are there before the first save
        self._ready = opened

    def at(self, hub: HubFiles, files: Sequence[str], today: date) -> Look | None:
        """The files of some saved recipes; None when that cannot be told before a build."""
        opened = self._ready
        return None if opened is None else _at(opened, hub, files, today)


def _at(opened: _Open, hub: HubFiles, files: Sequence[str], today: date) -> Look | None:
    desk = opened.desk
    if hub.stamps.keys() != desk.kitchen.hub.stamps.keys() or not all(file.startswith(RECIPES) for file in files):
        return None
    book = Cookbook(replace(desk.kitchen, hub=hub), desk.cookbook.slugs)
    if around_of(hub, book.slugs, house_digest(hub), today) != opened.around:
        return None
    here = desk._replace(kitchen=book.kitchen, cookbook=book)
    made: dict[str, bytes] = {}
    problems: list[Problem] = []
    for file in files:
        try:
            done = carry_out(here, Order(file, hub.stamps[file], opened.old.get(file, {})))
        except (OSError, Trouble):
            return None
        problems += done.problems
        made.update(done.files)
    return Look(made, tuple(problems))
