"""Rule sets by id. Takes 'eu', 'uk', 'us', 'anz', 'za' or 'codex', gives a RuleSet read from content/labelling/."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from gramwright import resources
from gramwright.labelling.rules_model import RuleSet
from gramwright.labelling.ruleset_reader import read_rules
from gramwright.labelling.shipped_data import read_yaml
from gramwright.labelling.strict import bad
from gramwright.problems import Trouble, near

__all__ = ["RuleSet", "available", "load"]


@cache
def available() -> tuple[str, ...]:
    """The ids of the shipped rule sets, sorted."""
    return tuple(sorted(path.stem for path in _folder().glob("*.yaml")))


@cache
def load(rule_set: str, language: str = "en") -> RuleSet:
    """A rule set that speaks a language, read once a process. Raises Trouble 'unknown-rule-set' with the nearest ids.

    Its figures, and the names that pages ask for claims by, are the same in every language.
    """
    if rule_set not in available():
        close = near(rule_set.lower(), available(), most=2)
        raise Trouble(
            "unknown-rule-set",
            f"expected a rule set among {', '.join(available())}, found '{rule_set}'",
            f"did you mean {' or '.join(close)}?" if close else "'eu' is the European Union's, 'us' the United States'",
        )
    data = _data(rule_set)
    base = data.pop("based_on", None)
    if base is None:
        return read_rules(data, rule_set, language)
    if base not in available() or base == rule_set:
        raise bad(rule_set, f"expected based_on: another rule set, found '{base}'")
    whole = _data(str(base))
    if "based_on" in whole:
        raise bad(rule_set, f"expected a base that stands by itself, found '{base}'")
    sources = {**whole["sources"], **data.pop("sources", {})}
    return read_rules({**whole, **data, "sources": sources}, str(base), language)


def _folder() -> Path:
    return resources.content() / "labelling"


def _data(rule_set: str) -> dict[str, Any]:
    data = dict(read_yaml(f"labelling/{rule_set}.yaml"))
    if data.get("id") != rule_set:
        raise bad(rule_set, f"expected id: {rule_set}, found '{data.get('id')}'")
    return data
