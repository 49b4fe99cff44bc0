"""What one session cooks, as the scheduler asks for it. Takes plates, gives a session's batches with their steps.

    session_batches(plates, session, recipes) -> tuple[Batch, ...]
    opened(dish) -> Iterator[Batch]         one recipe by itself, eaten at once

A recipe that others use as an ingredient is a batch of its own, before them; the
same one cooked for several dishes (and for itself) is cooked once.
"""

from __future__ import annotations

from collections.abc import Iterator

from gramwright.model import Dish
from gramwright.model.steps import Batch as StepBatch
from gramwright.prep.keeping import Where, cooling, where_kept
from gramwright.prep.plates import Plates
from gramwright.prep.recipes import Recipes
from gramwright.problems import Place


def session_batches(plates: Plates, session: int, recipes: Recipes) -> tuple[StepBatch, ...]:
    """The batches of one session, sub-recipes first."""
    together = {named.name for named in plates.plan.sessions[session].together}
    chill_min = cooling(recipes.rules).high_h * 60
    factors: dict[str, float] = {}
    dishes: dict[str, Dish] = {}
    places: dict[str, Place] = {}
    chilled: dict[str, str] = {}
    own: set[str] = set()
    for at, batch in enumerate(plates.batches):
        if batch.session != session:
            continue
        own.add(batch.recipe)
        where = where_kept(plates, at, recipes.rules)
        if where:
            chilled[batch.recipe] = "both" if len(where) > 1 else Where(*where).value
        _add(batch.dish, batch.factor, batch.place, factors, dishes, places)
    return tuple(
        StepBatch(
            slug=slug,
            title=dish.page.title,
            steps=dish.page.steps,
            place=places[slug],
            factor=factors[slug],
            after=_uses(dish),
            chill_within=chill_min if slug in chilled else None,
            chill_into=chilled.get(slug, "fridge"),
            together=slug in together,
        )
        for slug, dish in dishes.items()
        if slug in own or dish.page.steps
    )


def opened(dish: Dish) -> Iterator[StepBatch]:
    """A recipe made once and everything it is made of, sub-recipes first."""
    factors: dict[str, float] = {}
    dishes: dict[str, Dish] = {}
    _add(dish, 1.0, dish.page.place, factors, dishes, {})
    for slug, each in dishes.items():
        yield StepBatch(
            slug=slug,
            title=each.page.title,
            steps=each.page.steps,
            place=dish.page.place,
            factor=factors[slug],
            after=_uses(each),
        )


def _uses(dish: Dish) -> tuple[str, ...]:
    """Slugs of the recipes that a recipe has as ingredients."""
    return tuple(dict.fromkeys(i.dish.page.slug for i in dish.counted if i.dish is not None))


def _add(
    dish: Dish,
    factor: float,
    place: Place,
    factors: dict[str, float],
    dishes: dict[str, Dish],
    places: dict[str, Place],
) -> None:
    """Puts a dish with everything it is made of behind what is there already, what it uses before it."""
    for ingredient in dish.counted:
        inner = ingredient.dish
        if inner is not None and inner.basis_g > 0:
            _add(inner, factor * ingredient.weighed_g / inner.basis_g, place, factors, dishes, places)
    slug = dish.page.slug
    dishes.setdefault(slug, dish)
    places.setdefault(slug, place)
    factors[slug] = factors.get(slug, 0.0) + factor
