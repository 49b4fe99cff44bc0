"""Located problems: the only vocabulary of errors. Imports nothing inside.

Code that finds something wrong says it in one of two ways:

* it *raises* `Trouble` (no place yet) where it cannot go on; whoever knows the
  place turns it into a `Problem` with `ProblemLog.add(trouble.at(place))`;
* it *adds* a `Problem` to the `ProblemLog` it was given and goes on, so that
  one run lists everything that is wrong.

A message says what was expected and what was found; a hint says a way out.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any


class Severity(StrEnum):
    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where something was written: a file inside the hub, line and column from 1 (0: the whole file)."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        if not self.line:
            return self.file
        return f"{self.file}:{self.line}" + (f":{self.column}" if self.column else "")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, where it is, and a way out."""

    severity: Severity
    code: str
    message: str
    hint: str
    place: Place

    def as_json(self) -> dict[str, Any]:
        return {
            "severity": self.severity.value,
            "code": self.code,
            "message": self.message,
            "hint": self.hint,
            "file": self.place.file,
            "line": self.place.line,
            "column": self.place.column,
        }


class Trouble(Exception):
    """Something wrong, raised by code that does not know the file and line."""

    def __init__(self, code: str, message: str, hint: str = "", severity: Severity = Severity.ERROR) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.hint = hint
        self.severity = severity

    def __reduce__(self) -> tuple[type[Trouble], tuple[str, str, str, Severity]]:
        """It travels whole out of a worker process."""
        return type(self), (self.code, self.message, self.hint, self.severity)

    def at(self, place: Place) -> Problem:
        return Problem(self.severity, self.code, self.message, self.hint, place)


@dataclass(slots=True)
class ProblemLog:
    """Collects problems in the order found; `sorted()` gives them by place."""

    problems: list[Problem] = field(default_factory=list)

    def add(self, problem: Problem) -> None:
        self.problems.append(problem)

    def error(self, place: Place, code: str, message: str, hint: str = "") -> None:
        self.problems.append(Problem(Severity.ERROR, code, message, hint, place))

    def warn(self, place: Place, code: str, message: str, hint: str = "") -> None:
        self.problems.append(Problem(Severity.WARNING, code, message, hint, place))

    def extend(self, problems: Iterable[Problem]) -> None:
        self.problems.extend(problems)

    @property
    def has_errors(self) -> bool:
        return any(problem.severity is Severity.ERROR for problem in self.problems)

    def sorted(self) -> list[Problem]:
        """By place, exact repeats once."""
        return sorted(set(self.problems), key=lambda p: (p.place, p.code, p.message))

    def __iter__(self) -> Iterator[Problem]:
        return iter(self.problems)

    def __len__(self) -> int:
        return len(self.problems)


def near(name: str, known: Iterable[str], most: int = 4) -> list[str]:
    """The known names closest to a mistyped one, best first."""
    return difflib.get_close_matches(name, list(known), n=most, cutoff=0.6)


def either(names: Iterable[str]) -> str:
    """'a', 'a or b', 'a, b or c' for messages."""
    listed = list(names)
    if len(listed) < 2:
        return "".join(listed)
    return ", ".join(listed[:-1]) + " or " + listed[-1]
