"""Reads a file of tests/reading/broken with the reader of its folder."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from gramwright.problems import ProblemLog
from gramwright.reading import files, pages, settings, tables, vocabulary

BROKEN = Path(__file__).parent / "broken"
TODAY = date(2026, 1, 15)


def read_broken(path: Path) -> tuple[ProblemLog, object]:
    """The problems of a broken file, and what was read in spite of them."""
    log = ProblemLog()
    text = files.read(path, path.name, log)
    if text is None:
        return log, None
    folder = path.relative_to(BROKEN).parts[0]
    if folder == "pages":
        return log, pages.read_page(text, path.name, log)
    if folder == "hubs":
        return log, settings.read_settings(text, path.name, log)
    if folder == "foods":
        return log, tables.read_foods(text, path.name, log, vocabulary.load(), today=TODAY)
    return log, tables.read_measures(text, path.name, log)
