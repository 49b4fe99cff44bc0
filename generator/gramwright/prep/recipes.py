"""How prep asks for recipes: by slug, as they are, or with chosen swaps and toppings. Publishing gives the answers.

    Variants(recipes).of(slug, swaps, toppings) -> Variant     raises Trouble 'unknown-recipe', 'unknown-swap' ...

A variant is computed by the engine like any recipe: the chosen swap stands in
its row's place, a topping counts. A measured finished weight grows or shrinks
by the grams that the choice adds or takes. Nothing else is assumed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import NamedTuple, Protocol

from gramwright.labelling.rules_model import RuleSet
from gramwright.model import AllergenFindings, Dish, Ingredient, Label, RecipePage
from gramwright.problems import ProblemLog, Trouble, either, near
from gramwright.reading.fold import fold


class Recipes(Protocol):
    """A hub's recipes, computed."""

    @property
    def rules(self) -> RuleSet: ...

    def dish(self, slug: str) -> Dish:
        """Raises Trouble 'unknown-recipe', 'recipe-broken'."""

    def cook(self, page: RecipePage, log: ProblemLog) -> Dish | None:
        """Computes a page that is none of the hub's: a recipe with its choices made."""

    def label(self, dish: Dish) -> Label: ...

    def allergens(self, ingredients: Sequence[Ingredient]) -> AllergenFindings:
        """Of any rows together, by the hub's rule set."""


class Option(NamedTuple):
    """Something a recipe leaves open: a swap, or an optional row (`swap` None)."""

    row: int
    """Index of the ingredient."""
    swap: int | None
    ingredient: Ingredient
    optional: bool
    """Whether the row counts only when it is asked for."""

    @property
    def name(self) -> str:
        return self.ingredient.name


class Variant(NamedTuple):
    """A recipe with its choices made."""

    slug: str
    choices: tuple[Option, ...]
    dish: Dish
    label: Label

    @property
    def title(self) -> str:
        return self.dish.page.title

    @property
    def key(self) -> tuple[tuple[int, int | None], ...]:
        return tuple((choice.row, choice.swap) for choice in self.choices)


@dataclass(slots=True)
class Variants:
    """Recipes with choices, each computed once."""

    recipes: Recipes
    _made: dict[tuple[str, tuple[tuple[int, int | None], ...]], Variant] = field(default_factory=dict)

    def of(self, slug: str, options: Iterable[Option] = ()) -> Variant:
        """The recipe with these options taken, at most one a row.

        Raises Trouble 'unknown-recipe', 'recipe-broken', 'two-choices', 'variant-broken'.
        """
        chosen = tuple(sorted(options, key=lambda option: option.row))
        for one, other in pairwise(chosen):
            if one.row == other.row:
                raise Trouble(
                    "two-choices",
                    f"expected one choice for a row, found '{one.name}' and '{other.name}' for the same row",
                    "delete one of the two",
                )
        key = (slug, tuple((option.row, option.swap) for option in chosen))
        known = self._made.get(key)
        if known is None:
            base = self.recipes.dish(slug)
            dish = self._cooked(base, chosen) if chosen else base
            known = self._made[key] = Variant(slug, chosen, dish, self.recipes.label(dish))
        return known

    def _cooked(self, base: Dish, chosen: Sequence[Option]) -> Dish:
        rows = list(base.page.rows)
        gained = 0.0
        for option in chosen:
            written = base.ingredients[option.row]
            row = option.ingredient.row
            rows[option.row] = replace(row, part=written.row.part, optional=False, swaps=())
            gained += option.ingredient.grams - (0.0 if option.optional else written.grams)
        page = base.page
        finished = None if page.finished_g is None else page.finished_g + gained
        if finished is not None and finished <= 0:
            finished = None
        log = ProblemLog()
        dish = self.recipes.cook(replace(page, rows=tuple(rows), finished_g=finished, claims=()), log)
        if dish is None:
            first = next((problem for problem in log if problem.severity == "error"), None)
            raise Trouble(
                "variant-broken",
                f"expected a recipe that can be computed with these choices, found: {first.message if first else '?'}",
                first.hint if first else "leave the choice away",
            )
        return dish

    def swap(self, slug: str, name: str) -> tuple[Option, ...]:
        """The swaps that bring in a food of this name, one a row. Raises Trouble 'unknown-swap'."""
        options = [option for option in options_of(self.recipes.dish(slug)) if option.swap is not None]
        return self._found(slug, name, options, "a swap", "unknown-swap")

    def topping(self, slug: str, name: str) -> tuple[Option, ...]:
        """The optional rows (or swaps of optional rows) of this name. Raises Trouble 'unknown-topping'."""
        options = [option for option in options_of(self.recipes.dish(slug)) if option.optional]
        return self._found(slug, name, options, "an optional row", "unknown-topping")

    def _found(self, slug: str, name: str, options: Sequence[Option], what: str, code: str) -> tuple[Option, ...]:
        wanted = fold(name)
        found = {option.row: option for option in reversed(options) if wanted in _names(option.ingredient)}
        if found:
            return tuple(found[row] for row in sorted(found))
        known = list(dict.fromkeys(option.name for option in options))
        spelled = {other: option.name for option in options for other in _names(option.ingredient)}
        close = list(dict.fromkeys(spelled[other] for other in near(wanted, spelled)))
        if not known:
            hint = f"'{slug}' has none: add {what} to the recipe, or delete this"
        elif close:
            hint = f"did you mean {either(close)}?"
        else:
            hint = f"'{slug}' has: {', '.join(known)}"
        raise Trouble(code, f"expected {what} of '{slug}', found '{name}'", hint)


def options_of(dish: Dish) -> tuple[Option, ...]:
    """Everything a recipe leaves open, row by row: its optional rows, then each row's swaps."""
    found: list[Option] = []
    for at, ingredient in enumerate(dish.ingredients):
        optional = ingredient.row.optional
        if optional:
            found.append(Option(at, None, ingredient, True))
        found.extend(Option(at, number, swap, optional) for number, swap in enumerate(ingredient.swaps))
    return tuple(found)


def _names(ingredient: Ingredient) -> set[str]:
    """Every folded name that a plan may call a row by."""
    names = [ingredient.name, ingredient.row.food or "", ingredient.row.recipe or "", ingredient.row.words]
    if ingredient.food is not None:
        names += [ingredient.food.id, *ingredient.food.aliases]
    return {folded for name in names if (folded := fold(name))}
