"""The find page. Takes cards and the index's files, gives find/index.html.

Template `find.html` gets `shell`, `list` (textures and ticks) and `find`, a
FindView. Everything the page's script says is in `words`; the data files lie
under `search/`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from markupsafe import Markup

from gramwright.model import Presence
from gramwright.site import found_view, search
from gramwright.site.allergen_line import allergen_names
from gramwright.site.cards import Card
from gramwright.site.found_view import FoundView
from gramwright.site.pages import bands, listing
from gramwright.site.search.fold import language
from gramwright.site.structured import encode
from gramwright.site.theme import Theme
from gramwright.site.words import Words

PATH = "find/index.html"
FIRST_ROWS = 30
"""Recipes on the page before anything is asked."""
FIRST_FIELDS = ("kcal", "protein", "hands_on", "total")
MORE_FIELDS = ("ratio", "carbohydrate", "fat", "fibre", "salt")
FIRST_TAGS = 12
"""Tags that stand open; further ones are folded away."""
SORTS = ("relevance", "name", "energy", "energy_high", "protein", "ratio", "work", "time")
_SAID = (
    "find.",
    "card.",
    "time.",
    "cook.time.",
    "pieces.",
    "allergens.contains",
    "allergens.may_contain",
    "allergens.unknown",
    "panel.piece",
    "list.comma",
    "number.",
)
"""Words that the script needs, by the start of their key."""


class FieldView(NamedTuple):
    """A figure with a range."""

    name: str
    label: str
    unit: str
    from_label: str
    to_label: str


@dataclass(frozen=True, slots=True)
class ChoiceView:
    """Something to tick. `count` is how many recipes there would be with it alone."""

    id: str
    name: str
    count: str
    members: tuple[ChoiceView, ...] = ()
    members_label: str = ""


class SortView(NamedTuple):
    id: str
    name: str


@dataclass(frozen=True, slots=True)
class FindView:
    """What `find.html` gets."""

    count: str
    first_fields: tuple[FieldView, ...]
    more_fields: tuple[FieldView, ...]
    meals: tuple[ChoiceView, ...]
    allergens: tuple[ChoiceView, ...]
    diets: tuple[ChoiceView, ...]
    tags: tuple[ChoiceView, ...]
    more_tags: tuple[ChoiceView, ...]
    sorts: tuple[SortView, ...]
    dishes: tuple[FoundView, ...]
    blank: FoundView
    scale: str
    shelves: tuple[bands.Shelf, ...]
    words: Markup
    data: tuple[str, ...]
    """The data files that the page loads itself, from this page."""
    words_file: str
    """The one that is loaded when words are first used."""
    swaps_file: str
    """The one that is loaded when the page has time, or when it is needed."""
    search_folder: str


def index(theme: Theme, cards: Sequence[Card], also: Mapping[str, Sequence[str]] | None = None) -> dict[str, bytes]:
    """The index's files for a hub: its rule set's allergens, its language. `also` has further names of foods."""
    settings = theme.settings
    offered = search.offered(settings.rule_set, settings.language)
    return search.build(cards, offered, language_code=settings.language, also=also)


def render(theme: Theme, cards: Sequence[Card], files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The page; `files` is what `index` gave."""
    cards = search.in_order(cards)
    words = theme.words
    root = theme.root(PATH)
    names = allergen_names(theme.settings)
    rule = found_view.hub_ruling(cards)
    data = search.names(files)
    meals, tags, diets = _meals(cards, words), _tags(cards), _diets(cards, words)
    view = FindView(
        count=words("find.count", n=len(cards)),
        first_fields=tuple(_field(name, words) for name in FIRST_FIELDS),
        more_fields=tuple(_field(name, words) for name in MORE_FIELDS),
        meals=meals,
        allergens=_allergens(theme, cards),
        diets=diets,
        tags=tuple(tags[:FIRST_TAGS]),
        more_tags=tuple(tags[FIRST_TAGS:]),
        sorts=tuple(SortView(sort, words(f"find.sorts.{sort}")) for sort in SORTS),
        dishes=tuple(found_view.found_view(card, words, names, root, rule) for card in cards[:FIRST_ROWS]),
        blank=found_view.BLANK,
        scale=words("find.scale", end=words.number(rule.end)),
        shelves=bands.shelves(theme, cards, root),
        words=Markup(encode(_said(theme, meals, tags, diets, names, rule.end, len(cards)))),
        data=(root + data.columns, root + data.titles),
        words_file=root + data.words,
        swaps_file=root + data.swaps,
        search_folder=f"{root}{search.FOLDER}/",
    )
    shell = theme.shell(
        PATH,
        kind="find",
        title=words("find.title"),
        description=words("find.description"),
        styles=("find.css",),
        scripts=("find.js",),
        section="find",
    )
    return {PATH: theme.render("find.html", shell, find=view, list=found_view.drawn(rule))}


def _meals(cards: Sequence[Card], words: Words) -> tuple[ChoiceView, ...]:
    """The meals that the recipes name, in the order of a day."""
    return tuple(
        ChoiceView(meal.path.split("/")[1], meal.name, words.number(len(meal.cards)))
        for meal in listing.meals(cards, words)
    )


def _field(name: str, words: Words) -> FieldView:
    label, unit = words(f"find.fields.{name}"), words(f"find.units.{name}")
    return FieldView(
        name,
        label,
        unit,
        words("find.range_from", name=label, unit=unit),
        words("find.range_to", name=label, unit=unit),
    )


def _tags(cards: Sequence[Card]) -> list[ChoiceView]:
    """Tags by key, the most frequent first; each is called as it was first written."""
    counts: dict[str, int] = {}
    called: dict[str, str] = {}
    for card in cards:
        names = card.tags
        for name in names:
            called.setdefault(search.key(name), name)
        for key in search.keys(names):
            counts[key] = counts.get(key, 0) + 1
    ordered = sorted(counts, key=lambda key: (-counts[key], key))
    return [ChoiceView(key, called[key], str(counts[key])) for key in ordered]


def _allergens(theme: Theme, cards: Sequence[Card]) -> tuple[ChoiceView, ...]:
    """The rule set's allergens; the members of a class stand inside it."""
    words = theme.words
    offered = search.offered(theme.settings.rule_set, theme.settings.language)
    named = Presence.NOT_RECORDED.value
    states = [
        frozenset((*c.contains, *c.may_contain, *c.unknown, *(group for group, state in c.groups if state != named)))
        for c in cards
    ]

    def choice(allergen: search.AllergenChoice, name: str) -> ChoiceView:
        ids = {allergen.id, *allergen.members, allergen.group}
        return ChoiceView(allergen.id, name, words.number(sum(ids.isdisjoint(state) for state in states)))

    inside = {member for allergen in offered for member in allergen.members}
    single = {allergen.id: choice(allergen, allergen.name) for allergen in offered if not allergen.members}
    made = []
    for allergen in offered:
        if allergen.members:
            name = words.get(f"find.classes.{allergen.id}", allergen.id)
            made.append(
                replace(
                    choice(allergen, name),
                    members=tuple(single[member] for member in allergen.members),
                    members_label=words("find.members", name=name),
                )
            )
        elif allergen.id not in inside:
            made.append(single[allergen.id])
    return tuple(made)


def _diets(cards: Sequence[Card], words: Words) -> tuple[ChoiceView, ...]:
    names = dict.fromkeys(diet for card in cards for diet, _ in card.suits)
    return tuple(
        ChoiceView(
            diet,
            words.get(f"suits.{diet}", diet.replace("_", " ")),
            words.number(sum(card.suited(diet) is True for card in cards)),
        )
        for diet in names
    )


def _said(
    theme: Theme,
    meals: Sequence[ChoiceView],
    tags: Sequence[ChoiceView],
    diets: Sequence[ChoiceView],
    names: Mapping[str, str],
    end: float,
    count: int,
) -> dict[str, Any]:
    """What the script needs to know beside the index."""
    words = theme.words
    offered = search.offered(theme.settings.rule_set, theme.settings.language)
    return {
        "language": theme.settings.language,
        "says": {key: text for key, text in words.texts.items() if key.startswith(_SAID)},
        "allergens": dict(names),
        "classes": {a.id: words.get(f"find.classes.{a.id}", a.id) for a in offered if a.members},
        "meals": {choice.id: choice.name for choice in meals},
        "tags": {choice.id: choice.name for choice in tags},
        "diets": {choice.id: choice.name for choice in diets},
        "ruleEnd": end,
        "recipes": count,
        "endings": language(theme.settings.language).endings,
    }
