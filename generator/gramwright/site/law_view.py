"""A law's allergen list as the method page shows it. Takes settings, gives its names, sources, checks."""

from __future__ import annotations

from dataclasses import dataclass

from gramwright.labelling import allergen_rules
from gramwright.model import Settings


@dataclass(frozen=True, slots=True)
class LawView:
    """What `parts/method_allergens.html` gets."""

    title: str
    names: tuple[str, ...]
    """The allergens listed, in the law's order and by its names."""
    law: str
    checked: str
    """Which parts were read, and which rest on a second copy or on memory."""
    naming: str
    shares: str
    """The law that wants percentages in the ingredient list; '' where none does."""
    exceptions: tuple[str, ...]
    """What the law takes off its list, each with its section."""
    pack_months: int


def view(settings: Settings) -> LawView:
    """Raises Trouble 'unknown-rule-set'."""
    rules = allergen_rules.load(settings.rule_set)
    language = settings.language
    return LawView(
        title=rules.title,
        names=tuple(entry.name(language) for entry in rules.listed),
        law=rules.law,
        checked=rules.checked,
        naming=" ".join(rules.naming.split()),
        shares=rules.shares_law if rules.shares else "",
        exceptions=tuple(
            f"{each.text(language)} ({each.laws[rules.id]}; {each.checked})"
            for each in allergen_rules.exceptions().values()
            if rules.id in each.laws
        ),
        pack_months=settings.pack_months,
    )
