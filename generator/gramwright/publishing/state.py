"""The working state: what the last publish knew of every recipe, so that the next one does only what is needed.

It lies in `<hub>/.gramwright/state.json`, is written whole and put in place in one step, carries digests of itself, and
is thrown away whenever anything about it looks wrong: a publish without it gives the same site, only later.

The file: a line with the format's number and the digest of the next line; a line of JSON, the *head*, which is all that
a publish needs to see that nothing has changed; then two lines for every recipe, its record and its card.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from gramwright.problems import Place, Problem, Severity

if TYPE_CHECKING:
    from gramwright.site.cards import Card

FORMAT = 5


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
    card_text: str
    """Its card as one line of JSON: told apart, kept and sent between processes without being read."""
    outputs: Mapping[str, str]
    """Published path -> digest."""
    warnings: tuple[Problem, ...] = ()
    photo: str = ""
    """The hub's file that its photo is made from; '' when it has none."""
    line: str = field(default="", compare=False)
    """The record as it stood in the working state; '' for one made anew."""

    @property
    def card(self) -> Card:
        """Its card, read anew each time."""
        from gramwright.site.cards import from_json  # not loaded by a publish that finds nothing changed

        return from_json(json.loads(self.card_text))


def card_text(card: Card) -> str:
    """A card as `Record.card_text` holds it."""
    return json.dumps(card.as_json(), ensure_ascii=False, separators=(",", ":"))


@dataclass(frozen=True, slots=True)
class Head:
    """The last publish into one folder, as a whole."""

    out: str
    house: str
    """Digest of what every page depends on."""
    tables: str
    """Digest of the food and measure tables."""
    tree: str
    """Id of the tree that was published."""
    seal: str
    """Its seal, see tree.seal."""
    worker: str
    """Digest of its worker (site/offline.py), which names the tree and is no part of the id."""
    stamps: str
    """Digest of the hub's files by name, size and time."""
    around: str
    """Digest of all that recipe pages are made from but the recipes' own files."""
    day: str
    """ISO date it was made with."""
    recipes: int
    pages: int
    """HTML pages."""
    warnings: tuple[Problem, ...]
    """All of them, sorted."""


class State(NamedTuple):
    """The last publish into one folder, with all that is known of its pages."""

    head: Head
    records: Mapping[str, Record]
    """By file."""
    shared_outputs: Mapping[str, str]
    """Paths that belong to no single recipe -> digest."""
    shared_needs: str
    """Digest of everything that these were made from."""
    shared_inputs: Mapping[str, str]
    """Path -> digest of what this one page was made from, of those that may stay when others change."""
    shared_warnings: tuple[Problem, ...]
    """Warnings met while they were made."""


def load_head(path: Path) -> Head | None:
    """The head alone, or None when there is none that can be trusted."""
    try:
        with path.open("rb") as file:
            known = _read_head(file.readline(), file.readline())
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError):
        return None
    return None if known is None else known[0]


def load(path: Path) -> State | None:
    """The state, or None when there is none that can be trusted."""
    try:
        data = path.read_bytes()
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError):
        return None
    first, _, rest = data.partition(b"\n")
    second, _, body = rest.partition(b"\n")
    known = _read_head(first + b"\n", second + b"\n")
    if known is None:
        return None
    head, more = known
    try:
        if _digest(body) != more["body"]:
            return None
        lines = body.decode().split("\n")
        fields = json.loads(f"[{','.join(lines[:-1:2])}]")
        records = [_record(*each) for each in zip(fields, lines[::2], lines[1::2], strict=False)]
        return State(
            head,
            {record.file: record for record in records},
            {str(output): str(mark) for output, mark in more["shared_outputs"].items()},
            str(more["shared_needs"]),
            {str(page): str(mark) for page, mark in more["shared_inputs"].items()},
            tuple(map(_problem, more["shared_warnings"])),
        )
    except (ValueError, KeyError, TypeError, IndexError):
        return None


def without(state: State, lost: Collection[str]) -> State:
    """The same without what is known of the pages that these files belong to, so that they are made again."""
    if not lost:
        return state
    shared = {path: mark for path, mark in state.shared_outputs.items() if path not in lost}
    if len(shared) < len(state.shared_outputs):
        state = state._replace(shared_outputs=shared, shared_needs="", shared_inputs={})
    records = {name: record for name, record in state.records.items() if record.outputs.keys().isdisjoint(lost)}
    return state._replace(records=records)


def save(path: Path, state: State) -> None:
    """Writes the state beside its place, then puts it there in one step."""
    body = "".join(f"{r.line or _line(r)}\n{r.card_text}\n" for r in state.records.values()).encode()
    head = state.head
    text = _json(
        {
            **{name: getattr(head, name) for name in Head.__slots__},
            "warnings": _plain(head.warnings),
            "shared_outputs": state.shared_outputs,
            "shared_needs": state.shared_needs,
            "shared_inputs": state.shared_inputs,
            "shared_warnings": _plain(state.shared_warnings),
            "body": _digest(body),
        }
    ).encode()
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_suffix(".next")
    with beside.open("wb") as file:
        file.write(_first(text) + text + b"\n")
        file.write(body)
    beside.replace(path)


def _read_head(first: bytes, second: bytes) -> tuple[Head, dict[str, Any]] | None:
    """The head and what else its line says; None when the two first lines do not fit each other."""
    text = second.removesuffix(b"\n")
    if first != _first(text):
        return None
    try:
        data = json.loads(text)
        values = {name: data[name] for name in Head.__slots__}
        return Head(**{**values, "warnings": tuple(map(_problem, data["warnings"]))}), data
    except (ValueError, KeyError, TypeError):
        return None


def _first(head: bytes) -> bytes:
    return f"gramwright state {FORMAT} {_digest(head)}\n".encode()


def _digest(data: bytes) -> str:
    return hashlib.blake2b(data, digest_size=16).hexdigest()


def _json(data: object) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def _line(record: Record) -> str:
    return _json(
        [
            record.file,
            record.stamp,
            record.slug,
            record.source,
            record.needs,
            record.asked,
            record.inner,
            record.links,
            record.outputs,
            _plain(record.warnings),
            record.photo,
        ]
    )


def _record(fields: list[Any], line: str, card: str) -> Record:
    file, (size, time), slug, source, needs, asked, inner, links, outputs, warnings, photo = fields
    return Record(
        file=file,
        stamp=(int(size), int(time)),
        slug=slug,
        source=source,
        needs=needs,
        asked=tuple(asked),
        inner=tuple(inner),
        links=tuple(links),
        card_text=card,
        outputs=outputs,
        warnings=tuple([_problem(each) for each in warnings]),
        photo=photo,
        line=line,
    )


def _plain(problems: Sequence[Problem]) -> list[list[Any]]:
    return [
        [each.severity, each.code, each.message, each.hint, each.place.file, each.place.line, each.place.column]
        for each in problems
    ]


def _problem(data: list[Any]) -> Problem:
    severity, code, message, hint, file, line, column = data
    return Problem(Severity(severity), code, message, hint, Place(file, int(line), int(column)))
