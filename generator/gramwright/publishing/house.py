"""Takes a kitchen's ingredients of every page alike, gives one digest: program, shipped knowledge, theme, settings.

What only some pages depend on (foods, measures, other recipes) is told apart page by page instead.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterable, Iterator
from datetime import date
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from gramwright import __version__
from gramwright.labelling.packs import pack_state
from gramwright.model import Food, Settings
from gramwright.publishing.hub import HubFiles
from gramwright.resources import content, themes

_TABLES = ("foods", "measures")
"""Shipped folders that pages depend on line by line, not as a whole."""
LIBRARIES = {
    "jinja2": "jinja2",
    "markupsafe": "markupsafe",
    "markdown_it": "markdown-it-py",
    "mdurl": "mdurl",
    "PIL": "pillow",
    "pint": "pint",
    "yaml": "pyyaml",
    "fontpkg_eb_garamond": "fontpkg-eb-garamond",
    "fontpkg_source_sans_3": "fontpkg-source-sans-3",
}
"""Packages that pages are made with -> the distributions that bring them."""


def house_digest(hub: HubFiles) -> str:
    """Changes when the program, a shipped rule, the theme, the words or the settings change (by size and time)."""
    whole = hashlib.blake2b(digest_size=16)
    whole.update(__version__.encode())
    for line in _program_lines():
        whole.update(line.encode())
    for name, stamp in hub.stamps.items():
        if name == "hub.yaml" or name.startswith("theme/"):
            whole.update(f"{name}\0{stamp}\n".encode())
    whole.update(b"plans" if hub.under("plans") else b"")
    return whole.hexdigest()


@lru_cache(maxsize=1)
def _program_lines() -> tuple[str, ...]:
    package = Path(__file__).resolve().parent.parent
    lines = [sys.version, *library_marks(), *_stats(package), *_stats(themes())]
    for entry in sorted(content().iterdir()):
        if entry.is_dir() and entry.name not in _TABLES:
            lines.extend(_stats(entry))
    return tuple(lines)


def library_marks(names: Iterable[str] = LIBRARIES) -> tuple[str, ...]:
    """Changes with what is installed of some packages: their first files by size and time; nothing is imported."""
    marks = []
    for name in names:
        found = find_spec(name)
        if found is not None and found.origin is not None:
            stat = Path(found.origin).stat()
            marks.append(f"{name}\0{stat.st_size}\0{stat.st_mtime_ns}\n")
    return tuple(marks)


def _stats(folder: Path) -> Iterator[str]:
    found: list[str] = []
    for inside, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if name not in {"__pycache__", "shipped"}]
        for name in names:
            stat = (Path(inside) / name).stat()
            found.append(f"{inside}/{name}\0{stat.st_size}\0{stat.st_mtime_ns}\n")
    return iter(sorted(found))


def tables_digest(hub: HubFiles) -> str:
    """Changes when a table that foods and measures come from, shipped or own, changes (by size and time)."""
    whole = hashlib.blake2b(digest_size=16)
    for folder in _TABLES:
        for name in hub.under(folder):
            whole.update(f"{name}\0{hub.stamps[name]}\n".encode())
        for line in _stats(content() / folder):
            whole.update(line.encode())
    return whole.hexdigest()


def food_fingerprint(food: Food, settings: Settings, today: date) -> str:
    """Everything of a food that a page can show or compute with; not where its line stands in the file."""
    parts = [
        food.id,
        food.name,
        food.group,
        food.state,
        repr(food.refuse),
        repr(food.density_g_ml),
        food.source,
        food.source_ref,
        food.quality.value,
        food.updated,
        repr(food.allergens.checked),
        *(f"{tag}={value.amount!r},{value.kind.value},{value.limit!r}" for tag, value in sorted(food.values.items())),
        *(f"+{name}" for name in sorted(food.allergens.contains)),
        *(f"?{name}" for name in sorted(food.allergens.may_contain)),
        *(f"!{name}" for name in sorted(food.allergens.exceptions)),
        *(f"~{name}" for name in sorted(food.kinds)),
        *(f"{m.name}={m.grams!r},{m.volume_ml!r},{m.source}" for m in food.measures),
        *(f"{name}:{text}" for name, text in sorted(food.extra.items())),
        f"pack={pack_state(food.quality, food.updated, settings.pack_months, today).value}",
    ]
    return hashlib.blake2b("\0".join(parts).encode(), digest_size=16).hexdigest()
