"""The build, step by step: scan, read, plan, make, gather, swap. Takes a hub's folder, gives a Result.

Nothing is published while anything has an error: the site stays as it was.
"""

from __future__ import annotations

import fcntl
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from gramwright.problems import Place, Problem, ProblemLog, Severity, Trouble
from gramwright.publishing import state as working_state
from gramwright.publishing import tree
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.house import house_digest, tables_digest
from gramwright.publishing.hub import FOLDERS, HubFiles, scan
from gramwright.publishing.kitchen import Kitchen, open_kitchen
from gramwright.publishing.plan import Plan, make_plan, slugs_of
from gramwright.publishing.run import Progress, run
from gramwright.publishing.shared import shared_pages
from gramwright.publishing.state import Record, State
from gramwright.publishing.work import Desk, Order
from gramwright.site.theme import Theme

WORKING = ".gramwright"


@dataclass(frozen=True, slots=True)
class Result:
    """What a publish or a proof did."""

    problems: list[Problem]
    recipes: int
    written: int = 0
    unchanged: int = 0
    removed: int = 0
    """HTML pages."""
    seconds: float = 0.0
    out: Path | None = None

    @property
    def has_errors(self) -> bool:
        return any(problem.severity is Severity.ERROR for problem in self.problems)


def publish(
    root: Path,
    today: date,
    *,
    out: Path | None = None,
    workers: int | None = None,
    everything: bool = False,
    progress: Progress | None = None,
) -> Result:
    """Brings the site in `out` up to date with the hub in `root`.

    Problems of the content are in the result, and then nothing was changed. Raises Trouble 'no-hub',
    'foreign-files', 'output-in-hub', 'publish-running' and OSError when the machine refuses.
    """
    begun = time.perf_counter()
    hub = scan(root)
    out = _output(root, out)
    working = root / WORKING
    with _alone(working):
        try:
            return _publish(hub, today, out, workers, everything, progress, begun)
        except tree.PublishedFileMissing:
            return _publish(hub, today, out, workers, True, progress, begun)


def _publish(
    hub: HubFiles,
    today: date,
    out: Path,
    workers: int | None,
    everything: bool,
    progress: Progress | None,
    begun: float,
) -> Result:
    """One publish. Raises PublishedFileMissing when somebody took a published file away that was to be kept."""
    working = hub.root / WORKING
    state = None if everything else _trusted_state(working, out)
    marks = (house_digest(hub), tables_digest(hub))
    if state is not None and _nothing_changed(state, hub, marks, today):
        pages = sum(path.endswith(".html") for path in _outputs(state.records.values(), state.shared_outputs))
        return Result(_known_warnings(state), len(state.records), 0, pages, 0, time.perf_counter() - begun, out)
    tree.refuse_foreign(out)
    log = ProblemLog()
    with tree.NextTree(out, working) as next_tree:
        made = _make(hub, today, marks[0], state, next_tree, workers, progress, log)
        if made is None:
            return Result(log.sorted(), len(hub.under("recipes")), seconds=time.perf_counter() - begun)
        outputs = made.outputs()
        before = _published(state, out)
        if outputs != before.digests:
            next_tree.keep(path for record in made.kept for path in record.outputs)
            tree.write_list(next_tree.folder, outputs)
            next_tree.swap()
    working_state.save(working / "state.json", made.as_state(out, marks, hub, today, tree.tree_id(outputs)))
    return Result(log.sorted(), len(made.records), *_pages(before, outputs), time.perf_counter() - begun, out)


def proof(root: Path, today: date, *, workers: int | None = None, progress: Progress | None = None) -> Result:
    """Reads and computes everything, renders it too, writes nothing."""
    begun = time.perf_counter()
    hub = scan(root)
    log = ProblemLog()
    _make(hub, today, "", None, None, workers, progress, log)
    return Result(log.sorted(), len(hub.under("recipes")), seconds=time.perf_counter() - begun)


# ---------------------------------------------------------------- making


@dataclass(frozen=True, slots=True)
class _Made:
    records: Mapping[str, Record]
    kept: Sequence[Record]
    shared: Mapping[str, str]
    """Path -> digest of what belongs to no single recipe."""
    warnings: tuple[Problem, ...]
    """Of settings, tables and shared pages."""

    def outputs(self) -> dict[str, str]:
        return _outputs(self.records.values(), self.shared)

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


def _make(
    hub: HubFiles,
    today: date,
    house: str,
    state: State | None,
    next_tree: tree.NextTree | None,
    workers: int | None,
    progress: Progress | None,
    log: ProblemLog,
) -> _Made | None:
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
    theme = _theme(kitchen, log)
    if theme is None:
        return None
    records = _recipes(kitchen, theme, plan, house, state, next_tree, workers, progress, log)
    if log.has_errors:
        return None
    table_warnings = tuple(problem for problem in log if not problem.place.file.startswith("recipes/"))
    shared: dict[str, str] = {}
    old = state.shared_outputs if state else {}
    for path, data in shared_pages(kitchen, theme, list(records.values())).items():
        shared[path] = next_tree.put(path, data, old.get(path)) if next_tree else tree.digest(data)
    if log.has_errors:
        return None
    return _Made(records, plan.kept, shared, table_warnings)


def _theme(kitchen: Kitchen, log: ProblemLog) -> Theme | None:
    try:
        return Theme(kitchen.settings, kitchen.hub.root)
    except Trouble as trouble:
        log.add(trouble.at(kitchen.settings.place))
        return None


def _recipes(
    kitchen: Kitchen,
    theme: Theme,
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
    desk = Desk(kitchen, theme, Cookbook(kitchen, plan.slugs), house, out, folder)
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


# ---------------------------------------------------------------- what is there already


@dataclass(frozen=True, slots=True)
class _Published:
    digests: Mapping[str, str] | None
    """None when not known."""
    paths: frozenset[str]


def _published(state: State | None, out: Path) -> _Published:
    """What is in the published folder now, by the state or else by the folder's own list."""
    if state is not None:
        digests = _outputs(state.records.values(), state.shared_outputs)
        return _Published(digests, frozenset(digests))
    listed = tree.read_list(out)
    return _Published(None, listed[1] if listed else frozenset())


def _outputs(records: Iterable[Record], shared: Mapping[str, str]) -> dict[str, str]:
    outputs = dict(shared)
    for record in records:
        outputs.update(record.outputs)
    return outputs


def _pages(before: _Published, after: Mapping[str, str]) -> tuple[int, int, int]:
    """HTML pages written, unchanged, removed. Without a state every page counts as written."""
    pages = [path for path in after if path.endswith(".html")]
    digests = before.digests or {}
    unchanged = sum(digests.get(path) == after[path] for path in pages)
    removed = sum(path.endswith(".html") and path not in after for path in before.paths)
    return len(pages) - unchanged, unchanged, removed


def _trusted_state(working: Path, out: Path) -> State | None:
    """The last publish's state, if it belongs to this folder and the folder still holds that very tree."""
    state = working_state.load(working / "state.json")
    if state is None or state.out != str(out):
        return None
    listed = tree.read_list(out)
    return state if listed is not None and listed[0] == state.tree else None


def _nothing_changed(state: State, hub: HubFiles, marks: tuple[str, str], today: date) -> bool:
    return state.stamps == hub.stamps and (state.house, state.tables) == marks and state.day == today.isoformat()


def _known_warnings(state: State) -> list[Problem]:
    log = ProblemLog(list(state.warnings))
    for record in state.records.values():
        log.extend(record.warnings)
    return log.sorted()


# ---------------------------------------------------------------- the machine


def _output(root: Path, out: Path | None) -> Path:
    """The output folder, absolute. Raises Trouble 'output-in-hub' when the site would lie over the hub's own files."""
    out = (out if out is not None else root / "published").resolve()
    home = root.resolve()
    inside = out.relative_to(home).parts if out.is_relative_to(home) else None
    if home.is_relative_to(out) or (inside and inside[0] in {*FOLDERS, WORKING}):
        raise Trouble(
            "output-in-hub",
            f"expected an output folder apart from the hub's own files, found {out}",
            "leave --out away (the site goes to HUB/published) or name another folder",
        )
    return out


@contextmanager
def _alone(working: Path) -> Iterator[None]:
    """One publish at a time. Raises Trouble 'publish-running' when another holds the hub."""
    working.mkdir(parents=True, exist_ok=True)
    with (working / "lock").open("a") as handle:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as exc:
            raise Trouble(
                "publish-running",
                f"expected to be the only publish of {working.parent}, found another one running",
                "wait until it has finished, then publish again",
            ) from exc
        yield
