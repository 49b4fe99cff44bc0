"""Where the shipped knowledge lies. Takes a name, gives a path; works from a checkout and from an installed wheel."""

from __future__ import annotations

from functools import cache
from pathlib import Path

_HERE = Path(__file__).resolve().parent


@cache
def content() -> Path:
    """The folder of shipped tables and rule sets."""
    return _folder("content")


@cache
def themes() -> Path:
    """The folder of built-in themes."""
    return _folder("themes")


def _folder(name: str) -> Path:
    """In a wheel the folder lies inside the package (pyproject force-include); in a checkout two levels up."""
    for candidate in (_HERE / "shipped" / name, _HERE.parent.parent / name):
        if candidate.is_dir():
            return candidate
    raise FileNotFoundError(f"the shipped folder '{name}' is missing beside {_HERE}; install the package again")
