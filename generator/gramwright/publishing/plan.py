"""Takes the files of a hub and what the last publish knew, gives what has to be made anew."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from gramwright.problems import Place, ProblemLog
from gramwright.publishing.house import tables_digest
from gramwright.publishing.hub import HubFiles
from gramwright.publishing.kitchen import Kitchen
from gramwright.publishing.needs import needs_digest
from gramwright.publishing.state import Record, State

_SLUG_LINE = re.compile(rb"""^(['"]?)slug\1[ \t]*:[ \t]*['"]?([^'"#\n]*)""", re.MULTILINE)
_HEAD_BYTES = 4096


class Plan(NamedTuple):
    """Which recipes to make, which to keep as they are."""

    slugs: Mapping[str, str]
    """slug -> file of every recipe."""
    stale: tuple[str, ...]
    """Files to make anew, sorted."""
    kept: tuple[Record, ...]
    around: str = ""
    """Digest of all that recipe pages are made from but the recipes' own files."""


def around_of(hub: HubFiles, slugs: Mapping[str, str], house: str, today: date) -> str:
    """Changes when any recipe page may, though no recipe's file did: house, tables, photos, the log, the day, names."""
    whole = hashlib.blake2b(f"{house}\0{tables_digest(hub)}\0{today}".encode(), digest_size=16)
    for name in hub.stamps:
        if not name.startswith("recipes/"):
            whole.update(f"\0{hub.mark(name)}".encode("utf-8", "surrogateescape"))
    whole.update("\0\0".join(sorted(slugs)).encode("utf-8", "surrogateescape"))
    return whole.hexdigest()


def slugs_of(hub: HubFiles, state: State | None, log: ProblemLog) -> dict[str, str]:
    """slug -> file. A slug is the file's stem unless the front matter says another; one used twice is a problem."""
    slugs: dict[str, str] = {}
    for file in hub.under("recipes"):
        record = state.records.get(file) if state else None
        slug = record.slug if record is not None and record.stamp == hub.stamps[file] else _slug_in(hub, file)
        if slug in slugs:
            log.error(
                Place(file, 1),
                "duplicate-slug",
                f"expected every recipe to have its own slug, found '{slug}' here and in {slugs[slug]}",
                "rename one of the files, or write 'slug: another-name' in its front matter",
            )
            continue
        slugs[slug] = file
    return slugs


def _slug_in(hub: HubFiles, file: str) -> str:
    stem = file.rsplit("/", 1)[-1].removesuffix(".md")
    with (hub.root / file).open("rb") as handle:
        head = handle.read(_HEAD_BYTES).removeprefix(b"\xef\xbb\xbf").lstrip()
    if b"\r" in head:
        head = head.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if not head.startswith(b"---"):
        return stem
    matter = head[3:].split(b"\n---", 1)[0]
    found = _SLUG_LINE.search(matter)
    return found.group(2).decode("utf-8", "replace").strip() or stem if found else stem


def make_plan(kitchen: Kitchen, slugs: Mapping[str, str], house: str, state: State | None) -> Plan:
    """Compares what every known page needs with what it was made from."""
    hub = kitchen.hub
    around = around_of(hub, slugs, house, kitchen.today)
    if state is None:
        return Plan(slugs, tuple(sorted(slugs.values())), (), around)
    fresh: dict[str, Record] = {}
    for slug, file in slugs.items():
        record = state.records.get(file)
        if record is not None and record.stamp == hub.stamps[file] and record.slug == slug:
            fresh[slug] = record
    kept = [
        record
        for record in fresh.values()
        if fresh.keys() >= set(record.inner)
        and (around == state.head.around or _needs(kitchen, record, fresh, slugs, house) == record.needs)
    ]
    known = {record.file for record in kept}
    stale = sorted(file for file in slugs.values() if file not in known)
    return Plan(slugs, tuple(stale), tuple(kept), around)


def _needs(kitchen: Kitchen, record: Record, fresh: Mapping[str, Record], slugs: Mapping[str, str], house: str) -> str:
    """What a page would be made from now."""
    sources = {slug: fresh[slug].source for slug in (record.slug, *record.inner)}
    links, mark = record.links, kitchen.hub.mark(record.photo)
    return needs_digest(house, sources, record.asked, links, kitchen.answer_digest, slugs.__contains__, mark)
