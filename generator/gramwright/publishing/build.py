"""The build, step by step: scan, read, plan, make, gather, swap. Takes a hub's folder, gives a Result.

Nothing is published while anything has an error: the site stays as it was.
"""

from __future__ import annotations

import fcntl
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from gramwright.problems import Problem, ProblemLog, Severity, Trouble
from gramwright.publishing import state as working_state
from gramwright.publishing import tree
from gramwright.publishing.house import house_digest, tables_digest
from gramwright.publishing.hub import FOLDERS, HubFiles, scan
from gramwright.publishing.state import Record, State

Progress = Callable[[int, int], None]

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
    working: Path | None = None,
) -> Result:
    """Brings the site in `out` up to date with the hub in `root`.

    `working`: where the working state lies (default: the hub's `.gramwright`). Problems of the content are in the
    result, and then nothing was changed. Raises Trouble 'no-hub',
    'foreign-files', 'output-in-hub', 'publish-running' and OSError when the machine refuses.
    """
    begun = time.perf_counter()
    hub = scan(root)
    out = output_folder(root, out) if working is None or out is None else out.resolve()
    working = root / WORKING if working is None else working
    with _alone(working):
        try:
            return _publish(hub, today, out, working, workers, everything, progress, begun)
        except tree.PublishedFileMissing:
            return _publish(hub, today, out, working, workers, True, progress, begun)


def _publish(
    hub: HubFiles,
    today: date,
    out: Path,
    working: Path,
    workers: int | None,
    everything: bool,
    progress: Progress | None,
    begun: float,
) -> Result:
    """One publish. Raises PublishedFileMissing when somebody took a published file away that was to be kept."""
    state = None if everything else _trusted_state(working, out)
    marks = (house_digest(hub), tables_digest(hub))
    if state is not None and _nothing_changed(state, hub, marks, today):
        pages = sum(path.endswith(".html") for path in _outputs(state.records.values(), state.shared_outputs))
        return Result(_known_warnings(state), len(state.records), 0, pages, 0, time.perf_counter() - begun, out)
    from gramwright.publishing.make import make  # loads the template engine: only when there is something to make

    tree.refuse_foreign(out)
    log = ProblemLog()
    with tree.NextTree(out, working) as next_tree:
        made = make(hub, today, marks[0], state, next_tree, workers, progress, log)
        if made is None:
            return Result(log.sorted(), len(hub.under("recipes")), seconds=time.perf_counter() - begun)
        outputs = _outputs(made.records.values(), made.shared)
        before = _published(state, out)
        if outputs != before.digests:
            next_tree.keep(path for record in made.kept for path in record.outputs)
            tree.write_list(next_tree.folder, outputs)
            next_tree.swap()
    working_state.save(working / "state.json", made.as_state(out, marks, hub, today, tree.tree_id(outputs)))
    return Result(log.sorted(), len(made.records), *_pages(before, outputs), time.perf_counter() - begun, out)


def proof(root: Path, today: date, *, workers: int | None = None, progress: Progress | None = None) -> Result:
    """Reads and computes everything, renders it too, writes nothing."""
    from gramwright.publishing.make import make

    begun = time.perf_counter()
    hub = scan(root)
    log = ProblemLog()
    make(hub, today, "", None, None, workers, progress, log)
    return Result(log.sorted(), len(hub.under("recipes")), seconds=time.perf_counter() - begun)


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
