"""Where compiled templates outlive the process. Takes the working folder and the house digest, gives a folder.

What a template is compiled to depends on the template engine, the theme's files and words and the settings: all of
that is in the house digest, so each house has a folder of its own and the others are cleared away.
"""

from __future__ import annotations

import shutil
from pathlib import Path

FOLDER = "templates"


def folder(working: Path, house: str) -> Path:
    return working / FOLDER / house


def forget_others(working: Path, house: str) -> None:
    """Removes the templates of every other house; what cannot be removed is in nobody's way."""
    parent = working / FOLDER
    if not parent.is_dir():
        return
    for entry in parent.iterdir():
        if entry.name != house:
            shutil.rmtree(entry, ignore_errors=True)
