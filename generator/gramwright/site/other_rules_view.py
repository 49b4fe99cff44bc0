"""A recipe by rule sets beside the hub's own. Takes a dish and its labels, gives one block for each to open.

Each block follows its own law: columns and lines in that order and by those names, that rounding, those reference
values, that list of allergens. A line whose figure is not known is no row of the table; it is named below it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from gramwright.labelling.allergens import summary
from gramwright.labelling.rules_model import RuleSet
from gramwright.model import DeclaredLine, Dish, Label, Presence
from gramwright.site import declaration_view
from gramwright.site.line_names import line_names
from gramwright.site.words import Words

_ENERGIES = re.compile(r" / | (?=\()")
"""Between the two figures of an energy: '1654 kJ / 393 kcal', '1650 kJ (394 Cal)'."""


class CellView(NamedTuple):
    """One amount: its text, and energy's second unit; '' for none."""

    text: str
    second: str


class RowView(NamedTuple):
    name: str
    level: int
    at_least: bool
    cells: tuple[CellView, ...]
    """In the order of the block's columns."""
    share: str


class AllergenWords(NamedTuple):
    """What is said of a law's allergens: 'Contains', and the law's names."""

    said: str
    names: tuple[str, ...]


class OtherRulesView(NamedTuple):
    """What `parts/other_rules.html` gets of one rule set."""

    id: str
    name: str
    law: str
    columns: tuple[str, ...]
    rows: tuple[RowView, ...]
    shares: bool
    notes: tuple[str, ...]
    """What the figures rest on: weight, energy, whose day, what is known in part or not at all."""
    allergens: tuple[AllergenWords, ...]
    memory_href: str
    """Where it is said what of this rule set was not read in the law's own text; '' when all was."""


def views(dish: Dish, labels: Sequence[tuple[RuleSet, Label]], words: Words, root: str) -> tuple[OtherRulesView, ...]:
    """One block a label, in their order. `root` leads to the top of the site."""
    return tuple([_view(dish, rules, label, words, root) for rules, label in labels])


def anchor(rule_set: str) -> str:
    """Where the method page speaks of a rule set beside the hub's own."""
    return f"rules-{rule_set}"


def _view(dish: Dish, rules: RuleSet, label: Label, words: Words, root: str) -> OtherRulesView:
    names = line_names(rules.id, words)
    known = [line for line in label.lines if _texts(rules, line)]
    return OtherRulesView(
        id=rules.id,
        name=rules.name,
        law=rules.law,
        columns=tuple([words(f"declaration.{column}") for column in rules.columns]),
        rows=tuple([_row(line, rules, names[line.key], words) for line in known]),
        shares=any(line.share for line in known),
        notes=tuple(_notes(dish, rules, label, known, words)),
        allergens=_allergens(label, words),
        memory_href=f"{root}method/index.html#{anchor(rules.id)}" if rules.notes else "",
    )


def _texts(rules: RuleSet, line: DeclaredLine) -> list[str]:
    """The line's texts in the order of the law's columns; none where the figure is not known."""
    texts = [line.per_100g if column == "per_100g" else line.per_portion for column in rules.columns]
    return texts if all(texts) else []


def _row(line: DeclaredLine, rules: RuleSet, name: str, words: Words) -> RowView:
    cells = [_ENERGIES.split(words.localised(text), maxsplit=1) for text in _texts(rules, line)]
    return RowView(
        name=name,
        level=line.level,
        at_least=line.at_least,
        cells=tuple([CellView(words.joined(first), words.joined("".join(second))) for first, *second in cells]),
        share=words.joined(line.share),
    )


def _notes(dish: Dish, rules: RuleSet, label: Label, known: Sequence[DeclaredLine], words: Words) -> list[str]:
    names = line_names(rules.id, words)
    made = []
    if "per_100g" in rules.columns:
        made.append(words(declaration_view.BASIS[dish.finished_by]))
    if label.energy_by == "factors":
        made.append(words("others.factors", method=rules.energy.method))
    else:
        made.append(words("declaration.by_table"))
    if any(line.share for line in known):
        day = words.get(f"declaration.adult.{rules.id}", "")
        made += [day] if day else []
    if part := declaration_view.coverage(label, known, words):
        made.append(f"{words('declaration.at_least_note')} {part}")
    if tasted := declaration_view.to_taste(label, known, words):
        made.append(tasted)
    missing = [names[line.key] for line in label.lines if line not in known]
    if missing:
        made.append(words("others.missing", lines=", ".join(missing)))
    return made


def _allergens(label: Label, words: Words) -> tuple[AllergenWords, ...]:
    found = label.allergens
    lists = (
        AllergenWords(words("allergens.contains"), summary(found, label.rule_set, words.language)),
        AllergenWords(
            words("allergens.may_contain"), tuple(found.words[name] for name in found.listed(Presence.MAY_CONTAIN))
        ),
        AllergenWords(words("allergens.unknown"), tuple(found.words[name] for name in found.open)),
    )
    return tuple([each for each in lists if each.names])
