"""Takes the shipped tables in content/, gives their foods and measures."""

from __future__ import annotations

from pathlib import Path

from gramwright import resources
from gramwright.model import Food
from gramwright.problems import Problem, ProblemLog
from gramwright.reading import files
from gramwright.reading.tables import MeasureLine, read_foods, read_measures
from gramwright.reading.vocabulary import Vocabulary

Shipped = tuple[list[Food], list[MeasureLine]]

_read: dict[tuple[tuple[str, int, int], ...], tuple[Shipped, list[Problem]]] = {}
"""What was read in this process, by name, size and time of the tables."""


def load_shipped(vocabulary: Vocabulary, log: ProblemLog) -> Shipped:
    """Every shipped food and measure, by file name and line; problems stand under "content/...". Read once."""
    stamp = tuple(
        (str(path), path.stat().st_size, path.stat().st_mtime_ns)
        for folder in ("foods", "measures")
        for path in sorted((resources.content() / folder).glob("*.csv"))
    )
    known = _read.get(stamp)
    if known is None:
        mine = ProblemLog()
        foods: list[Food] = []
        measures: list[MeasureLine] = []
        for name, text in _texts("foods", mine):
            foods += read_foods(text, name, mine, vocabulary)
        for name, text in _texts("measures", mine):
            measures += read_measures(text, name, mine)
        _read.clear()
        known = _read[stamp] = ((foods, measures), list(mine))
    log.extend(known[1])
    return known[0]


def _texts(folder: str, log: ProblemLog) -> list[tuple[str, str]]:
    """(name for problems, text) of each table of a shipped folder, by file name."""
    found: list[tuple[str, str]] = []
    root: Path = resources.content() / folder
    for path in sorted(root.glob("*.csv")):
        name = f"content/{folder}/{path.name}"
        text = files.read(path, name, log)
        if text is not None:
            found.append((name, text))
    return found
