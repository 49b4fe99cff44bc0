"""Unit factors that outlive the process. Takes the working folder, gives Pint's factors without importing Pint.

Importing Pint and reading its definitions takes longer than to publish one page. Its factors change with it
only, so a publish leaves them in `<hub>/.gramwright/units.json` under its mark; anything else there is ignored.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from math import isfinite
from pathlib import Path

from gramwright.composition import units
from gramwright.publishing.house import library_marks
from gramwright.publishing.keep_safe import replace_text
from gramwright.publishing.tree import digest

FILE = "units.json"


def recall(working: Path) -> None:
    """Gives the factors of the last publish to this process, if they are of the Pint that is installed."""
    known = _known(working / FILE)
    if known is not None:
        units.prime(known)


def keep(working: Path) -> None:
    """Leaves the factors that this process asked Pint for, unless they are there already."""
    file = working / FILE
    found = units.asked()
    if found and _known(file) != found:
        text = json.dumps({"pint": _mark(), "factors": found})
        replace_text(file, f"{digest(text.encode())}\n{text}")


def _known(file: Path) -> Mapping[str, float] | None:
    try:
        mark, _, text = file.read_text(encoding="utf-8").partition("\n")
        if mark != digest(text.encode()):
            return None
        data = json.loads(text)
        if data["pint"] != _mark():
            return None
        factors = {str(name): float(factor) for name, factor in data["factors"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    return factors if all(isfinite(factor) and factor > 0 for factor in factors.values()) else None


def _mark() -> str:
    return "".join(library_marks(["pint"]))
