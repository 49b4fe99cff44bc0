"""The build, step by step: scan, read, plan, make, gather, swap. Takes a hub's folder, gives a Result.

Nothing is published while anything has an error: the site stays as it was.
"""

from __future__ import annotations

import fcntl
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from gramwright.problems import Problem, ProblemLog, Severity, Trouble
from gramwright.publishing import state as working_state
from gramwright.publishing import tree
from gramwright.publishing.collecting import few_collections
from gramwright.publishing.house import house_digest, tables_digest
from gramwright.publishing.hub import FOLDERS, HubFiles, scan
from gramwright.publishing.links import inventory
from gramwright.publishing.state import Record, State

if TYPE_CHECKING:
    from gramwright.publishing.run import Workers

Progress = Callable[[int, int], None]

WORKING = ".gramwright"


class Result(NamedTuple):
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
    workers: Workers = None,
    everything: bool = False,
    progress: Progress | None = None,
    working: Path | None = None,
) -> Result:
    """Brings the site in `out` up to date with the hub in `root`.

    `workers`: how many processes make pages (None: as many as there are processors), or another crew (crew.py).
    `working`: where the working state lies (default: the hub's `.gramwright`). Problems of the content are in the
    result, and then nothing was changed. Raises Trouble 'no-hub',
    'foreign-files', 'other-hub', 'output-in-hub', 'publish-running', what a crew raises, and OSError when the machine
    refuses.
    """
    begun = time.perf_counter()
    hub = scan(root)
    out = output_folder(root, out) if working is None or out is None else out.resolve()
    working = root / WORKING if working is None else working
    with _alone(working), few_collections():
        try:
            return _publish(hub, today, out, working, workers, everything, progress, begun)
        except tree.PublishedFileMissing:
            return _publish(hub, today, out, working, workers, True, progress, begun)


def _publish(
    hub: HubFiles,
    today: date,
    out: Path,
    working: Path,
    workers: Workers,
    everything: bool,
    progress: Progress | None,
    begun: float,
) -> Result:
    """One publish. Raises PublishedFileMissing when somebody took a published file away that was to be kept."""
    kept = working / "state.json"
    last = working_state.load_head(kept)
    head = None if everything else last
    if head is not None and (head.out != str(out) or head.tree != tree.published_id(out)):
        head = None
    house, tables, stamps = house_digest(hub), tables_digest(hub), hub.digest()
    rested = head is not None and (head.house, head.tables, head.stamps, head.day) == (
        house,
        tables,
        stamps,
        today.isoformat(),
    )
    if head is not None and rested and tree.is_whole(out, head.seal):
        return Result(list(head.warnings), head.recipes, 0, head.pages, 0, time.perf_counter() - begun, out)
    from gramwright.publishing.make import make  # loads the template engine: only when there is something to make
    from gramwright.publishing.whose import mark_of, refuse_other
    from gramwright.site import offline

    mark = mark_of(hub)
    refuse_other(hub, out, mark, None if last is None else last.tree)
    there = inventory(out)
    tree.refuse_foreign(out, there)
    state = None if head is None else working_state.load(kept)
    before = _published(state, out, offline.WORKER)
    if not before.paths <= there.files.keys():
        state, before = None, before._replace(digests=None)  # somebody took a part of it away
    elif state is not None and before.digests is not None and tree.seal(out, before.paths) != state.head.seal:
        lost = tree.edited(out, before.digests)
        state = working_state.without(state, lost)
        before = before._replace(digests={path: m for path, m in before.digests.items() if path not in lost})
    log = ProblemLog()
    with tree.NextTree(out, working, there) as next_tree:
        made = make(hub, today, house, state, next_tree, workers, progress, log)
        if made is None:
            return Result(log.sorted(), len(hub.under("recipes")), seconds=time.perf_counter() - begun)
        shared = made.shared
        outputs = _outputs(made.records.values(), shared.outputs)
        tree_id = tree.tree_id(outputs)
        worker = offline.worker(made.theme, tree_id, hub.root)
        outputs[offline.WORKER] = tree.digest(worker)
        if outputs != before.digests:
            next_tree.keep(path for record in made.kept for path in record.outputs)
            if shared.kept:
                next_tree.keep(shared.outputs)
            next_tree.put(offline.WORKER, worker, None)
            next_tree.complete(tree_id, outputs, mark)
            next_tree.swap()
    problems = log.sorted()
    written, unchanged, removed = _pages(before, outputs)
    head = working_state.Head(
        out=str(out),
        house=house,
        tables=tables,
        tree=tree_id,
        seal=tree.seal(out, outputs),
        worker=outputs[offline.WORKER],
        stamps=stamps,
        around=made.around,
        day=today.isoformat(),
        recipes=len(made.records),
        pages=written + unchanged,
        warnings=tuple(problems),
    )
    working_state.save(kept, State(head, made.records, shared.outputs, shared.needs, shared.inputs, shared.warnings))
    return Result(problems, len(made.records), written, unchanged, removed, time.perf_counter() - begun, out)


def proof(root: Path, today: date, *, workers: Workers = None, progress: Progress | None = None) -> Result:
    """Reads and computes everything, renders it too, writes nothing."""
    from gramwright.publishing.make import make

    begun = time.perf_counter()
    hub = scan(root)
    log = ProblemLog()
    make(hub, today, "", None, None, workers, progress, log)
    return Result(log.sorted(), len(hub.under("recipes")), seconds=time.perf_counter() - begun)


# ---------------------------------------------------------------- what is there already


class _Published(NamedTuple):
    digests: Mapping[str, str] | None
    """None when not known."""
    paths: frozenset[str]


def _published(state: State | None, out: Path, worker: str) -> _Published:
    """What is in the published folder now, by the state or else by the folder's own list."""
    if state is not None:
        digests = _outputs(state.records.values(), state.shared_outputs)
        digests[worker] = state.head.worker
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


# ---------------------------------------------------------------- the machine


def output_folder(root: Path, out: Path | None) -> Path:
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
