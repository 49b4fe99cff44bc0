"""Takes a YAML mapping and a key, gives its value as a text, number, list ...; what does not fit is a located problem.

Used by every reader of a mapping: hub settings, front matter, ingredient rows.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from datetime import date
from typing import TypeVar

from gramwright.problems import Place, ProblemLog, Trouble, near
from gramwright.reading.amounts import parse_number
from gramwright.reading.yaml_nodes import Mapping, Node, Scalar, Sequence, described, short

T = TypeVar("T")

MOST_TOLD = 20
"""Unknown keys of one mapping that are told apart; more are no slips."""

_MARKUP = re.compile(r"<[a-zA-Z/!?]")
_YES = {"true", "yes", "on"}
_NO = {"false", "no", "off"}


class Fields:
    """The keys of one mapping. Every getter gives None (or the empty value) after it logged a problem."""

    __slots__ = ("entries", "file", "log", "mapping")

    def __init__(self, mapping: Mapping, file: str, log: ProblemLog) -> None:
        self.mapping = mapping
        self.entries = mapping.entries
        self.file = file
        self.log = log

    def place(self, node: Node) -> Place:
        return Place(self.file, node.line, node.column)

    def problem(self, node: Node, code: str, message: str, hint: str = "") -> None:
        self.log.error(Place(self.file, node.line, node.column), code, message, hint)

    def only(self, known: Collection[str], what: str, meant: dict[str, str] | None = None) -> None:
        """A key that is not known is a problem with the nearest known one; `meant`: other names -> the key."""
        strange = [(name, key) for name, (key, _) in self.entries.items() if name not in known]
        for name, key in strange[:MOST_TOLD]:
            self.unknown(name, key, known, what, meant)

    def unknown(
        self,
        name: str,
        key: Scalar,
        known: Collection[str],
        what: str,
        meant: dict[str, str] | None = None,
    ) -> None:
        lowered = name.strip().lower()[:60].replace(" ", "_").replace("-", "_")
        lowered = (meant or {}).get(lowered.replace("_", ""), lowered)
        close = [lowered] if lowered in known else near(lowered, known, 1)
        hint = f"did you mean '{close[0]}'?" if close else f"known are: {', '.join(known)}"
        self.problem(key, "unknown-key", f"expected a key of {what}, found '{short(name)}'", hint)

    def node(self, key: str) -> Node | None:
        """The value of a key, None when it is absent or nothing is written after the colon."""
        entry = self.entries.get(key)
        if entry is None:
            return None
        node = entry[1]
        return None if type(node) is Scalar and node.empty else node

    def scalar(self, key: str, expected: str) -> Scalar | None:
        node = self.node(key)
        if node is None or isinstance(node, Scalar):
            return node
        self.problem(
            node,
            "wrong-type",
            f"expected {expected} for '{key}', found {described(node)}",
            f"write {expected} after '{key}:', without brackets or braces",
        )
        return None

    def text(self, key: str, most: int = 500) -> str:
        """Plain text on one line; '' when absent."""
        if key not in self.entries:
            return ""
        node = self.scalar(key, "a text")
        return "" if node is None else self.plain(node, f"'{key}'", most)

    def plain(self, node: Scalar, what: str, most: int = 500) -> str:
        """A text without markup, its white space folded."""
        text = node.text.strip()
        if not text.isprintable():
            text = " ".join(text.split())
        if "<" in text and _MARKUP.search(text):
            self.problem(
                node,
                "markup",
                f"expected plain text for {what}, found the markup '{short(text)}'",
                "write it without tags; only the introduction and the method are Markdown",
            )
            return ""
        if len(text) > most:
            self.problem(
                node, "too-long", f"expected at most {most} characters for {what}, found {len(text)}", "shorten it"
            )
            return ""
        return text

    def parsed(self, key: str, parse: Callable[[str], T], expected: str) -> T | None:
        """The value through a parser that raises Trouble."""
        if key not in self.entries:
            return None
        node = self.scalar(key, expected)
        if node is None:
            return None
        try:
            return parse(node.text)
        except Trouble as trouble:
            self.log.add(
                Trouble(trouble.code, f"{key}: {trouble.message}", trouble.hint, trouble.severity).at(self.place(node))
            )
            return None

    def number(self, key: str, least: float, most: float, hint: str = "", above: bool = False) -> float | None:
        """A number from `least` to `most` (above `least` when `above`)."""
        value = self.parsed(key, parse_number, "a number") if key in self.entries else None
        if value is None:
            return None
        if value > most or value < least or (above and value == least):
            node = self.entries[key][1]
            bound = f"above {least:g}, at most {most:g}" if above else f"from {least:g} to {most:g}"
            self.problem(
                node, "out-of-range", f"expected '{key}' {bound}, found {described(node)}", hint or "check the number"
            )
            return None
        return value

    def flag(self, key: str) -> bool:
        """yes/no; absent means no."""
        if key not in self.entries:
            return False
        node = self.scalar(key, "yes or no")
        if node is None:
            return False
        word = node.text.strip().lower()
        if word not in _YES | _NO:
            self.problem(
                node, "wrong-type", f"expected yes or no for '{key}', found {described(node)}", f"write {key}: yes"
            )
        return word in _YES

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts; a single text may stand without brackets and be divided by commas."""
        node = self.node(key) if key in self.entries else None
        if node is None:
            return ()
        if isinstance(node, Scalar):
            return tuple(piece.strip() for piece in self.plain(node, f"'{key}'").split(",") if piece.strip())
        if not isinstance(node, Sequence):
            self.problem(
                node, "wrong-type", f"expected a list for '{key}', found {described(node)}", f"write {key}: [one, two]"
            )
            return ()
        found: dict[str, None] = {}
        for item in node.items:
            if not isinstance(item, Scalar) or item.empty:
                self.problem(
                    item,
                    "wrong-type",
                    f"expected a text in the list '{key}', found {described(item)}",
                    f"write {key}: [one, two]",
                )
                continue
            text = self.plain(item, f"'{key}'")
            if text in found:
                self.problem(item, "duplicate-item", f"expected '{text}' once in '{key}', found it twice", "delete one")
            elif text:
                found[text] = None
        return tuple(found)

    def choice(self, key: str, choices: Collection[str], default: str) -> str:
        if key not in self.entries:
            return default
        node = self.scalar(key, "a word")
        if node is None:
            return default
        word = node.text.strip().lower()
        if word in choices:
            return word
        close = near(word, choices, 1)
        self.problem(
            node,
            "unknown-choice",
            f"expected one of {', '.join(choices)} for '{key}', found {described(node)}",
            f"did you mean '{close[0]}'?" if close else f"write one of: {', '.join(choices)}",
        )
        return default

    def iso_date(self, key: str) -> str:
        """A date as YYYY-MM-DD; '' when absent."""
        return self.parsed(key, parse_date, "a date") or ""


def parse_date(text: str) -> str:
    """An ISO date 'YYYY-MM-DD' that exists. Raises Trouble 'bad-date'."""
    bare = text.strip()
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", bare, re.ASCII):
        try:
            return date.fromisoformat(bare).isoformat()
        except ValueError as error:
            raise Trouble(
                "bad-date", f"expected a date of the calendar, found '{bare}'", "check day and month"
            ) from error
    raise Trouble("bad-date", f"expected a date, found '{short(bare)}'", "write it as 2025-03-31")
