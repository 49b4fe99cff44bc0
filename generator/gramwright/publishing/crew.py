"""Who makes the pages. Takes a desk, gives an executor of concurrent.futures and how work is put to it.

    Processes(count)              worker processes of this machine that inherit or open the desk: the usual way
    Hands(executor, count)        any executor of concurrent.futures; the hub travels to it (parcel.py)
    cluster.Cluster(address)      the workers of a Dask scheduler; the same

The seam is `Hired`: `run` submits chunks of orders to its executor and asks nothing else of it.
"""

from __future__ import annotations

import multiprocessing
import signal
import uuid
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from multiprocessing.context import BaseContext
from typing import Any, Protocol

from gramwright.publishing.work import Desk, Done, Order, open_desk, work


def _nothing() -> None:
    """All is well."""


@dataclass(frozen=True, slots=True)
class Hired:
    """An executor, and how a chunk of orders is put to it: `executor.submit(task, *first, prepare(orders))`."""

    executor: Executor
    count: int
    """How many chunks are worked on at a time."""
    task: Callable[..., Sequence[Done | None]]
    first: tuple[Any, ...] = ()
    prepare: Callable[[Sequence[Order]], object] = tuple
    check: Callable[[], None] = _nothing
    """Asked while nothing comes back. Raises Trouble when nothing ever will."""


class Crew(Protocol):
    """Somebody who can be hired."""

    def most(self) -> int:
        """How many hands it has at most; 1: there is no need to ask it."""

    def hired(self, desk: Desk, count: int) -> AbstractContextManager[Hired]:
        """Ready to work until the end of the block. Raises Trouble when it cannot be had."""


@dataclass(frozen=True, slots=True)
class Processes:
    """Worker processes that inherit the desk where the system can fork, and open their own where it cannot."""

    count: int

    def most(self) -> int:
        return self.count

    @contextmanager
    def hired(self, desk: Desk, count: int) -> Iterator[Hired]:
        context: BaseContext
        if "fork" in multiprocessing.get_all_start_methods():
            context = multiprocessing.get_context("fork")
        else:
            context = multiprocessing.get_context()
        kitchen = desk.kitchen
        executor = ProcessPoolExecutor(
            max_workers=count,
            mp_context=context,
            initializer=_begin,
            initargs=(kitchen.hub.root, kitchen.today, dict(desk.cookbook.slugs), desk.house, desk.out, desk.folder),
        )
        try:
            yield Hired(executor, count, work)
        finally:
            executor.shutdown(cancel_futures=True)


def _begin(*desk: Any) -> None:
    """Ctrl-C is for the process that hired: it tells the others to stop."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    open_desk(*desk)


@dataclass(frozen=True, slots=True)
class Hands:
    """An executor that somebody else made and ends; `count` is how many workers it has."""

    executor: Executor
    count: int

    def most(self) -> int:
        return max(2, self.count)

    @contextmanager
    def hired(self, desk: Desk, count: int) -> Iterator[Hired]:
        from gramwright.publishing import parcel

        sent = parcel.pack(desk, uuid.uuid4().hex)
        yield Hired(
            self.executor,
            self.count,
            parcel.work_sent,
            (sent,),
            lambda orders: parcel.load(desk.kitchen.hub, orders),
        )
