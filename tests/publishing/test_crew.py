"""Any executor of concurrent.futures makes the same pages; a worker that dies or fails loses nothing."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from tests.publishing.hub_make import PORRIDGE, Hub, files_in

from gramwright.problems import Trouble
from gramwright.publishing import parcel, run, work
from gramwright.publishing.build import publish
from gramwright.publishing.crew import Hands, Hired, Processes
from gramwright.publishing.work import Desk, Done, Order

TODAY = date(2026, 11, 25)


@pytest.fixture
def large(hub: Hub) -> Hub:
    """Enough recipes to hand out."""
    hub.write("hub.yaml", "title: Test hub\nshare_cards: no\n")
    for number in range(60):
        hub.write(f"recipes/more-{number:02}.md", PORRIDGE.replace("Porridge", f"Porridge {number}"))
    return hub


@pytest.fixture
def expected(large: Hub, tmp_path: Path) -> dict[str, bytes]:
    """What one process gives."""
    assert not publish(large.root, TODAY, out=tmp_path / "plain", workers=1, working=tmp_path / "w").has_errors
    return files_in(tmp_path / "plain")


class Immediate(Executor):
    """Carries work out when it is handed in."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Trouble as trouble:
            future.set_exception(trouble)
        return future


class Failing(Immediate):
    """Every second chunk comes back as an error, cancelled, or not at all done."""

    handed = 0

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.handed += 1
        if self.handed % 2:
            return super().submit(fn, *args, **kwargs)
        future: Future[Any] = Future()
        if self.handed % 4:
            future.set_exception(MemoryError("no room"))
        else:
            future.cancel()
            future.set_running_or_notify_cancel()
        return future


class Closed(Immediate):
    """Takes one chunk, then none any more."""

    handed = 0

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.handed += 1
        if self.handed > 1:
            raise RuntimeError("cannot schedule new futures after shutdown")
        return super().submit(fn, *args, **kwargs)


@contextmanager
def threads() -> Iterator[Executor]:
    with ThreadPoolExecutor(2) as executor:
        yield executor


@contextmanager
def spawned() -> Iterator[Executor]:
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as executor:
        yield executor


@contextmanager
def plainly(executor: Executor) -> Iterator[Executor]:
    yield executor


@pytest.mark.parametrize(
    "crew",
    [threads, spawned, lambda: plainly(Immediate()), lambda: plainly(Failing()), lambda: plainly(Closed())],
    ids=["threads", "spawned processes", "at once", "failing", "closed"],
)
def test_any_executor_gives_the_same_bytes(large: Hub, expected: dict[str, bytes], crew: Any) -> None:
    with crew() as executor:
        assert not publish(large.root, TODAY, workers=Hands(executor, 2)).has_errors
    assert large.published() == expected


def die(orders: list[Order]) -> list[Done]:
    if any(order.file.endswith("more-40.md") for order in orders):
        os._exit(9)
    return work.work(orders)


def test_a_process_that_dies_loses_nothing(
    large: Hub, expected: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Processes.hired

    @contextmanager
    def hired(self: Processes, desk: Desk, count: int) -> Iterator[Hired]:
        with real(self, desk, count) as found:
            yield Hired(found.executor, found.count, die)

    monkeypatch.setattr(Processes, "hired", hired)
    assert not publish(large.root, TODAY, workers=2).has_errors
    assert large.published() == expected


def test_a_crew_that_answers_nothing_is_asked_after(large: Hub, monkeypatch: pytest.MonkeyPatch) -> None:
    class Silent(Executor):
        def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
            return Future()

    class Crew:
        def most(self) -> int:
            return 2

        @contextmanager
        def hired(self, desk: Desk, count: int) -> Iterator[Hired]:
            def check() -> None:
                raise Trouble("workers-lost", "nobody is left")

            yield Hired(Silent(), 2, work.work, check=check)

    monkeypatch.setattr(run, "PATIENCE", 0.05)
    with pytest.raises(Trouble, match="nobody is left"):
        publish(large.root, TODAY, workers=Crew())
    assert not large.site.exists()


def test_problems_come_back_in_order_whoever_finds_them(large: Hub) -> None:
    for number in (3, 17, 44):
        large.edit(f"recipes/more-{number:02}.md", "80 g test oats", "80 g test oatz")
    alone = publish(large.root, TODAY, workers=1)
    together = publish(large.root, TODAY, workers=Hands(Immediate(), 2))
    assert [problem.code for problem in alone.problems] == ["unknown-food"] * 3
    assert together.problems == alone.problems
    assert not large.site.exists()


def test_a_parcel_of_another_product_is_refused(large: Hub, monkeypatch: pytest.MonkeyPatch) -> None:
    real = parcel.pack
    monkeypatch.setattr(parcel, "pack", lambda desk, key: replace(real(desk, key), product="another"))
    with pytest.raises(Trouble) as caught:
        publish(large.root, TODAY, workers=Hands(Immediate(), 2))
    assert caught.value.code == "other-product"
