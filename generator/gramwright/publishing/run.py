"""Takes orders and a desk, gives what was done: in this process, or in chunks over worker processes."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from multiprocessing.context import BaseContext

from gramwright.publishing.collecting import few_collections
from gramwright.publishing.work import Desk, Done, Order, open_desk, sit, work

Progress = Callable[[int, int], None]

FEW = 24
"""So few recipes are made faster in this process than by starting others."""
CHUNK = 40
MOST_WORKERS = 8


def run(orders: Sequence[Order], desk: Desk, workers: int | None, progress: Progress | None) -> list[Done]:
    """Carries out all orders; the result is in the orders' order, whatever the number of workers."""
    count = min(workers or os.cpu_count() or 1, MOST_WORKERS if workers is None else workers, len(orders) // FEW + 1)
    sit(desk)
    try:
        with few_collections(freeze=len(orders) > FEW):
            return _carried_out(orders, desk, count, progress)
    finally:
        sit(None)


def _carried_out(orders: Sequence[Order], desk: Desk, count: int, progress: Progress | None) -> list[Done]:
    if count <= 1:
        return list(_here(orders, progress))
    with _processes(desk, count) as executor:
        return _there(orders, executor, count, progress)


def _here(orders: Sequence[Order], progress: Progress | None) -> Iterator[Done]:
    for number, order in enumerate(orders, 1):
        yield from work([order])
        if progress:
            progress(number, len(orders))


def _there(orders: Sequence[Order], executor: Executor, count: int, progress: Progress | None) -> list[Done]:
    size = max(1, min(CHUNK, -(-len(orders) // (4 * count))))
    chunks = [orders[start : start + size] for start in range(0, len(orders), size)]
    futures: dict[Future[list[Done]], int] = {
        executor.submit(work, chunk): number for number, chunk in enumerate(chunks)
    }
    results: list[list[Done]] = [[] for _ in chunks]
    finished = 0
    for future in as_completed(futures):
        number = futures[future]
        results[number] = future.result()
        finished += len(chunks[number])
        if progress:
            progress(finished, len(orders))
    return [done for chunk in results for done in chunk]


@contextmanager
def _processes(desk: Desk, count: int) -> Iterator[Executor]:
    """Worker processes that inherit the desk where the system can fork, and open their own where it cannot."""
    context: BaseContext
    if "fork" in multiprocessing.get_all_start_methods():
        context = multiprocessing.get_context("fork")
    else:
        context = multiprocessing.get_context()
    kitchen = desk.kitchen
    executor = ProcessPoolExecutor(
        max_workers=count,
        mp_context=context,
        initializer=open_desk,
        initargs=(kitchen.hub.root, kitchen.today, dict(desk.cookbook.slugs), desk.house, desk.out, desk.folder),
    )
    with executor:
        yield executor
