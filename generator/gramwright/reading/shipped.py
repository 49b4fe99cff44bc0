"""Takes the name of a shipped YAML file, gives its mapping; read once, by the C parser."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import yaml

from gramwright.problems import Trouble
from gramwright.resources import content


@cache
def read_shipped(name: str) -> Mapping[str, Any]:
    """The mapping in content/`name`. Raises Trouble 'broken-content', 'slow-yaml'."""
    loader = getattr(yaml, "CSafeLoader", None)
    if loader is None:
        raise Trouble(
            "slow-yaml",
            "expected PyYAML with its C parser, found it without",
            "install a PyYAML wheel for this platform",
        )
    hint = "install the package again"
    try:
        data = yaml.load((content() / name).read_text(encoding="utf-8"), Loader=loader)  # our own file, safe loader
    except (OSError, UnicodeDecodeError, yaml.YAMLError) as error:
        raise Trouble("broken-content", f"expected readable YAML in content/{name}: {error}", hint) from error
    if not isinstance(data, dict):
        raise Trouble("broken-content", f"expected a mapping in content/{name}, found {type(data).__name__}", hint)
    return data


def numbers(data: Mapping[str, Any], key: str) -> dict[str, float]:
    """A mapping of names to numbers under a key. Raises Trouble 'broken-content'."""
    block = data.get(key)
    if not isinstance(block, dict) or any(
        isinstance(v, bool) or not isinstance(v, (int, float)) for v in block.values()
    ):
        raise Trouble("broken-content", f"expected numbers under '{key}', found {block!r}", "install the package again")
    return {str(name): float(value) for name, value in block.items()}
