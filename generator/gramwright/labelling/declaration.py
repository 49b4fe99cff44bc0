"""Takes figures per portion and per 100 g, gives the declaration's lines in the law's order and rounding."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from gramwright.labelling.energy import COMPLETE
from gramwright.labelling.rounding import Rounder, declare_energy
from gramwright.labelling.rules_model import LineRule, RuleSet, When
from gramwright.model import DeclaredLine, Figure, Tag

Figures = Mapping[Tag, Figure]

BELOW = "<"
"""What a text that says "less than" begins with."""
SALTED: frozenset[Tag] = frozenset({"SALT_g", "NA_mg", "CLD_mg"})
"""What salt to taste adds to, uncounted."""


def declaration(
    rules: RuleSet, per_portion: Figures, per_100g: Figures, to_taste: frozenset[Tag] = frozenset()
) -> tuple[DeclaredLine, ...]:
    """The lines in the law's order. A line that must be there but is not known has empty texts, never a zero.

    `to_taste`: tags whose figures leave out what is added to taste; their lines are "at least".
    """
    shown = [
        line
        for line in rules.lines
        if line.when is When.ALWAYS or (line.tag in per_portion and _listed(line, rules, per_portion, per_100g))
    ]
    portion = _texts(shown, rules, per_portion, to_taste)
    hundred = _texts(shown, rules, per_100g, to_taste)
    lines = []
    for place, line in enumerate(shown):
        tag = line.tag or _energy_tag(rules)
        figure = per_portion.get(tag)
        least = figure is not None and _at_least(tag, figure, to_taste)
        share = "" if figure is None else _share(rules, line, tag, figure.amount)
        lines.append(
            DeclaredLine(
                key=line.key,
                tag=tag,
                level=line.level,
                per_100g=hundred[place],
                per_portion=portion[place],
                share="" if least and share.startswith(BELOW) else share,
                at_least=least,
            )
        )
    return tuple(lines)


def _at_least(tag: Tag, figure: Figure, to_taste: frozenset[Tag]) -> bool:
    return figure.coverage < COMPLETE or tag in to_taste


def _energy_tag(rules: RuleSet) -> Tag:
    return "ENERC_kJ" if rules.energy.primary == "kJ" else "ENERC_kcal"


def _listed(line: LineRule, rules: RuleSet, per_portion: Figures, per_100g: Figures) -> bool:
    """Whether a line that is known, but need not be there, is worth listing."""
    if line.when is When.KNOWN:
        return True
    if line.when is When.PRESENT:
        return per_portion[line.tag].amount > 0
    significance, reference = rules.significance, rules.reference.get(line.tag)
    if significance is None or reference is None:
        return False
    amounts = per_portion if significance.basis == "portion" else per_100g
    return line.tag in amounts and amounts[line.tag].amount >= significance.share * reference


def _texts(lines: Sequence[LineRule], rules: RuleSet, figures: Figures, to_taste: frozenset[Tag]) -> list[str]:
    """One text a line. A line is shown at a finer step where rounding would take it below a line it includes.

    A figure of which only a part is known is never said to be below anything: what is known of it rounds to nothing.
    """
    texts: list[str] = []
    parent: tuple[int, float, Rounder, float] | None = None
    for place, line in enumerate(lines):
        if not line.tag:
            texts.append(_energy(rules, figures))
            continue
        figure = figures.get(line.tag)
        if figure is None:
            texts.append("")
            if line.level == 0:
                parent = None
            continue
        rounder = rules.rounders[line.tag]
        value, text = rounder.rounded(figure.amount)
        texts.append(rounder.zero if text.startswith(BELOW) and _at_least(line.tag, figure, to_taste) else text)
        if line.level == 0:
            parent = (place, value, rounder, figure.amount)
        elif parent is not None and value > parent[1] and figure.amount <= parent[3]:
            at, _, above, amount = parent
            texts[at] = rounder.at_step_of(figure.amount, amount)
            parent = (at, value, above, amount)
    return texts


def _energy(rules: RuleSet, figures: Figures) -> str:
    kj, kcal = figures.get("ENERC_kJ"), figures.get("ENERC_kcal")
    if kj is None or kcal is None:
        return ""
    text = declare_energy(rules, kj.amount, kcal.amount)
    return declare_energy(rules, 0.0, 0.0) if text.startswith(BELOW) and kj.coverage < COMPLETE else text


def _share(rules: RuleSet, line: LineRule, tag: Tag, amount: float) -> str:
    """Share of the reference amount, from the unrounded figure; '' where the rule set has none."""
    reference = rules.reference.get(tag)
    if not reference:
        return ""
    rounder = rules.share_rounders.get(line.key) or rules.share_rounders.get("*")
    return "" if rounder is None else rounder.text(100 * amount / reference)
