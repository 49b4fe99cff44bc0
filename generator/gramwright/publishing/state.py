"""The working state: what the last publish knew of every recipe, so that the next one does only what is needed.

It lies in `<hub>/.gramwright/state.json`, is written whole and put in place in one
step, carries a digest of itself, and is thrown away whenever anything about it
looks wrong: a publish without it gives the same site, only later.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gramwright.problems import Place, Problem, Severity
from gramwright.site.cards import Card, from_json

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Record:
    """What is known of one published recipe page."""

    file: str
    stamp: tuple[int, int]
    slug: str
    source: str
    """Digest of the file."""
    needs: str
    """Digest of everything that the page was made from."""
    asked: tuple[str, ...]
    """Names it looked up in the food table, folded."""
    inner: tuple[str, ...]
    """Slugs of the recipes it uses, at any depth."""
    links: tuple[str, ...]
    """Slugs that its prose links to."""
    card: Card
    outputs: Mapping[str, str]
    """Published path -> digest."""
    warnings: tuple[Problem, ...] = ()
    photo: str = ""
    """The hub's file that its photo is made from; '' when it has none."""


@dataclass(frozen=True, slots=True)
class State:
    """The last publish into one folder."""

    out: str
    house: str
    """Digest of what every page depends on."""
    tables: str
    """Digest of the food and measure tables."""
    tree: str
    """Id of the tree that was published."""
    stamps: Mapping[str, tuple[int, int]]
    records: Mapping[str, Record]
    """By file."""
    shared_outputs: Mapping[str, str]
    """Paths that belong to no single recipe -> digest."""
    warnings: tuple[Problem, ...]
    """Warnings about settings and tables."""
    day: str
    """ISO date it was made with."""


def load(path: Path) -> State | None:
    """The state, or None when there is none that can be trusted."""
    try:
        data = path.read_bytes()
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError):
        return None
    head, _, body = data.partition(b"\n")
    if head.decode("ascii", "replace") != _head(body):
        return None
    try:
        return _from_json(json.loads(body))
    except (ValueError, KeyError, TypeError, IndexError):
        return None


def save(path: Path, state: State) -> None:
    """Writes the state beside its place, then puts it there in one step."""
    body = json.dumps(_as_json(state), ensure_ascii=False, separators=(",", ":")).encode()
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_suffix(".next")
    beside.write_bytes(_head(body).encode() + b"\n" + body)
    beside.replace(path)


def _head(body: bytes) -> str:
    return f"gramwright state {FORMAT} {hashlib.blake2b(body, digest_size=16).hexdigest()}"


def _as_json(state: State) -> dict[str, Any]:
    return {
        "out": state.out,
        "house": state.house,
        "tables": state.tables,
        "tree": state.tree,
        "stamps": state.stamps,
        "records": [_record_as_json(record) for record in state.records.values()],
        "shared_outputs": state.shared_outputs,
        "warnings": [_problem_as_json(problem) for problem in state.warnings],
        "day": state.day,
    }


def _from_json(data: dict[str, Any]) -> State:
    records = [_record_from_json(record) for record in data["records"]]
    return State(
        out=data["out"],
        house=data["house"],
        tables=data["tables"],
        tree=data["tree"],
        stamps={name: (int(size), int(time)) for name, (size, time) in data["stamps"].items()},
        records={record.file: record for record in records},
        shared_outputs={str(path): str(mark) for path, mark in data["shared_outputs"].items()},
        warnings=tuple(_problem_from_json(problem) for problem in data["warnings"]),
        day=data["day"],
    )


def _record_as_json(record: Record) -> dict[str, Any]:
    return {
        "file": record.file,
        "stamp": record.stamp,
        "slug": record.slug,
        "source": record.source,
        "needs": record.needs,
        "asked": record.asked,
        "inner": record.inner,
        "links": record.links,
        "card": record.card.as_json(),
        "outputs": record.outputs,
        "photo": record.photo,
        "warnings": [_problem_as_json(problem) for problem in record.warnings],
    }


def _record_from_json(data: dict[str, Any]) -> Record:
    size, time = data["stamp"]
    return Record(
        file=data["file"],
        stamp=(int(size), int(time)),
        slug=data["slug"],
        source=data["source"],
        needs=data["needs"],
        asked=tuple(data["asked"]),
        inner=tuple(data["inner"]),
        links=tuple(data["links"]),
        card=from_json(data["card"]),
        outputs=dict(data["outputs"]),
        photo=data["photo"],
        warnings=tuple(_problem_from_json(problem) for problem in data["warnings"]),
    )


def _problem_as_json(problem: Problem) -> list[Any]:
    place = problem.place
    return [problem.severity, problem.code, problem.message, problem.hint, place.file, place.line, place.column]


def _problem_from_json(data: list[Any]) -> Problem:
    severity, code, message, hint, file, line, column = data
    return Problem(Severity(severity), code, message, hint, Place(file, int(line), int(column)))
