"""Takes a scanned hub and what the last publish knew, gives every page: kept, or made anew into the next tree.

Apart from build.py, so that a publish that finds nothing changed never loads the template engine or the tables.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from gramwright.problems import Place, Problem, ProblemLog, Trouble
from gramwright.publishing import tree
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.hub import HubFiles
from gramwright.publishing.kitchen import Kitchen, open_kitchen
from gramwright.publishing.notes import steps
from gramwright.publishing.plan import Plan, make_plan, slugs_of
from gramwright.publishing.plans import plans_of
from gramwright.publishing.run import Progress, run
from gramwright.publishing.schedules import ScheduleMemory
from gramwright.publishing.shared import shared_pages
from gramwright.publishing.state import Record, State
from gramwright.publishing.work import Desk, Order, bench_for, easel_for
from gramwright.site.pictures.easel import Easel
from gramwright.site.theme import Theme


@dataclass(frozen=True, slots=True)
class Made:
    records: Mapping[str, Record]
    kept: Sequence[Record]
    shared: Mapping[str, str]
    """Path -> digest of what belongs to no single recipe."""
    warnings: tuple[Problem, ...]
    """Of settings, tables and shared pages."""

    def as_state(self, out: Path, marks: tuple[str, str], hub: HubFiles, today: date, tree_id: str) -> State:
        house, tables = marks
        return State(
            out=str(out),
            house=house,
            tables=tables,
            tree=tree_id,
            stamps=hub.stamps,
            records=self.records,
            shared_outputs=self.shared,
            warnings=self.warnings,
            day=today.isoformat(),
        )


def make(
    hub: HubFiles,
    today: date,
    house: str,
    state: State | None,
    next_tree: tree.NextTree | None,
    workers: int | None,
    progress: Progress | None,
    log: ProblemLog,
) -> Made | None:
    """Makes every stale page into the next tree (or nowhere); None when anything has an error."""
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
    theme, easel = _theme(kitchen, log)
    if theme is None:
        return None
    records = _recipes(kitchen, theme, easel, plan, house, state, next_tree, workers, progress, log)
    memory = ScheduleMemory.open(hub.root / ".gramwright")
    plans = plans_of(kitchen, plan.slugs, log, memory)
    if log.has_errors:
        return None
    shared: dict[str, str] = {}
    old = state.shared_outputs if state else {}
    for path, data in shared_pages(kitchen, theme, list(records.values()), plans, log).items():
        shared[path] = next_tree.put(path, data, old.get(path)) if next_tree else tree.digest(data)
    table_warnings = tuple(problem for problem in log if not problem.place.file.startswith("recipes/"))
    if log.has_errors:
        return None
    if next_tree:
        memory.save()
    return Made(records, plan.kept, shared, table_warnings)


def _theme(kitchen: Kitchen, log: ProblemLog) -> tuple[Theme | None, Easel | None]:
    """The theme, and what share cards are drawn with where the hub wants them; no theme when an error was logged."""
    try:
        return Theme(kitchen.settings, kitchen.hub.root), easel_for(kitchen)
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
    workers: int | None,
    progress: Progress | None,
    log: ProblemLog,
) -> dict[str, Record]:
    """Records of all recipes by file, sorted: those kept and those made now. Problems go to the log."""
    out, folder = (next_tree.out, next_tree.folder) if next_tree else (Path(), None)
    book = Cookbook(kitchen, plan.slugs)
    desk = Desk(kitchen, theme, book, house, out, folder, steps(kitchen), easel, bench_for(kitchen))
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
