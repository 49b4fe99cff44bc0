"""What is cooked when, and who eats it. Takes a plan page and the recipes, gives plates and batches.

A *plate* is one serving with its recipe as chosen (a Variant). A *batch* is what
is cooked together: one recipe in one session, or fresh on one day. A serving
belongs to the latest session up to its day that cooks its recipe; where there is
none, or the plan says `fresh: yes`, it is cooked on the day it is eaten.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import NamedTuple

from gramwright.labelling.shipped_data import read_yaml
from gramwright.model import WEEKDAYS, Dish, PlanPage, Serving, Session
from gramwright.prep.recipes import Option, Recipes, Variant, Variants
from gramwright.problems import Place, ProblemLog, Trouble


class Plate(NamedTuple):
    """One serving with its recipe as chosen."""

    serving: Serving
    variant: Variant
    batch: int
    """Index in Plates.batches."""

    @property
    def portions(self) -> float:
        return sum(self.serving.portions.values())


class Batch(NamedTuple):
    """One recipe cooked at one time."""

    session: int | None
    """Index in PlanPage.sessions; None: fresh, outside the sessions."""
    day: int
    recipe: str
    dish: Dish
    """The recipe as written (its method, its portions)."""
    portions: float
    """Made."""
    eaten: float
    """Of these, by the plan's servings; the others are left over for later."""
    place: Place
    """Where the plan asks for it first."""

    @property
    def extra(self) -> float:
        return self.portions - self.eaten

    @property
    def factor(self) -> float:
        """Portions made / portions of the recipe as written."""
        return self.portions / self.dish.page.portions


class Plates(NamedTuple):
    """The whole plan laid out."""

    plan: PlanPage
    plates: tuple[Plate, ...]
    """In the plan's order."""
    batches: tuple[Batch, ...]
    """By day and session, fresh ones after the day's sessions; within one by first mention."""
    variants: Variants

    def of(self, batch: int) -> tuple[Plate, ...]:
        return tuple(plate for plate in self.plates if plate.batch == batch)

    def eaten_by(self, person: str, day: int) -> tuple[tuple[Plate, float], ...]:
        """(plate, portions) of one person's day."""
        return tuple(
            (plate, plate.serving.portions[person])
            for plate in self.plates
            if plate.serving.day == day and person in plate.serving.portions
        )


def dates_of(plan: PlanPage) -> dict[int, str]:
    """Day number -> ISO date, from the first day to two years on; empty in an undated plan."""
    known = next(((day.number, date.fromisoformat(day.date)) for day in plan.days if day.date), None)
    if known is None:
        return {}
    first = known[1] - timedelta(days=known[0] - 1)
    return {number: (first + timedelta(days=number - 1)).isoformat() for number in range(1, 731)}


def called(plan: PlanPage, day: int) -> str:
    """A day as the plan's author calls it: '2026-12-04', 'day 2', 'monday'."""
    dates = dates_of(plan)
    if dates or plan.first_weekday is None:
        return dates.get(day, f"day {day}")
    name = WEEKDAYS[(plan.first_weekday + day - 1) % len(WEEKDAYS)]
    return name if 1 <= day <= len(WEEKDAYS) else f"{name}, day {day}"


_Key = tuple[int, int, str]
"""(day, session index or a large number for fresh, slug)."""
_FRESH = 10_000


def lay(plan: PlanPage, recipes: Recipes, log: ProblemLog) -> Plates | None:
    """Every serving with its recipe, every batch; None after errors (all are logged at their place)."""
    before = len(log)
    variants = Variants(recipes)
    chosen: list[tuple[Serving, Variant, _Key]] = []
    for serving in plan.servings:
        variant = _variant(serving, variants, log)
        key = _cooked(serving, plan, log)
        if variant is not None and key is not None:
            chosen.append((serving, variant, key))
    made = _asked(plan, recipes, log)
    _together(plan, recipes, {key for _, _, key in chosen} | made.keys(), log)
    first: dict[_Key, Place] = {}
    eaten: dict[_Key, float] = {}
    for serving, _, key in chosen:
        first.setdefault(key, serving.place)
        eaten[key] = eaten.get(key, 0.0) + sum(serving.portions.values())
    for key, (portions, place) in made.items():
        if portions is None and key not in eaten:
            log.error(
                place,
                "cooked-for-nobody",
                f"expected somebody to eat '{key[2]}' from this session, found nobody",
                "give it portions ('cooks: {slug: 4}') to keep them, or delete it",
            )
        elif portions is not None and portions < eaten.get(key, 0.0) - 1e-9:
            log.error(
                place,
                "too-few-portions",
                f"expected at least {eaten[key]:g} portions of '{key[2]}' (they are eaten), found {portions:g}",
                "cook more, or delete the number: then as many are cooked as are eaten",
            )
        first.setdefault(key, place)
    if any(problem.severity == "error" for problem in list(log)[before:]):
        return None
    keys = sorted(first, key=lambda key: (key[0], key[1], list(first).index(key)))
    at = {key: index for index, key in enumerate(keys)}
    batches = tuple(
        Batch(
            session=None if key[1] == _FRESH else key[1],
            day=key[0],
            recipe=key[2],
            dish=recipes.dish(key[2]),
            portions=max(eaten.get(key, 0.0), (made[key][0] or 0.0) if key in made else 0.0),
            eaten=eaten.get(key, 0.0),
            place=first[key],
        )
        for key in keys
    )
    plates = tuple(Plate(serving, variant, at[key]) for serving, variant, key in chosen)
    return Plates(plan, plates, batches, variants)


def _together(plan: PlanPage, recipes: Recipes, cooked: set[_Key], log: ProblemLog) -> None:
    """What is to be ready together must be cooked in that session."""
    for at, session in enumerate(plan.sessions):
        for named in session.together:
            if _known(named.name, named.place, recipes, log) and (session.day, at, named.name) not in cooked:
                mine = dict.fromkeys(key[2] for key in sorted(cooked) if key[:2] == (session.day, at))
                log.error(
                    named.place,
                    "not-cooked-together",
                    f"expected a recipe that this session cooks, found '{named.name}'",
                    f"it cooks: {', '.join(mine)}" if mine else "it cooks nothing: name its recipes in 'cooks'",
                )


def _say(trouble: Trouble, place: Place, log: ProblemLog) -> None:
    """Logs what is wrong with a recipe: one that has problems of its own only where the plan first asks for it."""
    if trouble.code == "recipe-broken" and any(
        problem.code == trouble.code and problem.message == trouble.message for problem in log
    ):
        return
    log.add(trouble.at(place))


def _variant(serving: Serving, variants: Variants, log: ProblemLog) -> Variant | None:
    try:
        variants.recipes.dish(serving.recipe)
    except Trouble as trouble:
        _say(trouble, serving.place, log)
        return None
    options: dict[tuple[int, int | None], Option] = {}
    failed = False
    for names, find in ((serving.swaps, variants.swap), (serving.toppings, variants.topping)):
        for named in names:
            try:
                for option in find(serving.recipe, named.name):
                    options[option.row, option.swap] = option
            except Trouble as trouble:
                log.add(trouble.at(named.place))
                failed = True
    if failed:
        return None
    try:
        return variants.of(serving.recipe, options.values())
    except Trouble as trouble:
        log.add(trouble.at(serving.place))
        return None


def _cooked(serving: Serving, plan: PlanPage, log: ProblemLog) -> _Key | None:
    """When a serving is cooked."""
    if serving.fresh:
        return (serving.day, _FRESH, serving.recipe)
    able = [(at, session) for at, session in enumerate(plan.sessions) if cooks(session, serving.recipe)]
    before = [(at, session) for at, session in able if session.day <= serving.day]
    if before:
        at, session = max(before, key=lambda found: (found[1].day, found[1].start_min or 0.0, found[0]))
        _meal_before_session(serving, session, plan, log)
        return (session.day, at, serving.recipe)
    named = [session for _, session in able if session.cooks]
    if named:
        log.error(
            serving.place,
            "eaten-before-cooked",
            f"expected '{serving.recipe}' to be cooked by {called(plan, serving.day)}, found it in the session of "
            f"{called(plan, named[0].day)}",
            "move the session or the meal, or write 'fresh: yes' here to cook it on the day",
        )
        return None
    return (serving.day, _FRESH, serving.recipe)


def cooks(session: Session, recipe: str) -> bool:
    """Whether a session may cook a recipe: it names it, or names nothing."""
    return not session.cooks or any(cook.recipe == recipe for cook in session.cooks)


def _meal_before_session(serving: Serving, session: Session, plan: PlanPage, log: ProblemLog) -> None:
    """Warns where a meal is usually over when the session of the same day begins."""
    if session.day != serving.day or session.start_min is None:
        return
    over: Mapping[str, float] = read_yaml("prep/keeping.yaml")["meal_over_by_h"]
    hour = over.get(serving.meal.casefold())
    if hour is not None and session.start_min >= hour * 60:
        log.warn(
            serving.place,
            "meal-before-session",
            f"expected {serving.meal} of {called(plan, serving.day)} after its cooking, found the session starting at "
            f"{int(session.start_min // 60)}:{int(session.start_min % 60):02d}",
            "write 'fresh: yes' to cook it on its own before, or start the session earlier",
        )


def _asked(plan: PlanPage, recipes: Recipes, log: ProblemLog) -> dict[_Key, tuple[float | None, Place]]:
    """What the sessions name: portions asked for, None where as many as are eaten."""
    found: dict[_Key, tuple[float | None, Place]] = {}
    for at, session in enumerate(plan.sessions):
        for cook in session.cooks:
            if _known(cook.recipe, cook.place, recipes, log):
                found[session.day, at, cook.recipe] = (cook.portions, cook.place)
    return found


def _known(slug: str, place: Place, recipes: Recipes, log: ProblemLog) -> bool:
    """Whether there is such a recipe to cook; what is wrong with it is logged."""
    try:
        recipes.dish(slug)
    except Trouble as trouble:
        _say(trouble, place, log)
        return False
    return True
