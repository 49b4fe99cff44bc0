"""Shipped YAML knowledge -> plain values. Takes a path inside content/, gives what the file says; read once."""

from __future__ import annotations

from functools import cache
from typing import Any

from gramwright.problems import Trouble
from gramwright.resources import content


@cache
def read_yaml(path: str) -> dict[str, Any]:
    """The mapping in content/`path`. Raises Trouble 'slow-yaml' when PyYAML lacks its C parser."""
    import yaml

    if not yaml.__with_libyaml__:
        raise Trouble(
            "slow-yaml",
            "expected PyYAML with its C parser, found it without",
            "install PyYAML from a wheel, or with the libyaml headers present",
        )
    data = yaml.load((content() / path).read_text(encoding="utf-8"), yaml.CSafeLoader)
    if not isinstance(data, dict):
        raise Trouble("shipped-data", f"expected a mapping in content/{path}, found {type(data).__name__}")
    return data


def in_language(texts: Any, language: str) -> str:
    """The text of `language` ('de', 'de-AT'), else the English one."""
    return str(texts.get(language) or texts.get(language.split("-")[0]) or texts["en"])
