"""Which diets a recipe fits. Takes resolved ingredients, gives yes, no or not known per diet.

Computed from the kinds of every counted food, at any depth of sub-recipes
(content/allergens/kinds.yaml): one food that does not fit decides for no;
otherwise one food whose kind is missing, does not exist or depends on how it
was made leaves the answer not known (None); only when all fit is it yes.

    suits(ingredients) -> dict[str, bool | None]       'vegetarian', 'vegan', 'no pork', 'no alcohol'
    because(ingredients) -> dict[str, tuple[Why, ...]] the foods behind every no and every not known

Halal, kosher, gluten-free and diabetic are never computed. They are shown as
the author's statement, with its reason, when a page declares them:

    declared_problems(page, findings, log, ingredients=()) -> None
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from gramwright.labelling.by_food import ByFood
from gramwright.labelling.counted import counted_foods
from gramwright.labelling.kinds import DIETS, kinds_table
from gramwright.labelling.shipped_data import read_yaml
from gramwright.model import AllergenFindings, Food, Ingredient, Presence, RecipePage, Statement, Why
from gramwright.problems import Place, ProblemLog, either, near

ALCOHOL = "ALC_g"
_Answers = tuple[bool | None, ...]


def suits(ingredients: Iterable[Ingredient]) -> dict[str, bool | None]:
    """Diet -> True, False or None (not known), in the order of kinds.DIETS. No counted food: not known."""
    answers = {_answers(food) for food, _ in counted_foods(ingredients)}
    if not answers:
        return dict.fromkeys(DIETS)
    return {
        diet: False if False in column else None if None in column else True
        for diet, column in zip(DIETS, zip(*answers, strict=True), strict=True)
    }


def because(ingredients: Iterable[Ingredient]) -> dict[str, tuple[Why, ...]]:
    """Diet -> the foods that make it no; where none does, those that leave it not known."""
    found: dict[str, tuple[Why, ...]] = {}
    foods = [(_answers(food), food, place) for food, place in counted_foods(ingredients)]
    for at, diet in enumerate(DIETS):
        for answer in (False, None):
            whys = [_why(food, place) for answers, food, place in foods if answers[at] is answer]
            if whys:
                found[diet] = tuple(dict.fromkeys(whys))
                break
        else:
            found[diet] = ()
    return found


def declared_problems(
    page: RecipePage, findings: AllergenFindings, log: ProblemLog, ingredients: Sequence[Ingredient] = ()
) -> None:
    """Takes what the author declares, logs what the recipe contradicts.

    Errors 'unknown-declaration', 'declared-without-reason', 'declared-contradicted' (something that the
    declaration rules out is in it); warnings 'declared-uncertain' (it may be in it, or that is not known).
    Without `ingredients` only what the findings say is held against it.
    """
    known = read_yaml("allergens/declared.yaml")["declared"]
    for statement in page.declared:
        name = statement.name.strip().casefold()
        if name not in known:
            close = near(name, known)
            log.error(
                statement.place,
                "unknown-declaration",
                f"expected {either(known)}, found '{statement.name}'",
                f"did you mean {either(close)}?" if close else "only these can be declared; the rest is computed",
            )
            continue
        if not statement.reason.strip():
            log.error(
                statement.place,
                "declared-without-reason",
                f"expected a reason beside '{name}', found none",
                f"write '{name}: ' and the reason; it is published with the statement",
            )
        _contradictions(statement, name, known[name], findings, ingredients, log)


def _contradictions(
    statement: Statement,
    name: str,
    rule: Mapping[str, Sequence[str]],
    findings: AllergenFindings,
    ingredients: Sequence[Ingredient],
    log: ProblemLog,
) -> None:
    states = [(group, findings.groups.get(group, Presence.UNKNOWN)) for group in rule.get("without_groups", ())]
    certain = [what for what, state in states if state is Presence.CONTAINS]
    perhaps = [what for what, state in states if state in (Presence.MAY_CONTAIN, Presence.UNKNOWN)]
    if ingredients:
        answers = suits(ingredients)
        for diet in rule.get("fits", ()):
            if answers[diet] is not True:
                (perhaps if answers[diet] is None else certain).append(f"food that does not fit '{diet}'")
        kinds = {kind for food, _ in counted_foods(ingredients) for kind in food.kinds}
        certain += [kind for kind in rule.get("without_kinds", ()) if kind in kinds]
    if certain:
        log.error(
            statement.place,
            "declared-contradicted",
            f"'{name}' is declared, but the recipe contains {' and '.join(certain)}",
            "take the declaration out, or change the food",
        )
    elif perhaps:
        log.warn(
            statement.place,
            "declared-uncertain",
            f"'{name}' is declared, but the recipe may contain {' or '.join(perhaps)}, or that is not known",
            "check the packs, and write what they say in the food table",
        )


def _work_out(food: Food) -> _Answers:
    value = food.values.get(ALCOHOL)
    alcohol = value is not None and value.amount > kinds_table().alcohol_above_g
    return _of_kinds(food.kinds, alcohol)


_answers = ByFood(_work_out)


@lru_cache(maxsize=4096)
def _of_kinds(kinds: frozenset[str], alcohol: bool) -> _Answers:
    table = kinds_table()
    unknown: _Answers = (None,) * len(DIETS)
    columns = [table.answers.get(kind, unknown) for kind in sorted(kinds)] or [unknown]
    answers = [False if False in column else None if None in column else True for column in zip(*columns, strict=True)]
    if alcohol:
        answers[DIETS.index("no alcohol")] = False
    return tuple(answers)


def _why(food: Food, place: Place) -> Why:
    source = f"{food.source}, {food.source_ref}" if food.source_ref else food.source
    return Why(food.id, food.name, food.place, source, food.updated, place)
