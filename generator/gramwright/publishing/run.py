"""Takes orders and a desk, gives what was done: in this process, or in chunks over a crew's executor."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import replace

from gramwright.problems import Trouble
from gramwright.publishing import tree
from gramwright.publishing.collecting import few_collections
from gramwright.publishing.crew import Crew, Hired, Processes
from gramwright.publishing.work import Desk, Done, Order, sit, work

Progress = Callable[[int, int], None]

Workers = int | Crew | None
"""How many processes (None: as many as there are processors), or who else makes the pages."""

FEW = 24
"""So few recipes are made faster in this process than by starting others."""
CHUNK = 40
MOST_WORKERS = 8
AHEAD = 4
"""Chunks handed out for each worker before the first is back: enough to keep it busy, few enough to hold."""
PATIENCE = 1.0
"""Seconds without an answer after which it is asked whether anybody is left."""


def run(orders: Sequence[Order], desk: Desk, workers: Workers, progress: Progress | None) -> list[Done]:
    """Carries out all orders; the result is in the orders' order, whoever works.

    Raises Trouble when the crew cannot be had or is lost.
    """
    processors = min(os.cpu_count() or 1, MOST_WORKERS)
    crew = Processes(workers or processors) if workers is None or isinstance(workers, int) else workers
    count = min(crew.most(), len(orders) // FEW + 1)
    sit(desk)
    try:
        with few_collections(freeze=len(orders) > FEW):
            if count <= 1:
                return list(_here(orders, progress, len(orders)))
            with crew.hired(desk, count) as hired:
                return _there(orders, desk, hired, progress)
    finally:
        sit(None)


def _here(orders: Iterable[Order], progress: Progress | None = None, total: int = 0) -> Iterator[Done]:
    for number, order in enumerate(orders, 1):
        yield from work([order])
        if progress:
            progress(number, total)


def _there(orders: Sequence[Order], desk: Desk, hired: Hired, progress: Progress | None) -> list[Done]:
    """Hands out chunks; what a worker was lost with, or could not do, is done here in the end: nothing is left out."""
    size = max(1, min(CHUNK, -(-len(orders) // (4 * hired.count))))
    chunks = [orders[start : start + size] for start in range(0, len(orders), size)]
    waiting = deque(range(len(chunks)))
    pending: dict[Future[Sequence[Done | None]], int] = {}
    results: dict[str, Done] = {}
    while waiting or pending:
        while waiting and len(pending) < AHEAD * hired.count:
            future = _handed_out(hired, chunks[waiting[0]])
            if future is None:
                waiting.clear()
                break
            pending[future] = waiting.popleft()
        ready, _ = wait(pending, timeout=PATIENCE, return_when=FIRST_COMPLETED)
        if not ready and pending:
            hired.check()
        for future in ready:
            chunk = chunks[pending.pop(future)]
            for order, done in zip(chunk, _answer(future, len(chunk)), strict=True):
                if done is not None:
                    results[order.file] = _landed(desk, order, done)
            if progress:
                progress(len(results), len(orders))
    left = [order for order in orders if order.file not in results]
    results.update((done.file, done) for done in _here(left))
    if progress and left:
        progress(len(orders), len(orders))
    return [results[order.file] for order in orders]


def _handed_out(hired: Hired, chunk: Sequence[Order]) -> Future[Sequence[Done | None]] | None:
    """None when the executor takes no work any more."""
    try:
        return hired.executor.submit(hired.task, *hired.first, hired.prepare(chunk))
    except RuntimeError:  # broken, or ended
        return None


def _answer(future: Future[Sequence[Done | None]], count: int) -> Sequence[Done | None]:
    """What came back; Nones when the worker was lost or failed. Raises the Trouble that a worker raised."""
    failure = None if future.cancelled() else future.exception()
    if isinstance(failure, Trouble):
        raise failure
    return [None] * count if future.cancelled() or failure is not None else future.result()


def _landed(desk: Desk, order: Order, done: Done) -> Done:
    """Writes the files that a worker sent instead of writing them itself."""
    if done.record is None or not done.files:
        return done
    outputs: Mapping[str, str] = {
        path: tree.put(desk.out, desk.folder, path, data, order.old.get(path)) if desk.folder else tree.digest(data)
        for path, data in done.files.items()
    }
    return replace(done, record=replace(done.record, outputs=outputs), files={})
