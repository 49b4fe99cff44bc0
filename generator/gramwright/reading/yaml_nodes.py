"""Takes YAML text, gives plain nodes that know their line and column. Anchors, aliases and tags are refused.

The events come from libyaml. Everything a page says is kept as text: what a
field means (a number, a date, yes or no) is decided by the field, not by YAML's
guesses ("no" stays a word, "1:30" stays a time).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from gramwright.problems import Place, ProblemLog, Trouble

try:
    from yaml._yaml import CParser
except ImportError as missing:
    raise ImportError(
        "PyYAML was installed without its C part (libyaml), and the pure-Python loader is many times slower; "
        "install a PyYAML wheel for this platform: pip install --force-reinstall --only-binary :all: pyyaml"
    ) from missing

DEEPEST = 12
"""Levels of lists and mappings inside each other; no page needs more than six."""


class Scalar:
    """A text. `plain` is false when it was quoted or a block; `empty` when nothing was written."""

    __slots__ = ("column", "line", "plain", "text")

    def __init__(self, text: str, line: int, column: int, plain: bool) -> None:
        self.text = text
        self.line = line
        self.column = column
        self.plain = plain

    @property
    def empty(self) -> bool:
        return self.plain and self.text in ("", "~", "null", "Null", "NULL")


class Sequence:
    """A list of nodes."""

    __slots__ = ("column", "items", "line")

    def __init__(self, items: list[Node], line: int, column: int) -> None:
        self.items = items
        self.line = line
        self.column = column


class Mapping:
    """Keys with their nodes, in the order written; every key once."""

    __slots__ = ("column", "entries", "line")

    def __init__(self, entries: dict[str, tuple[Scalar, Node]], line: int, column: int) -> None:
        self.entries = entries
        self.line = line
        self.column = column

    def get(self, key: str) -> Node | None:
        entry = self.entries.get(key)
        return None if entry is None else entry[1]

    def items(self) -> Iterator[tuple[str, Scalar, Node]]:
        for name, (key, node) in self.entries.items():
            yield name, key, node


Node = Scalar | Sequence | Mapping

WORDS = {Scalar: "a text", Sequence: "a list", Mapping: "a mapping"}


def described(node: Node) -> str:
    """What was found, for a message."""
    if isinstance(node, Scalar):
        return "nothing" if node.empty else f"'{short(node.text)}'"
    return WORDS[type(node)]


def short(text: str, most: int = 60) -> str:
    """A text fit for a message: on one line, not too long."""
    flat = " ".join(text.split())
    return flat if len(flat) <= most else flat[: most - 1] + "…"


class _Stop(Exception):
    """The fragment cannot be read further; its problem is logged."""


def parse(text: str, file: str, log: ProblemLog, first_line: int = 1) -> Node | None:
    """Reads one YAML document that starts in line `first_line` of `file`.

    Gives None for an empty document, and where reading had to stop; what is
    wrong is logged, so look at the log before using the nodes.
    """
    parser = CParser(text)
    try:
        return _Walker(parser, file, log, first_line).document()
    except yaml.YAMLError as error:
        log.add(_yaml_trouble(error, text).at(_error_place(error, file, first_line)))
    except _Stop:
        pass
    finally:
        parser.dispose()
    return None


class _Walker:
    __slots__ = ("file", "log", "next", "offset")

    def __init__(self, parser: CParser, file: str, log: ProblemLog, first_line: int) -> None:
        self.next: Callable[[], Any] = parser.get_event
        self.file = file
        self.log = log
        self.offset = first_line

    def document(self) -> Node | None:
        self.next()
        event = self.next()
        if not isinstance(event, DocumentStartEvent):
            return None
        node = self.node(self.next(), 0)
        self.next()
        event = self.next()
        if isinstance(event, DocumentStartEvent):
            self.problem(
                event,
                "yaml-two-documents",
                "expected one YAML document, found a second one ('---')",
                "delete the line with the three dashes",
            )
        return node

    def node(self, event: Any, depth: int) -> Node:
        kind = type(event)
        if kind is AliasEvent:
            self.problem(
                event,
                "yaml-alias",
                f"expected a value, found the alias *{event.anchor}",
                "aliases are not read here; write the value out",
            )
            raise _Stop
        if event.anchor is not None:
            self.problem(
                event,
                "yaml-alias",
                f"expected a value, found the anchor &{event.anchor}",
                "anchors are not read here; delete it and write the value out where it is needed",
            )
            raise _Stop
        if event.tag is not None:
            self.problem(
                event,
                "yaml-tag",
                f"expected a plain value, found the tag '{short(event.tag)}'",
                "delete the tag; a text that starts with '!' needs quotes",
            )
        mark: Any = event.start_mark
        line, column = mark.line + self.offset, mark.column + 1
        if kind is ScalarEvent:
            return Scalar(event.value, line, column, not event.style)
        if depth >= DEEPEST:
            self.problem(
                event,
                "yaml-too-deep",
                f"expected at most {DEEPEST} levels, found lists or mappings nested deeper",
                "close the brackets; a page needs few levels",
            )
            raise _Stop
        if kind is SequenceStartEvent:
            return self.sequence(line, column, depth + 1)
        if kind is MappingStartEvent:
            return self.mapping(line, column, depth + 1)
        raise _Stop  # libyaml sends no other event here

    def sequence(self, line: int, column: int, depth: int) -> Sequence:
        items: list[Node] = []
        following, offset = self.next, self.offset
        event = following()
        while type(event) is not SequenceEndEvent:
            if type(event) is ScalarEvent and event.anchor is None and event.tag is None:
                mark: Any = event.start_mark
                items.append(Scalar(event.value, mark.line + offset, mark.column + 1, not event.style))
            else:
                items.append(self.node(event, depth))
            event = following()
        return Sequence(items, line, column)

    def mapping(self, line: int, column: int, depth: int) -> Mapping:
        entries: dict[str, tuple[Scalar, Node]] = {}
        following, offset = self.next, self.offset
        event = following()
        while type(event) is not MappingEndEvent:
            key: Node
            value: Node
            if type(event) is ScalarEvent and event.anchor is None and event.tag is None:
                mark: Any = event.start_mark
                key = Scalar(event.value, mark.line + offset, mark.column + 1, not event.style)
            else:
                key = self.node(event, depth)
            content = following()
            if type(content) is ScalarEvent and content.anchor is None and content.tag is None:
                mark = content.start_mark
                value = Scalar(content.value, mark.line + offset, mark.column + 1, not content.style)
            else:
                value = self.node(content, depth)
            if not isinstance(key, Scalar):
                self.problem(
                    event,
                    "yaml-key",
                    f"expected a name before the colon, found {described(key)}",
                    "a text with brackets or braces needs quotes",
                )
            elif key.text in entries:
                first = entries[key.text][0]
                self.problem(
                    event,
                    "yaml-duplicate-key",
                    f"expected '{short(key.text)}' once, found it again (first in line {first.line})",
                    "keep one of the two",
                )
            else:
                entries[key.text] = (key, value)
            event = following()
        return Mapping(entries, line, column)

    def problem(self, event: Any, code: str, message: str, hint: str) -> None:
        mark: Any = event.start_mark
        self.log.error(Place(self.file, mark.line + self.offset, mark.column + 1), code, message, hint)


def _error_place(error: yaml.YAMLError, file: str, first_line: int) -> Place:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    if mark is None:
        return Place(file, first_line, 1)
    return Place(file, mark.line + first_line, mark.column + 1)


_OURS = {
    "did not find expected ',' or ']'": ("',' or ']' in a list in square brackets", "close the list with ']'"),
    "did not find expected ',' or '}'": ("',' or '}' in a mapping in braces", "close the mapping with '}'"),
    "did not find expected key": (
        "a key in line with the keys above it",
        "check the indentation and the quotes of this line and the one above",
    ),
    "did not find expected '-' indicator": (
        "'- ' in line with the rows above it",
        "check the indentation of this line and the one above",
    ),
    "mapping values are not allowed in this context": (
        "no ': ' inside a text",
        "put the text in quotes, or write a note after ';' instead of ':'",
    ),
    "could not find expected ':'": ("': ' after a key", "write 'key: value', with a space after the colon"),
    "found unexpected end of stream": ("a closing quote", "a quote is opened and never closed"),
    "found character that cannot start any token": (
        "spaces to indent with, and quotes around a text that starts with @, ` or %",
        "replace tabs by spaces; put the text in quotes",
    ),
    "block sequence entries are not allowed in this context": (
        "the list on lines of its own",
        "start the first '- ' on a new line, indented",
    ),
    "did not find expected node content": ("a value", "delete the comma or bracket that is too many"),
    "found undefined tag handle": ("a plain value", "a text that starts with '!' needs quotes"),
    "control characters are not allowed": ("text", "delete the control character"),
}


def _yaml_trouble(error: yaml.YAMLError, text: str) -> Trouble:
    """The parser's complaint in our words: what was expected, what stands there, a way out."""
    said = str(getattr(error, "problem", "") or "unreadable text")
    expected, hint = _OURS.get(said, ("readable YAML", f"the YAML reader says: {said}"))
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    found = "the end of the text"
    lines = re.split("\n", text)
    if mark is not None and mark.line < len(lines) and lines[mark.line][mark.column :].strip():
        found = f"'{short(lines[mark.line][mark.column :], 30)}'"
    context = getattr(error, "context_mark", None)
    if context is not None and mark is not None and context.line != mark.line:
        opened = lines[context.line].strip() if context.line < len(lines) else ""
        hint += f" (what it belongs to starts with '{short(opened, 30)}')"
    return Trouble("yaml", f"expected {expected}, found {found}", hint)
