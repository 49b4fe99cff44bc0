"""The figures as a table. Takes a dish and its label, gives facts.csv: one line a component, numbers unrounded.

Columns: component (a tag with its unit), per_portion, low, high, per_100g, coverage, declared_per_portion,
declared_per_100g, share, at_least. A cell is empty where nothing is known; `at_least` is "yes" where a row's value is
not known or something is salted to taste, else empty. What facts.json says, for a spreadsheet.
"""

from __future__ import annotations

from gramwright.labelling.energy import COMPLETE
from gramwright.model import Dish, Label
from gramwright.site.facts import in_order

HEADER = "component,per_portion,low,high,per_100g,coverage,declared_per_portion,declared_per_100g,share,at_least"


def encode(dish: Dish, label: Label) -> bytes:
    """facts.csv as bytes (RFC 4180, lines end in CRLF); the same dish gives the same bytes."""
    declared = {line.tag: line for line in label.lines}
    hundred = label.per_100g
    lines = [HEADER]
    for tag in in_order(label.per_portion):
        figure, line = label.per_portion[tag], declared.get(tag)
        least = "yes" if figure.coverage < COMPLETE or tag in label.to_taste else ""
        texts = ("", "", "") if line is None else (line.per_portion, line.per_100g, line.share)
        lines.append(
            f"{tag},{figure.amount!r},{figure.low!r},{figure.high!r},{hundred[tag].amount!r},{figure.coverage!r},"
            + ",".join(f'"{text}"' if "," in text else text for text in (*texts, least))
        )
    return ("\r\n".join(lines) + "\r\n").encode()
