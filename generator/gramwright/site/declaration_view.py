"""What stands below a declaration. Takes a label, gives in words what its figures rest on and what they leave open.

The same for the hub's own rule set and for those shown beside it.
"""

from __future__ import annotations

from collections.abc import Iterable

from gramwright.labelling.energy import COMPLETE
from gramwright.model import DeclaredLine, Label, Weight
from gramwright.site.line_names import line_names
from gramwright.site.words import Words

MOST = 0.99
"""What is known in part is never said to be known for 100 %."""

BASIS = {
    Weight.MEASURED: "declaration.finished_measured",
    Weight.FACTOR: "declaration.finished_factor",
    Weight.TYPICAL: "declaration.finished_typical",
    Weight.UNKNOWN: "declaration.finished_unknown",
}
"""How per 100 g is known -> the words for it."""


def coverage(label: Label, lines: Iterable[DeclaredLine], words: Words) -> str:
    """Which lines are known for a part of the weight only, and for how much; ''."""
    names = line_names(label.rule_set, words)
    told = [
        words("doubt.coverage_line", name=names.get(line.key, line.key), share=words.percent(min(share, MOST)))
        for line in lines
        if line.tag in label.per_portion and (share := label.per_portion[line.tag].coverage) < COMPLETE
    ]
    return words("doubt.coverage", lines=", ".join(told)) if told else ""


def to_taste(label: Label, lines: Iterable[DeclaredLine], words: Words) -> str:
    """Which lines leave out salt that is added to taste; ''."""
    names = line_names(label.rule_set, words)
    left_out = [names.get(line.key, line.key) for line in lines if line.tag in label.to_taste]
    return words("declaration.to_taste", lines=", ".join(left_out)) if left_out else ""
