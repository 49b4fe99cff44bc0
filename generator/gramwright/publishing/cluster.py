"""A crew on other machines: the workers of a Dask scheduler. Takes its address, gives hands that make pages.

An optional extra: `pip install gramwright[cluster]`. Nothing is shared with a worker but the network: the hub's files
travel to it and the pages' bytes come back (parcel.py). Every worker must have this very product installed, which is
asked of each before it gets work, and of those that come later by the parcel itself. A worker that is lost has its
chunk made by another; what no worker makes is made here.

Whoever reaches a scheduler can have it run what they like: it belongs on a network of one's own, or behind TLS
(Dask's own configuration; the address then starts with tls://).
"""

from __future__ import annotations

import logging
import re
import socket
import struct
import time
import uuid
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib import import_module, util
from typing import Any

from gramwright.problems import Trouble
from gramwright.publishing import parcel
from gramwright.publishing.crew import Hired
from gramwright.publishing.product import fingerprint
from gramwright.publishing.work import Desk

_ADDRESS = re.compile(r"(?P<scheme>tcp|tls)://(?P<host>\[[0-9a-fA-F:]+\]|[^\s/:]+):(?P<port>[0-9]{1,5})\Z")

_LENGTH = struct.Struct("<Q")
_LONGEST_GREETING = 1 << 20

TIMEOUT = 10.0
"""Seconds until a scheduler that does not answer is given up, and one that has no workers."""
LOST = 30.0
"""Seconds without any worker after which none is waited for any more."""


@dataclass(frozen=True, slots=True)
class Cluster:
    """The workers of the scheduler at an address ('tcp://10.0.0.5:8786')."""

    address: str

    def most(self) -> int:
        return 2

    @contextmanager
    def hired(self, desk: Desk, count: int) -> Iterator[Hired]:
        """Raises Trouble 'no-cluster-extra', 'no-scheduler', 'no-workers', 'other-product', 'workers-lost'."""
        library = _library()
        with _quiet():
            client = _client(library, self.address)
            try:
                workers = _workers(client, self.address)
                _same_product(client)
                sent = client.submit(_hold, parcel.pack(desk, uuid.uuid4().hex), pure=False, key=None)
                executor = client.get_executor(pure=False)
                watch = _Watch(client, self.address)
                yield Hired(
                    executor,
                    max(2, sum(workers.values())),
                    parcel.work_sent,
                    (sent,),
                    lambda orders: parcel.load(desk.kitchen.hub, orders),
                    watch.check,
                )
                executor.shutdown(wait=False)
            finally:
                client.close(timeout=TIMEOUT)


def _hold(sent: parcel.Parcel) -> parcel.Parcel:
    """Keeps the parcel on a worker, for all: a task, so that another worker takes it over when that one is lost."""
    return sent


def _library() -> Any:
    if util.find_spec("distributed") is None:
        raise Trouble(
            "no-cluster-extra",
            "expected the library that talks to a scheduler (Dask distributed), found it not installed",
            "pip install 'gramwright[cluster]', or publish without --scheduler",
        )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return import_module("distributed")


@contextmanager
def _quiet() -> Iterator[None]:
    """The library's own log and warnings are for its developers; what matters is said as a problem."""
    logger = logging.getLogger("distributed")
    before = logger.level
    logger.setLevel(logging.CRITICAL + 1)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        logger.setLevel(before)


def _client(library: Any, address: str) -> Any:
    form = _ADDRESS.match(address)
    if form is None:
        raise _silent(address, "it is no address of the form tcp://HOST:PORT or tls://HOST:PORT")
    try:
        with socket.create_connection((form["host"].strip("[]"), int(form["port"])), timeout=TIMEOUT) as line:
            if form["scheme"] == "tcp" and not _greets(line):
                raise _silent(address, "something answers there that is no scheduler")
        return library.Client(address, timeout=TIMEOUT, set_as_default=False, name="gramwright")
    except (OSError, ValueError, OverflowError) as error:
        raise _silent(address, _first_line(error)) from error


def _greets(line: socket.socket) -> bool:
    """Whether the other side speaks first, as a scheduler does: the length of a short message in eight bytes.

    The library itself waits without end for something that says nothing.
    """
    said = b""
    while len(said) < _LENGTH.size:
        more = line.recv(_LENGTH.size - len(said))
        if not more:
            return False
        said += more
    length: int = _LENGTH.unpack(said)[0]
    return 0 < length < _LONGEST_GREETING


def _silent(address: str, why: str) -> Trouble:
    return Trouble(
        "no-scheduler",
        f"expected a Dask scheduler at '{address}', found none ({why})",
        "start one with 'dask scheduler' and name its address, as in --scheduler tcp://10.0.0.5:8786",
    )


def _workers(client: Any, address: str) -> dict[str, int]:
    """Address -> threads of every worker; waits for the first one."""
    try:
        client.wait_for_workers(1, timeout=TIMEOUT)
    except TimeoutError as error:
        raise Trouble(
            "no-workers",
            f"expected workers at the scheduler {address}, found none within {TIMEOUT:.0f} s",
            f"start some on machines with this version of Gramwright: dask worker {address} --nthreads 1",
        ) from error
    found: dict[str, int] = client.nthreads()
    return found


def _same_product(client: Any) -> None:
    """Raises Trouble 'other-product' with the addresses of the workers that would make other pages."""
    mine = fingerprint()
    answers = client.run(fingerprint, on_error="return")
    others = sorted(address for address, answer in answers.items() if answer != mine)
    if others:
        missing = [address for address in others if isinstance(answers[address], BaseException)]
        found = "none, or an old one," if missing else "another one"
        raise Trouble(
            "other-product",
            f"expected this very version of Gramwright and its libraries on every worker, found {found} on "
            + ", ".join(others),
            "install the same wheel with the same libraries on every machine, then start the workers again",
        )


@dataclass(slots=True)
class _Watch:
    """Notices when nobody is left to wait for."""

    client: Any
    address: str
    alone_since: float = field(default=0.0)

    def check(self) -> None:
        """Raises Trouble 'workers-lost' when the scheduler or all workers have been gone for LOST seconds."""
        if self._anybody():
            self.alone_since = 0.0
            return
        self.alone_since = self.alone_since or time.monotonic()
        if time.monotonic() - self.alone_since >= LOST:
            raise Trouble(
                "workers-lost",
                f"expected the workers of {self.address} to go on, found none left for {LOST:.0f} s",
                "start the workers again and publish again, or leave --scheduler away; nothing was changed",
            )

    def _anybody(self) -> bool:
        try:
            return self.client.status == "running" and bool(self.client.nthreads())
        except OSError:
            return False


def _first_line(error: BaseException) -> str:
    return (str(error).strip() or type(error).__name__).splitlines()[0]
