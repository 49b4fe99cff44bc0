"""A hub's prep plans. Takes a kitchen and the list of recipes, gives every plan worked out; what is wrong is logged.

Plans are computed at every publish that has anything to do: they depend on recipes, foods, prices and the pantry, and
a plan costs a few milliseconds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from gramwright.labelling import allergens
from gramwright.labelling.label import label
from gramwright.labelling.rules_model import RuleSet
from gramwright.model import AllergenFindings, Dish, Gear, Ingredient, Label, PlanPage, RecipePage
from gramwright.model.steps import Batch
from gramwright.prep.made import PlanMade, Scheduler, make
from gramwright.prep.packs import Pack, pack_said
from gramwright.prep.schedule import schedule
from gramwright.prep.shopping import Stock
from gramwright.problems import Place, ProblemLog, Severity, Trouble
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.kitchen import Kitchen
from gramwright.publishing.plan import slugs_of
from gramwright.reading import files, pantry, prices
from gramwright.reading.plans import read_plan
from gramwright.site.plan_facts import facts


@dataclass(slots=True)
class CookbookRecipes:
    """Recipes as prep asks for them, out of a cookbook."""

    cookbook: Cookbook
    _labels: dict[int, tuple[Dish, Label]] = field(default_factory=dict)

    @property
    def rules(self) -> RuleSet:
        return self.cookbook.kitchen.rules

    def dish(self, slug: str) -> Dish:
        return self.cookbook.inner(slug)

    def cook(self, page: RecipePage, log: ProblemLog) -> Dish | None:
        return self.cookbook.dish(page, log)

    def label(self, dish: Dish) -> Label:
        """Problems of a recipe are reported with its own page."""
        known = self._labels.get(id(dish))
        if known is None:
            at = self.cookbook.kitchen
            made = label(dish, at.rules, at.books, at.settings, at.vocabulary, ProblemLog(), at.today)
            known = self._labels[id(dish)] = (dish, made)
        return known[1]

    def allergens(self, ingredients: Sequence[Ingredient]) -> AllergenFindings:
        kitchen = self.cookbook.kitchen
        return allergens.findings(ingredients, kitchen.rules.id, kitchen.settings, kitchen.today)


def plans_of(
    kitchen: Kitchen, slugs: Mapping[str, str], log: ProblemLog, scheduler: Scheduler = schedule
) -> tuple[PlanMade, ...]:
    """Every plan of the hub by slug; plans with errors are logged and left out."""
    listed = kitchen.hub.under("plans")
    stock, packs = read_stock(kitchen, log), read_packs(kitchen, log)
    if not listed:
        return ()
    recipes = CookbookRecipes(Cookbook(kitchen, slugs))
    made: dict[str, PlanMade] = {}
    seen: dict[str, str] = {}
    for file in listed:
        plan = _read(kitchen, file, log)
        if plan is None:
            continue
        first = seen.setdefault(plan.slug, file)
        if first != file:
            log.error(
                Place(file, plan.lines.get("slug", 1)),
                "duplicate-slug",
                f"expected a slug of its own, found '{plan.slug}', which {first} has too",
                "rename the file, or add another 'slug:'",
            )
            continue
        found = make(plan, recipes, stock, kitchen.settings.language, log, scheduler, packs)
        if found is not None:
            made[plan.slug] = found
    return tuple(made[slug] for slug in sorted(made))


def plan_facts(kitchen: Kitchen, log: ProblemLog) -> dict[str, Mapping[str, Any]]:
    """slug -> facts of every plan as it is now, without its schedules; plans with errors are logged and left out."""
    if not kitchen.hub.under("plans"):
        return {}
    found = ProblemLog()
    made = plans_of(kitchen, slugs_of(kitchen.hub, None, found), found, _unscheduled)
    log.extend(problem for problem in found if problem.severity is Severity.ERROR)
    return {plan.plan.slug: facts(plan) for plan in made}


def _unscheduled(_batches: Sequence[Batch], _gear: Gear, _log: ProblemLog) -> None:
    """Stands in for the scheduler where only the figures matter."""


def _read(kitchen: Kitchen, file: str, log: ProblemLog) -> PlanPage | None:
    if not files.small_enough(kitchen.hub.stamps[file][0], file, log):
        return None
    text = files.decode(kitchen.hub.read(file), file, log)
    return None if text is None else read_plan(text, file, log, kitchen.settings.language, kitchen.settings.kitchen)


def read_packs(kitchen: Kitchen, log: ProblemLog) -> dict[str, Pack]:
    """Food id -> what prices.csv says of its pack; what is wrong is logged at its line."""
    name = prices.FILE
    if name not in kitchen.hub.stamps:
        return {}
    text = files.decode(kitchen.hub.read(name), name, log)
    packs: dict[str, Pack] = {}
    seen: dict[str, Place] = {}
    for line in [] if text is None else prices.read_prices(text, name, log):
        try:
            food = kitchen.table.lookup(line.food)
            pack = pack_said(food, line.pack_g, line.price, line.price_date)
        except Trouble as trouble:
            log.add(trouble.at(line.place))
            continue
        first = seen.setdefault(food.id, line.place)
        if first != line.place:
            log.error(
                line.place,
                "duplicate-food",
                f"expected one pack of {food.name}, found another (first at {first})",
                "keep the pack that is bought",
            )
            continue
        packs[food.id] = pack
    return packs


def read_stock(kitchen: Kitchen, log: ProblemLog) -> dict[str, list[Stock]]:
    """Food id -> what pantry.csv says is in the house; foods that the table does not know are logged."""
    name = pantry.FILE
    if name not in kitchen.hub.stamps:
        return {}
    text = files.decode(kitchen.hub.read(name), name, log)
    stock: dict[str, list[Stock]] = {}
    for line in [] if text is None else pantry.read_pantry(text, name, log):
        try:
            food = kitchen.table.lookup(line.food)
        except Trouble as trouble:
            log.add(trouble.at(line.place))
            continue
        stock.setdefault(food.id, []).append(Stock(food, line.grams, line.best_before))
    return stock
