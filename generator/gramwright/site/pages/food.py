"""A food's page. Takes a food and its uses, gives foods/<id>/index.html: every figure with where it is from.

Template `food.html` gets `shell` and `food`, a FoodView.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from gramwright.labelling import allergen_rules, traces
from gramwright.model import KJ_PER_KCAL, Food, Tag, Value, ValueKind
from gramwright.site.cards import Card, Use
from gramwright.site.facts import in_order
from gramwright.site.theme import Theme, safe_path
from gramwright.site.words import NARROW_SPACE, Words

GROUPS: tuple[tuple[str, frozenset[str]], ...] = (
    ("macro", frozenset({"ENERC", "WATER", "PROCNT", "FAT", "CHOAVL", "CHOCDF", "FIBTG", "ALC", "ASH", "OA"})),
    ("fats", frozenset({"FASAT", "FAMS", "FAPU", "FATRN", "CHOLE"})),
    ("carbohydrates", frozenset({"SUGAR", "SUGAD", "STARCH", "POLYL", "ERYTHL"})),
    ("minerals", frozenset({"NA", "K", "CA", "FE", "MG", "P", "ZN", "CU", "MN", "SE", "ID", "SALT"})),
)
"""Headings of the figures and the INFOODS tagnames below them; vitamins start with VIT or are named next."""
VITAMINS = frozenset({"THIA", "RIBF", "NIA", "NIAEQ", "PANTAC", "FOL", "FOLDFE", "FOLAC", "BIOT", "CHOCAL", "RETOL"})
MAIN: tuple[Tag, ...] = ("ENERC_kJ", "PROCNT_g", "FAT_g", "FASAT_g", "CHOAVL_g", "SUGAR_g", "FIBTG_g", "NA_mg")
"""What is named when it is not known."""
LONGEST = 120
"""Recipes listed on a food's page; of salt and water there would be thousands."""
_UNITS = {"ug": "µg"}


class FigureView(NamedTuple):
    name: str
    amount: str
    kind: str
    """'trace', 'borrowed or estimated' ...; '' for a plain number."""


class FigureGroup(NamedTuple):
    name: str
    figures: tuple[FigureView, ...]


class FactView(NamedTuple):
    name: str
    value: str


class MeasureView(NamedTuple):
    name: str
    grams: str
    source: str


class UseView(NamedTuple):
    """A recipe that uses the food."""

    title: str
    href: str
    grams: str
    share: str
    """Of the portion's energy; '' where it counts in no figure or is not known."""
    bar: str
    """The share as a length, '36.20%'."""
    note: str
    """'if you like', 'through Rye loaf'."""


class FoodView(NamedTuple):
    """What `food.html` gets."""

    name: str
    also: str
    facts: tuple[FactView, ...]
    groups: tuple[FigureGroup, ...]
    unknown: str
    """Main components that are not known, in words; ''."""
    measures: tuple[MeasureView, ...]
    contains: str
    may_contain: str
    checked: bool
    as_such: bool
    """No traces are recorded of it: it is no product whose pack was read."""
    uses: tuple[UseView, ...]
    more: str
    """How many recipes are not listed, in words; ''."""


def path_of(food_id: str) -> str:
    return f"foods/{food_id}/index.html"


def render(theme: Theme, food: Food, uses: Iterable[tuple[Card, Use]]) -> dict[str, bytes]:
    """The page; `uses` are the recipes that the food is in, in any order."""
    words = theme.words
    path = path_of(food.id)
    root = theme.root(path)
    lines, count = _uses(list(uses), words, root)
    view = FoodView(
        name=food.name,
        also=words("food.also", names=", ".join(food.aliases)) if food.aliases else "",
        facts=tuple(_facts(food, words)),
        groups=tuple(_groups(food, words)),
        unknown=_unknown(food, words),
        measures=tuple(MeasureView(m.name, words.grams(m.grams), m.source) for m in food.measures),
        contains=_named("food.contains", food.allergens.contains, theme),
        may_contain=_named("food.may_contain", food.allergens.may_contain, theme),
        checked=food.allergens.checked,
        as_such=food.allergens.checked and not traces.recorded(food),
        uses=tuple(lines),
        more=words("food.more_recipes", n=count - len(lines)) if count > len(lines) else "",
    )
    shell = theme.shell(
        path, kind="food", title=food.name, description=words("food.description", name=food.name), section="foods"
    )
    return {path: theme.render("food.html", shell, food=view)}


def _facts(food: Food, words: Words) -> Iterable[FactView]:
    publisher = publisher_name(food.source, words)
    source = f"{publisher}, {words('food.ref', ref=food.source_ref)}" if food.source_ref else publisher
    yield FactView(words("food.source"), source)
    yield FactView(words("food.quality"), words(f"quality.{food.quality.value}"))
    if food.updated:
        yield FactView(words("food.updated"), words.date(food.updated))
    if food.state:
        yield FactView(words("food.state"), words.get(f"states.{food.state}", food.state))
    if food.refuse:
        yield FactView(words("food.refuse"), words.percent(food.refuse))
    if food.density_g_ml is not None:
        yield FactView(words("food.density"), words("food.density_value", value=food.density_g_ml))


def _groups(food: Food, words: Words) -> Iterable[FigureGroup]:
    sorted_in: dict[str, list[FigureView]] = {}
    for tag in in_order(food.values):
        figure = _figure(tag, food.values[tag], words)
        sorted_in.setdefault(_group_of(tag), []).append(figure)
    for name in (*(name for name, _ in GROUPS), "vitamins", "other"):
        if name in sorted_in:
            yield FigureGroup(words(f"groups.{name}"), tuple(sorted_in[name]))


def _group_of(tag: Tag) -> str:
    name = tag.rpartition("_")[0]
    for group, names in GROUPS:
        if name in names:
            return group
    return "vitamins" if name.startswith("VIT") or name in VITAMINS else "other"


def publisher_name(source: str, words: Words) -> str:
    """A source's full name, where the words have it."""
    return words.get(f"publishers.{source}", source)


def tag_name(tag: Tag, words: Words) -> str:
    """A component's name; its tagname where the words have none."""
    name = tag.rpartition("_")[0]
    return words.get(f"tags.{name}", name)


def _figure(tag: Tag, value: Value, words: Words) -> FigureView:
    unit = tag.rpartition("_")[2]
    kind = words(f"food.kinds.{value.kind.value}")
    if value.kind is ValueKind.TRACE:
        amount = words("food.trace")
        kind = ""
    elif value.kind is ValueKind.BELOW and value.limit is not None:
        amount = f"<{NARROW_SPACE}{_amount(value.limit, unit, words)}"
    elif tag == "ENERC_kJ":
        kcal = words.number(value.amount / KJ_PER_KCAL)
        amount = f"{words.number(value.amount)}{NARROW_SPACE}kJ / {kcal}{NARROW_SPACE}kcal"
    else:
        amount = _amount(value.amount, unit, words)
    return FigureView(tag_name(tag, words), amount, kind)


def _amount(amount: float, unit: str, words: Words) -> str:
    """As the table has it, six significant figures at most."""
    number = f"{amount:.6g}" if amount < 1e6 else f"{amount:.0f}"
    return f"{words.localised(number)}{NARROW_SPACE}{_UNITS.get(unit, unit)}"


def _unknown(food: Food, words: Words) -> str:
    names = [tag_name(tag, words) for tag in MAIN if tag not in food.values]
    return words("food.unknown", names=", ".join(names)) if names else ""


def _named(key: str, ids: frozenset[str], theme: Theme) -> str:
    """Allergens in words; on English pages by the table's own names, else by the law's in the hub's language."""
    if not ids:
        return ""
    settings = theme.settings
    names = {} if not theme.cited else allergen_rules.load(settings.rule_set).names(settings.language)
    return theme.words(key, names=", ".join(names.get(each, each) for each in sorted(ids)))


def _uses(uses: Sequence[tuple[Card, Use]], words: Words, root: str) -> tuple[list[UseView], int]:
    """(lines, how many recipes there are): one line a recipe, the first LONGEST of them.

    In the order of the share of energy that the food gives there; where it counts in no figure comes last.
    """
    grouped: dict[str, tuple[Card, list[Use]]] = {}
    for card, use in uses:
        grouped.setdefault(card.slug, (card, []))[1].append(use)
    titles = {card.slug: card.title for card, _ in uses}
    ordered = sorted(_shared_out(card, group) for card, group in grouped.values())
    lines = [
        _line(grouped[slug][0], grouped[slug][1], -less, titles, words, root) for less, _, _, slug in ordered[:LONGEST]
    ]
    return lines, len(ordered)


def _shared_out(card: Card, uses: Sequence[Use]) -> tuple[float, bool, str, str]:
    """What orders the lines: (minus the share of the portion's energy, whether the food counts in no figure, ...)."""
    counted = [use for use in uses if not use.optional]
    share = sum(use.kcal or 0.0 for use in counted) / card.energy_kcal if card.energy_kcal else 0.0
    return -max(share, 0.0), not counted, card.title, card.slug


def _share(counted: Sequence[Use], share: float, card: Card, words: Words) -> str:
    """The food's share of the portion's energy; '' where it counts in no figure."""
    if not counted or not card.energy_kcal:
        return ""
    return words("declaration.unknown") if all(use.kcal is None for use in counted) else words.percent(share)


def _line(card: Card, uses: Sequence[Use], share: float, titles: Mapping[str, str], words: Words, root: str) -> UseView:
    """A recipe's counted rows of the food together, or those left out."""
    counted = [use for use in uses if not use.optional]
    shown = counted or uses
    notes: dict[str, None] = {}
    for use in shown:
        if use.through:
            notes[words("food.through", name=titles.get(use.through, use.through.replace("-", " ")))] = None
        if use.optional:
            notes[words("food.swap" if use.swap else "food.optional")] = None
    return UseView(
        title=card.title,
        href=f"{root}recipes/{safe_path(card.slug)}/index.html",
        grams=words.grams(sum(use.grams for use in shown)),
        share=_share(counted, share, card, words),
        bar=f"{min(share, 1.0) * 100:.2f}%",
        note=", ".join(notes),
    )
