"""Remembers schedules between publishes: the best order of a session takes seconds to find and is the same next time.

A schedule is kept in the hub's working folder under the digest of everything it is made from: the batches with their
steps, the kitchen, the solver's version and the scheduler's code. What is not asked for in a publish is forgotten.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from gramwright.model import Gear
from gramwright.model.steps import Batch, Lane, Schedule, Task
from gramwright.prep import solver
from gramwright.prep.schedule import schedule
from gramwright.problems import ProblemLog
from gramwright.publishing.keep_safe import replace_text

FILE = "schedules.json"


@dataclass(slots=True)
class ScheduleMemory:
    """Schedules by digest; a scheduler as prep.made asks for one."""

    path: Path
    mark: str
    """Changes with the scheduler's own code."""
    known: dict[str, Any] = field(default_factory=dict)
    asked: dict[str, Any] = field(default_factory=dict)

    @classmethod
    def open(cls, working: Path) -> ScheduleMemory:
        """What the last publish knew; nothing where its file cannot be read."""
        path = working / FILE
        try:
            known = json.loads(path.read_bytes())
        except (OSError, ValueError):
            known = {}
        return cls(path, _program(), known if isinstance(known, dict) else {})

    def __call__(self, batches: Sequence[Batch], gear: Gear, log: ProblemLog) -> Schedule | None:
        """The schedule, from memory where nothing it is made from has changed and nothing is said of it."""
        made_from = repr((self.mark, solver.version(), tuple(batches), gear))
        key = hashlib.blake2b(made_from.encode(), digest_size=16).hexdigest()
        if key in self.known:
            self.asked[key] = self.known[key]
            return _schedule(self.known[key])
        before = len(log)
        found = schedule(batches, gear, log)
        if found is not None and len(log) == before:
            self.asked[key] = asdict(found)
        return found

    def save(self) -> None:
        """Writes what was asked for, where that differs from what is written."""
        if self.asked == self.known:
            return
        replace_text(self.path, json.dumps(self.asked))


def _program() -> str:
    """A digest of the code that makes schedules."""
    folder = Path(solver.__file__).parent
    whole = hashlib.blake2b(digest_size=16)
    for path in sorted([*folder.glob("schedule*.py"), folder / "solver.py"]):
        whole.update(path.read_bytes())
    return whole.hexdigest()


def _schedule(data: dict[str, Any]) -> Schedule:
    tasks = tuple(
        Task(**{**task, "lanes": tuple(task["lanes"]), "after": tuple(task["after"])}) for task in data["tasks"]
    )
    lanes = tuple(Lane(**lane) for lane in data["lanes"])
    return Schedule(**{**data, "tasks": tasks, "lanes": lanes, "missing": tuple(data["missing"])})
