"""Takes a scanned hub and what the last publish knew, gives every page: kept, or made anew into the next tree.

Apart from build.py, so that a publish that finds nothing changed never loads the template engine or the tables.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from gramwright.problems import Place, Problem, ProblemLog, Trouble
from gramwright.publishing import template_memory, tree, unit_memory
from gramwright.publishing.hub import HubFiles
from gramwright.publishing.kitchen import Kitchen, open_kitchen
from gramwright.publishing.plan import Plan, make_plan, slugs_of
from gramwright.publishing.run import Progress, Workers, run
from gramwright.publishing.state import Record, State
from gramwright.publishing.work import Order, desk_for, easel_for, theme_for
from gramwright.reading.pantry import FILE as PANTRY
from gramwright.site.pictures.easel import Easel
from gramwright.site.theme import Theme

if TYPE_CHECKING:
    from gramwright.prep.made import PlanMade


class Shared(NamedTuple):
    """The pages that belong to no single recipe."""

    outputs: Mapping[str, str]
    """Path -> digest."""
    needs: str
    """Digest of everything that they are made from."""
    inputs: Mapping[str, str]
    """Path -> digest of what this one page is made from, of those that may stay when others change."""
    warnings: tuple[Problem, ...]
    kept: bool
    """Whether they are those of the last publish, not made anew."""


class Made(NamedTuple):
    """Every page of the site, kept or made."""

    records: Mapping[str, Record]
    kept: Sequence[Record]
    around: str
    """Digest of all that recipe pages are made from but the recipes' own files."""
    shared: Shared
    theme: Theme


def make(
    hub: HubFiles,
    today: date,
    house: str,
    state: State | None,
    next_tree: tree.NextTree | None,
    workers: Workers,
    progress: Progress | None,
    log: ProblemLog,
) -> Made | None:
    """Makes every stale page into the next tree (or nowhere); None when anything has an error."""
    working = hub.root / ".gramwright"
    unit_memory.recall(working)
    kitchen = open_kitchen(hub, today, log)
    slugs = slugs_of(hub, state, log)
    if not hub.under("recipes"):
        log.error(
            Place("recipes"),
            "empty-hub",
            "expected at least one recipe (recipes/*.md), found none",
            "write one, or make a hub with an example: gramwright start NEW_FOLDER",
        )
    if kitchen is None:
        return None
    plan = make_plan(kitchen, slugs, house, state)
    theme, easel = _theme(kitchen, house if next_tree else "", log)
    if theme is None:
        return None
    records = _recipes(kitchen, theme, easel, plan, house, state, next_tree, workers, progress, log)
    whole = not log.has_errors
    needs = _shared_needs(plan.around, records, bool(hub.under("plans"))) if whole else ""
    if state is not None and needs == state.shared_needs:
        shared = Shared(state.shared_outputs, needs, state.shared_inputs, state.shared_warnings, kept=True)
        log.extend(shared.warnings)
        if next_tree and not log.has_errors:
            unit_memory.keep(working)
        return Made(records, plan.kept, plan.around, shared, theme)
    known = state.shared_inputs if state is not None and state.head.house == house else {}
    old = state.shared_outputs if state else {}
    shared = _shared(kitchen, theme, plan, list(records.values()), needs, known, old, next_tree, log)
    if log.has_errors:
        return None
    if next_tree:
        template_memory.forget_others(working, house)
        unit_memory.keep(working)
    return Made(records, plan.kept, plan.around, shared, theme)


def _shared(
    kitchen: Kitchen,
    theme: Theme,
    plan: Plan,
    records: Sequence[Record],
    needs: str,
    known: Mapping[str, str],
    old: Mapping[str, str],
    next_tree: tree.NextTree | None,
    log: ProblemLog,
) -> Shared:
    """Makes the shared pages that are not as `known` (path -> digest of inputs) anew; none when anything has an error.

    `old`: what is published of them, path -> digest.
    """
    from gramwright.publishing.shared import shared_pages, standing_of  # only where a card or a table changed

    found = ProblemLog()
    plans = _plans(kitchen, plan, found, next_tree is not None)
    standing = standing_of(records, known)
    outputs: dict[str, str] = {}
    if not log.has_errors and not found.has_errors:
        for path, data in shared_pages(kitchen, theme, records, plans, found, standing).items():
            outputs[path] = next_tree.put(path, data, old.get(path)) if next_tree else tree.digest(data)
        outputs.update((path, old[path]) for path in standing.stayed)
        if next_tree:
            next_tree.keep(standing.stayed)
    log.extend(found)
    return Shared(outputs, needs, standing.now, tuple(found), kept=False)


def _plans(kitchen: Kitchen, plan: Plan, log: ProblemLog, remembers: bool) -> tuple[PlanMade, ...]:
    """The hub's prep plans; their schedules are remembered for the next publish."""
    hub = kitchen.hub
    if not hub.under("plans") and PANTRY not in hub.stamps:
        return ()
    from gramwright.publishing.plans import plans_of  # not loaded for a hub without
    from gramwright.publishing.schedules import ScheduleMemory

    memory = ScheduleMemory.open(hub.root / ".gramwright")
    made = plans_of(kitchen, plan.slugs, log, memory)
    if remembers and not log.has_errors:
        memory.save()
    return made


def _shared_needs(around: str, records: Mapping[str, Record], plans: bool) -> str:
    """One digest of what shared pages are made from: all but the recipes' own pages, and the card of every recipe."""
    whole = hashlib.blake2b(around.encode(), digest_size=16)
    for record in records.values():
        whole.update(f"\0{record.card_text}".encode())
        if plans:
            whole.update(record.needs.encode())
    return whole.hexdigest()


def _theme(kitchen: Kitchen, house: str, log: ProblemLog) -> tuple[Theme | None, Easel | None]:
    """The theme, and what share cards are drawn with where the hub wants them; no theme when an error was logged."""
    try:
        return theme_for(kitchen, house), easel_for(kitchen)
    except Trouble as trouble:
        log.add(trouble.at(kitchen.settings.place))
        return None, None


def _recipes(
    kitchen: Kitchen,
    theme: Theme,
    easel: Easel | None,
    plan: Plan,
    house: str,
    state: State | None,
    next_tree: tree.NextTree | None,
    workers: Workers,
    progress: Progress | None,
    log: ProblemLog,
) -> dict[str, Record]:
    """Records of all recipes by file, sorted: those kept and those made now. Problems go to the log."""
    out, folder = (next_tree.out, next_tree.folder) if next_tree else (Path(), None)
    desk = desk_for(kitchen, theme, plan.slugs, house, out, folder, easel)
    known = state.records if state else {}
    orders = [
        Order(file, kitchen.hub.stamps[file], known[file].outputs if file in known else {}) for file in plan.stale
    ]
    records = {record.file: record for record in plan.kept}
    for record in plan.kept:
        log.extend(record.warnings)
    for done in run(orders, desk, workers, progress):
        log.extend(done.problems)
        if done.record is not None:
            records[done.file] = done.record
    return dict(sorted(records.items()))
