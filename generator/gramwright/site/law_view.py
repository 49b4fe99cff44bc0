"""A law's allergen list as the method page shows it. Takes settings, gives its names, sources, checks."""

from __future__ import annotations

from typing import NamedTuple

from gramwright.labelling import allergen_rules
from gramwright.labelling.sentences import sentences
from gramwright.model import Settings

HOW = ("read", "secondary copy", "from memory")
"""How an exception was checked."""


class LawView(NamedTuple):
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
    spoken = sentences(language)
    beside = {} if spoken.language == "en" else {how: spoken[f"beside.{how}"] for how in HOW}
    return LawView(
        title=rules.text("title", language),
        names=tuple(entry.name(language) for entry in rules.listed),
        law=rules.text("law", language),
        checked=rules.text("checked", language),
        naming=rules.text("naming", language),
        shares=rules.text("shares", language) if rules.shares else "",
        exceptions=tuple(
            f"{each.text(language)} ({each.laws[rules.id]}; {beside.get(each.checked, each.checked)})"
            for each in allergen_rules.exceptions().values()
            if rules.id in each.laws
        ),
        pack_months=settings.pack_months,
    )
