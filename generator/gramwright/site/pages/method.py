"""How the figures are made. Takes the rule set and the foods used, gives method/index.html.

Template `method.html` gets `shell` and `method`, a MethodView.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from gramwright.labelling import cautions
from gramwright.labelling.rules_model import Checked, RuleSet, When
from gramwright.labelling.sentences import foreign
from gramwright.model import Food, Tag
from gramwright.site import law_view
from gramwright.site.other_rules_view import anchor
from gramwright.site.pages.food import publisher_name, tag_name
from gramwright.site.theme import Theme
from gramwright.site.words import NARROW_SPACE, Words

PATH = "method/index.html"


class FactorView(NamedTuple):
    """A term of the energy sum: energy in one gram."""

    name: str
    kj: str
    kcal: str
    source: str


class DayView(NamedTuple):
    name: str
    amount: str


class SourceView(NamedTuple):
    """A document or a publisher, and what is taken from it."""

    name: str
    text: str
    lang: str = ""
    """The language of what is said, where it is not the page's."""


class OtherView(NamedTuple):
    """A rule set beside the hub's own: how it computes energy, and what of it was not read in the law's own text."""

    anchor: str
    name: str
    law: str
    energy: str
    notes: tuple[str, ...]


class MethodView(NamedTuple):
    """What `method.html` gets."""

    rules: str
    law: str
    factors: tuple[FactorView, ...]
    days: tuple[DayView, ...]
    documents: tuple[SourceView, ...]
    """What was read in a copy of the publisher's text; `notes` has the rest."""
    publishers: tuple[SourceView, ...]
    notes: tuple[str, ...]
    allergens: law_view.LawView
    general: tuple[SourceView, ...]
    """Cautions that hold for the whole site, with their source."""
    cautions: tuple[str, ...]
    """The author's own."""
    others: tuple[OtherView, ...] = ()
    """The rule sets that recipe pages show beside the hub's own."""
    said_in: str = ""
    """The language of `notes` and of what documents give, where it is not the page's."""


def render(theme: Theme, rules: RuleSet, foods: Sequence[Food], also: Sequence[RuleSet] = ()) -> dict[str, bytes]:
    """The page; `foods` are those that the recipes use, `rules` the hub's rule set, `also` those shown beside it."""
    words, said_in = theme.words, foreign(theme.settings.language)
    publishers = Counter(food.source for food in foods if food.source)
    view = MethodView(
        said_in=said_in,
        rules=rules.name,
        law=rules.law,
        factors=tuple(
            FactorView(
                words.get(f"pieces.{term.key}", term.key),
                _plain(term.kj, words),
                _plain(term.kcal, words),
                term.source.cite,
            )
            for term in rules.energy.terms
        ),
        days=tuple(_day(tag, rules.reference[tag], words) for tag in _days(rules)),
        documents=tuple(
            SourceView(source.cite, source.what, said_in) for source in rules.sources if source.checked is Checked.READ
        ),
        publishers=tuple(
            SourceView(publisher_name(name, words), words("method.foods_of", n=count))
            for name, count in sorted(publishers.items(), key=lambda item: (-item[1], item[0]))
        ),
        notes=rules.notes,
        allergens=law_view.view(theme.settings),
        general=tuple(
            SourceView(caution.text, caution.source, caution.lang)
            for caution in cautions.general(rules.id, theme.settings.language)
        ),
        cautions=theme.settings.cautions,
        others=tuple(
            OtherView(anchor(other.id), other.name, other.law, other.energy.method, other.notes) for other in also
        ),
    )
    shell = theme.shell(
        PATH, kind="method", title=words("method.title"), description=words("method.description"), section="method"
    )
    return {PATH: theme.render("method.html", shell, method=view)}


def _days(rules: RuleSet) -> list[Tag]:
    """The reference intakes of energy and of what the declaration always or often lists; no vitamins and minerals."""
    listed = {line.tag for line in rules.lines if line.when is not When.SIGNIFICANT}
    return [tag for tag in rules.reference if tag in listed or tag.startswith("ENERC")]


def _day(tag: Tag, amount: float, words: Words) -> DayView:
    unit = tag.rpartition("_")[2].replace("ug", "µg")
    return DayView(tag_name(tag, words), f"{_plain(amount, words)}{NARROW_SPACE}{unit}")


def _plain(number: float, words: Words) -> str:
    return words.plain(number)
