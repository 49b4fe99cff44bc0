"""Reads the room's shipped YAML and CSV. Takes a name under content/, gives plain data; raises Trouble."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from typing import Any

import yaml

from gramwright.problems import Trouble
from gramwright.resources import content


def read_text(name: str) -> str:
    """The text of a shipped file. Raises Trouble 'missing-content' or 'not-utf8'."""
    path = content() / name
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise Trouble(
            "not-utf8",
            f"expected UTF-8 text, found a byte that is not at position {error.start}",
            "Save the file as UTF-8.",
        ) from error
    except OSError as error:
        raise Trouble(
            "missing-content",
            f"expected the shipped file content/{name}, found none that can be read ({error.strerror})",
            "Install the package again.",
        ) from error


def read_yaml(name: str) -> Mapping[str, Any]:
    """A shipped YAML mapping, by the C parser. Raises Trouble 'broken-content'."""
    text = read_text(name)
    loader = getattr(yaml, "CSafeLoader", None)
    if loader is None:
        raise Trouble(
            "slow-yaml",
            "expected PyYAML with its C parser, found the pure-Python one",
            "Install a PyYAML wheel, or build it with libyaml.",
        )
    try:
        data = yaml.load(text, Loader=loader)  # a safe loader of our own shipped file
    except yaml.YAMLError as error:
        raise Trouble("broken-content", f"content/{name} is not YAML: {error}", "Install the package again.") from error
    if not isinstance(data, dict):
        raise Trouble("broken-content", f"expected a mapping in content/{name}", "Install the package again.")
    return data


def read_csv(name: str) -> tuple[list[str], list[tuple[int, dict[str, str]]]]:
    """A shipped CSV: its header, and each line's number with its cells. Lines that start with # are remarks."""
    numbered = [
        (number, line)
        for number, line in enumerate(read_text(name).splitlines(), start=1)
        if line.strip() and not line.startswith("#")
    ]
    if not numbered:
        raise Trouble("broken-content", f"expected a header line in content/{name}, found none", "")
    table = csv.reader(line for _, line in numbered)
    header = [cell.strip() for cell in next(table)]
    rows = [
        (number, {key: cell.strip() for key, cell in zip(header, cells, strict=False)})
        for (number, _), cells in zip(numbered[1:], table, strict=True)
    ]
    return header, rows


def number(cells: Mapping[str, Any], key: str, where: str) -> float:
    """A finite number of a shipped table. Raises Trouble 'broken-content'."""
    try:
        found = float(cells[key])
    except (KeyError, TypeError, ValueError) as error:
        raise Trouble(
            "broken-content", f"expected a number for '{key}' of {where}, found {cells.get(key)!r}", ""
        ) from error
    if not -1e12 < found < 1e12:
        raise Trouble("broken-content", f"expected a finite number for '{key}' of {where}, found {found}", "")
    return found
