"""Names of a declaration's lines. Takes a rule set's id and the theme's words, gives line key -> name as pages show it.

The law's own English name ("Total Fat", "glycaemic carbohydrate") on English pages, unless the words name the line
for that rule set (`lines.us.fat`); elsewhere, and for the laws whose names the theme's words follow, `lines.fat`.
"Of which" is never part of a name: the line's level says it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from gramwright.labelling import rulesets
from gramwright.site.words import Words

OF_WHICH = "of which "
WORDED = ("eu",)
"""Families of rule sets whose names are the theme's words."""


@lru_cache(maxsize=32)
def line_names(rule_set: str, words: Words) -> Mapping[str, str]:
    """Every line of the rule set, also those that a dish does not list. Raises Trouble 'unknown-rule-set'."""
    rules = rulesets.load(rule_set)
    laws = words.language.partition("-")[0] == "en" and rules.family not in WORDED
    found: dict[str, str] = {}
    for line in rules.lines:
        name = line.name.removeprefix(OF_WHICH)
        if not laws:
            name = words.get(f"lines.{line.key}", name)
        found[line.key] = words.get(f"lines.{rule_set}.{line.key}", name)
    return found
