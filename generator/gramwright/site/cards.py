"""What lists, find, feeds and food pages need to know of a recipe. Takes a Dish and its Label, gives a Card.

A Card is plain data that survives JSON and pickling (`as_json`, `from_json`),
so that an unchanged recipe can be listed without being computed again.
Figures are unrounded, per portion, as counted with optional rows left out;
None means known for no row. `incomplete` names the figures that are "at
least" (known for a part of the eaten mass only).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any, NamedTuple

from gramwright.labelling.allergen_swaps import NO_SWAPS, Swaps, Told
from gramwright.model import Dish, Label, Presence, Tag

FIGURES: Mapping[str, Tag] = {
    "energy_kcal": "ENERC_kcal",
    "energy_kj": "ENERC_kJ",
    "protein_g": "PROCNT_g",
    "carbohydrate_g": "CHOAVL_g",
    "sugars_g": "SUGAR_g",
    "fat_g": "FAT_g",
    "saturates_g": "FASAT_g",
    "fibre_g": "FIBTG_g",
    "salt_g": "SALT_g",
}
"""Card field -> tag of Label.per_portion."""


class Piece(NamedTuple):
    """One piece of the portion's energy, for the small drawing: key as in EnergyPart."""

    key: str
    kcal: float


class Use(NamedTuple):
    """One food in one recipe, grams and kcal a portion. Every food that a recipe page links to has at least one."""

    food: str
    """Food id."""
    grams: float
    kcal: float | None
    """None: nothing is known of it."""
    optional: bool = False
    """Of an optional row or a swap: counted in no figure."""
    swap: bool = False
    through: str = ""
    """Slug of the recipe that brings the food in; '' when it is a row of the recipe itself."""


@dataclass(frozen=True, slots=True)
class Card:
    """A recipe as lists show it and as find filters it."""

    slug: str
    title: str
    summary: str
    meals: tuple[str, ...]
    tags: tuple[str, ...]
    portions: float
    portion_g: float | None
    energy_kcal: float | None
    energy_low_kcal: float | None
    energy_high_kcal: float | None
    energy_kj: float | None
    protein_g: float | None
    carbohydrate_g: float | None
    sugars_g: float | None
    fat_g: float | None
    saturates_g: float | None
    fibre_g: float | None
    salt_g: float | None
    hands_on_min: float | None
    total_min: float | None
    contains: tuple[str, ...]
    """Allergen ids, in the law's order. What is in none of the three lists is not in the ingredients as recorded."""
    may_contain: tuple[str, ...]
    unknown: tuple[str, ...]
    """Allergens that some food leaves not known: a reader who avoids one must not be shown this recipe.

    One of `may_contain` can be here too."""
    suits: tuple[tuple[str, bool | None], ...]
    """(diet id, yes / no / None: not known), in the rule set's order."""
    claims: tuple[str, ...]
    """Claims that hold."""
    incomplete: tuple[str, ...]
    """Fields of this card whose figure is "at least"."""
    ingredients: tuple[str, ...]
    """Names of the foods and recipes used (optional rows and swaps too), as shown, each once, in the recipe's order."""
    pieces: tuple[Piece, ...]
    """What the energy comes from, in the panel's order."""
    uses: tuple[Use, ...]
    groups: tuple[tuple[str, str], ...] = ()
    """('gluten cereals', Presence value), ('nuts', ...): the groups as a whole."""
    published: str = ""
    """ISO date; '' when the page gives none."""
    swaps: Swaps = NO_SWAPS
    """What swaps and optional rows change of the allergens; everything else here is of the recipe as written."""

    @property
    def url(self) -> str:
        """The page's path inside the site."""
        return f"recipes/{self.slug}/index.html"

    @property
    def protein_per_100kcal(self) -> float | None:
        """Grams of protein for every 100 kcal; None when either is unknown or there is no energy."""
        if self.protein_g is None or not self.energy_kcal:
            return None
        return 100 * self.protein_g / self.energy_kcal

    def suited(self, diet: str) -> bool | None:
        return dict(self.suits).get(diet)

    def as_json(self) -> dict[str, Any]:
        """Plain lists and numbers in field order; JSON has no tuples, so they come back as lists."""
        data = {name: getattr(self, name) for name in _FIELDS}
        data["pieces"] = [(piece.key, piece.kcal) for piece in self.pieces]
        data["uses"] = [(use.food, use.grams, use.kcal, use.optional, use.swap, use.through) for use in self.uses]
        data["swaps"] = () if self.swaps == NO_SWAPS else self.swaps
        return data


_FIELDS = tuple(f.name for f in fields(Card))
_TUPLES = ("meals", "tags", "contains", "may_contain", "unknown", "claims", "incomplete", "ingredients")


def from_json(data: Mapping[str, Any]) -> Card:
    """The Card that gave `data` with `as_json`; raises KeyError or TypeError when the shape is another version's."""
    values = {name: data[name] for name in _FIELDS}
    for name in _TUPLES:
        values[name] = tuple(values[name])
    values["groups"] = tuple([(name, state) for name, state in values["groups"]])
    values["suits"] = tuple([(diet, answer) for diet, answer in values["suits"]])
    values["pieces"] = tuple([Piece(*piece) for piece in values["pieces"]])
    values["uses"] = tuple([Use(*use) for use in values["uses"]])
    values["swaps"] = _swaps(*values["swaps"]) if values["swaps"] else NO_SWAPS
    return Card(**values)


def _swaps(told: list[Any], fixed: list[str], rows: list[list[list[str]]], frees: bool) -> Swaps:
    said = tuple([Told(what, tuple(allergens)) for what, allergens in told])
    return Swaps(said, tuple(fixed), tuple([tuple([tuple(way) for way in ways]) for ways in rows]), frees)


def card(dish: Dish, label: Label, swaps: Swaps = NO_SWAPS) -> Card:
    """Takes a computed dish, its label and what its swaps change, gives its card."""
    page = dish.page
    figures: dict[str, float | None] = {}
    incomplete = []
    for name, tag in FIGURES.items():
        figure = label.per_portion.get(tag)
        figures[name] = None if figure is None else figure.amount
        if figure is not None and (figure.coverage < 1 or tag in label.to_taste):
            incomplete.append(name)
    energy = label.per_portion.get("ENERC_kcal")
    return Card(
        slug=page.slug,
        title=page.title,
        summary=page.summary,
        meals=page.meals,
        tags=page.tags,
        portions=page.portions,
        portion_g=dish.portion_g,
        energy_low_kcal=None if energy is None else energy.low,
        energy_high_kcal=None if energy is None else energy.high,
        hands_on_min=page.hands_on_min,
        total_min=page.total_min,
        contains=label.allergens.listed(Presence.CONTAINS),
        may_contain=label.allergens.listed(Presence.MAY_CONTAIN),
        unknown=label.allergens.open,
        suits=tuple(label.suits.items()),
        claims=tuple(claim.name for claim in label.claims if claim.holds),
        incomplete=tuple(incomplete),
        ingredients=tuple(dict.fromkeys(_names(dish))),
        pieces=tuple(Piece(part.key, part.kcal) for part in label.energy_parts if part.kcal > 0),
        uses=tuple(_uses(dish, label)),
        groups=tuple((name, state.value) for name, state in label.allergens.groups.items()),
        published=page.published,
        swaps=swaps,
        **figures,
    )


def _names(dish: Dish) -> Iterator[str]:
    for ingredient in dish.ingredients:
        yield ingredient.name
        for swap in ingredient.swaps:
            yield swap.name


def _uses(dish: Dish, label: Label) -> Iterator[Use]:
    portions = dish.page.portions
    for ingredient, kcal in zip(dish.ingredients, label.row_energy_kcal, strict=True):
        optional = ingredient.row.optional
        yield from (
            Use(swap.food.id, swap.grams / portions, None, optional=True, swap=True)
            for swap in ingredient.swaps
            if swap.food is not None
        )
        if ingredient.food is not None:
            yield Use(ingredient.food.id, ingredient.grams / portions, kcal, optional)
        elif ingredient.dish is not None:
            yield from _inner_uses(ingredient.dish, ingredient.grams / portions, kcal, optional)


def _inner_uses(dish: Dish, grams: float, kcal: float | None, optional: bool) -> Iterator[Use]:
    """The foods of a recipe used as an ingredient: its grams shared out by row weight, its energy by table energy."""
    energies = [totals.get("ENERC_kJ") for totals in dish.row_totals]
    counted = [not ingredient.row.optional for ingredient in dish.ingredients]
    whole = sum(energy for energy, counts in zip(energies, counted, strict=True) if counts and energy)
    for ingredient, energy, counts in zip(dish.ingredients, energies, counted, strict=True):
        if not counts:
            continue
        inner_grams = grams * ingredient.grams / dish.basis_g if dish.basis_g else 0.0
        inner_kcal = None if kcal is None or energy is None else kcal * energy / whole if whole else 0.0
        if ingredient.food is not None:
            yield Use(ingredient.food.id, inner_grams, inner_kcal, optional, through=dish.page.slug)
        elif ingredient.dish is not None:
            yield from _inner_uses(ingredient.dish, inner_grams, inner_kcal, optional)
