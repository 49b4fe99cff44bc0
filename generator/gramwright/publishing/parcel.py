"""A hub's work as it travels to a worker that shares no folder with us. Takes a desk, gives a parcel, and back.

The parcel holds every file of the hub that pages are made from but the photos, as they are when it is packed; photos
travel with the orders that name them. The worker computes and renders in memory and sends the bytes of the pages
back: only the machine that publishes reads the hub and writes the site. What a worker finds itself unable to do (a
photo that was named in a way not foreseen) it leaves to the one who asked.
"""

from __future__ import annotations

import re
import tempfile
import threading
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from gramwright.problems import ProblemLog, Trouble
from gramwright.publishing.hub import HubFiles, Stamp
from gramwright.publishing.kitchen import open_kitchen
from gramwright.publishing.product import fingerprint
from gramwright.publishing.work import Desk, Done, Order, carry_out, desk_for, easel_for, theme_for

_PHOTO = re.compile(rb"^photo[ \t]*:[ \t]*['\"]?([^'\"#\r\n]+)", re.MULTILINE)
_ON_DISK = ("theme/", "plans/")
"""Folders that the theme looks through itself."""


@dataclass(frozen=True, slots=True)
class Parcel:
    """Everything that recipe pages are made from, apart from the product itself."""

    product: str
    """Fingerprint of the product that must make the pages."""
    key: str
    """Tells one publish's parcel from another's."""
    today: date
    house: str
    slugs: Mapping[str, str]
    stamps: Mapping[str, Stamp]
    sizes: Mapping[str, int]
    """Bytes of every file that travels, in the order in which they lie in `packed`."""
    packed: bytes


@dataclass(frozen=True, slots=True)
class Load:
    """A chunk of orders with the photos that they need."""

    orders: Sequence[Order]
    photos: Mapping[str, bytes]


def pack(desk: Desk, key: str) -> Parcel:
    """The hub of a desk, ready to travel."""
    hub = desk.kitchen.hub
    files = {name: hub.read(name) for name in hub.stamps if not name.startswith("photos/")}
    return Parcel(
        fingerprint(),
        key,
        desk.kitchen.today,
        desk.house,
        dict(desk.cookbook.slugs),
        dict(hub.stamps),
        {name: len(data) for name, data in files.items()},
        zlib.compress(b"".join(files.values()), 1),
    )


def load(hub: HubFiles, orders: Sequence[Order]) -> Load:
    """A chunk of orders, ready to travel after its parcel."""
    photos: dict[str, bytes] = {}
    for order in orders:
        found = _PHOTO.search(hub.read(order.file))
        name = found.group(1).decode("utf-8", "replace").strip() if found else ""
        if name in hub.stamps:
            photos[name] = hub.read(name)
    return Load(tuple(orders), photos)


@dataclass(slots=True)
class _Held:
    """The desk of the parcel that this process works for."""

    key: str
    desk: Desk
    overlay: dict[str, bytes]
    folder: tempfile.TemporaryDirectory[str]


_held: _Held | None = None
_alone = threading.Lock()
"""A desk serves one thread at a time."""


def work_sent(parcel: Parcel, chunk: Load) -> list[Done | None]:
    """Carries out a chunk anywhere; None stands for an order that has to be carried out where it came from.

    Raises Trouble 'other-product' when this process would make other pages.
    """
    if parcel.product != fingerprint():
        raise Trouble(
            "other-product",
            "expected every worker to run this very version of Gramwright and its libraries, found another one",
            "install the same wheel on every machine, then start the workers again",
        )
    with _alone:
        held = _hold(parcel)
        held.overlay.update(chunk.photos)
        try:
            return [_sent(held.desk, order) for order in chunk.orders]
        finally:
            for name in chunk.photos:
                held.overlay.pop(name, None)


def _sent(desk: Desk, order: Order) -> Done | None:
    try:
        return carry_out(desk, order)
    except FileNotFoundError:
        return None


def _hold(parcel: Parcel) -> _Held:
    """Opens a parcel once a process."""
    global _held
    if _held is not None and _held.key == parcel.key:
        return _held
    if _held is not None:
        _held.folder.cleanup()
        _held = None
    folder = tempfile.TemporaryDirectory(prefix="gramwright-")
    data = zlib.decompress(parcel.packed)
    overlay: dict[str, bytes] = {}
    at = 0
    for name, size in parcel.sizes.items():
        overlay[name] = data[at : at + size]
        at += size
        if name.startswith(_ON_DISK):
            path = Path(folder.name) / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(overlay[name])
    root = Path(folder.name)
    log = ProblemLog()
    kitchen = open_kitchen(HubFiles(root, parcel.stamps, overlay), parcel.today, log)
    if kitchen is None:
        first = log.sorted()[0]
        raise Trouble("hub-changed", f"{first.place}: {first.message}", "publish again when the hub's files rest")
    nowhere, easel = root / "nothing-published", easel_for(kitchen)
    desk = desk_for(kitchen, theme_for(kitchen, ""), parcel.slugs, parcel.house, nowhere, None, easel, sends=True)
    _held = _Held(parcel.key, desk, overlay, folder)
    return _held
