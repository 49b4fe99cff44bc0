"""Takes a hub's folder, gives everything that its recipes share: settings, tables, books, rule set."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from gramwright.composition.audit import explained, impossible
from gramwright.composition.library import load_shipped
from gramwright.composition.table import FoodTable
from gramwright.composition.units import MeasureSystem
from gramwright.labelling import cautions, rulesets, statements
from gramwright.labelling.rulesets import RuleSet
from gramwright.model import Food, Settings
from gramwright.nutrition.books import NutritionBooks
from gramwright.problems import Place, ProblemLog, Trouble
from gramwright.publishing.house import food_fingerprint
from gramwright.publishing.hub import HubFiles
from gramwright.reading import corrections as reading_corrections
from gramwright.reading import files as reading_files
from gramwright.reading import packs as reading_packs
from gramwright.reading import settings as reading_settings
from gramwright.reading import tables as reading_tables
from gramwright.reading import vocabulary as reading_vocabulary
from gramwright.reading.corrections import Correction
from gramwright.reading.tables import MeasureLine
from gramwright.reading.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True)
class Kitchen:
    """What every recipe of a hub is computed with. Made once a process, never changed."""

    hub: HubFiles
    settings: Settings
    vocabulary: Vocabulary
    table: FoodTable
    system: MeasureSystem
    books: NutritionBooks
    rules: RuleSet
    today: date
    own_foods: frozenset[str]
    """Ids of the hub's own foods."""
    corrections: tuple[Correction, ...] = ()
    """The log, oldest first."""
    also: tuple[RuleSet, ...] = ()
    """Rule sets that recipe pages show beside the hub's own."""
    _answers: dict[str, str] = field(default_factory=dict)

    def answer_digest(self, name: str) -> str:
        """Changes when the food table answers a (folded) name with anything else than before."""
        known = self._answers.get(name)
        if known is None:
            foods = [self.table.get(food_id) for food_id in self.table.answer(name)]
            prints = [
                food_fingerprint(food, self.settings, self.today) + self.recent_corrections(food.id)
                for food in foods
                if food is not None
            ]
            known = self._answers[name] = "|".join(sorted(prints))
        return known

    def recent_corrections(self, food_id: str) -> str:
        """What pages say of the log about one food: its entries within the hub's days."""
        since = (self.today - timedelta(days=self.settings.corrections_days)).isoformat()
        return "".join(
            f"|{entry.date},{entry.component},{entry.old},{entry.new},{entry.reason}"
            for entry in self.corrections
            if entry.food == food_id and since <= entry.date <= self.today.isoformat()
        )

    def name_of(self, food_id: str) -> str:
        food = self.table.get(food_id)
        return food_id if food is None else food.name


def open_kitchen(hub: HubFiles, today: date, log: ProblemLog) -> Kitchen | None:
    """Reads settings and tables; logs every problem and gives None when there are errors."""
    before = len(log)
    log.extend(hub.problems)
    settings = read_hub_settings(hub, log)
    vocabulary = reading_vocabulary.load()
    foods, measures = load_shipped(vocabulary, log)
    own_foods, own_measures = read_own_tables(hub, vocabulary, today, log)
    corrections = read_log(hub, log)
    books = NutritionBooks.load(log)
    if settings is None:
        return None
    try:
        rules = rulesets.load(settings.rule_set, settings.language)
    except Trouble as trouble:
        log.add(trouble.at(settings.place))
        return None
    also = _also(settings, log)
    statements.check(own_foods, rules.id, settings, today, log)
    settings = cautions.of_hub(settings, log)
    check_figures(hub, own_foods, today, log)
    fresh = ProblemLog(list(log)[before:])
    if fresh.has_errors:
        return None
    system = MeasureSystem.of(settings.spoons, settings.cups)
    table = FoodTable(foods, measures, own_foods, own_measures, system)
    log.extend(table.problems)
    if any(problem.severity == "error" for problem in table.problems):
        return None
    own = frozenset(food.id for food in own_foods)
    return Kitchen(hub, settings, vocabulary, table, system, books, rules, today, own, corrections, also)


def _also(settings: Settings, log: ProblemLog) -> tuple[RuleSet, ...]:
    """The further rule sets of a hub; one that does not exist is a problem where it is named."""
    found: list[RuleSet] = []
    for name, place in settings.also_rules:
        try:
            found.append(rulesets.load(name, settings.language))
        except Trouble as trouble:
            log.add(trouble.at(place))
    return tuple(found)


def read_hub_settings(hub: HubFiles, log: ProblemLog) -> Settings | None:
    text = reading_files.decode(hub.read("hub.yaml"), "hub.yaml", log)
    return None if text is None else reading_settings.read_settings(text, "hub.yaml", log)


def read_own_tables(
    hub: HubFiles, vocabulary: Vocabulary, today: date, log: ProblemLog
) -> tuple[list[Food], list[MeasureLine]]:
    """The hub's own foods and measures, in file order; a food id in two files is a problem.

    foods/*.csv are tables, foods/*.yaml bought packs as printed.
    """
    foods: list[Food] = []
    measures: list[MeasureLine] = []
    seen: dict[str, Place] = {}
    for name in hub.under("foods"):
        text = reading_files.decode(hub.read(name), name, log)
        found: list[Food] = []
        if text is not None and name.endswith(".yaml"):
            found, lines = reading_packs.read_packs(text, name, log, vocabulary, today=today)
            measures += lines
        elif text is not None:
            found = reading_tables.read_foods(text, name, log, vocabulary, today=today)
        for food in found:
            if food.id in seen:
                log.error(
                    food.place,
                    "duplicate-food",
                    f"expected each food id once, found '{food.id}' here and at {seen[food.id]}",
                    "give one of the two another id, or delete it",
                )
                continue
            seen[food.id] = food.place
            foods.append(food)
    for name in hub.under("measures"):
        text = reading_files.decode(hub.read(name), name, log)
        if text is not None:
            measures.extend(reading_tables.read_measures(text, name, log))
    return foods, measures


def check_figures(hub: HubFiles, own_foods: list[Food], today: date, log: ProblemLog) -> None:
    """Logs figures of the hub's own tables that cannot be. (A bought pack's figures are checked where it is read.)"""
    foods = [food for food in own_foods if food.place.file.endswith(".csv")]
    found = list(impossible.findings(foods, today)) if foods else []
    if not found:
        return
    explanations = explained.load_shipped(log)
    name = explained.OWN
    if name in hub.stamps:
        text = reading_files.decode(hub.read(name), name, log)
        explanations += [] if text is None else explained.read_explained(text, name, log)
    log.extend(impossible.problems(found, explanations))


def read_log(hub: HubFiles, log: ProblemLog) -> tuple[Correction, ...]:
    """The hub's log of corrections; empty when it has none."""
    name = reading_corrections.FILE
    if name not in hub.stamps:
        return ()
    text = reading_files.decode(hub.read(name), name, log)
    return () if text is None else tuple(reading_corrections.read_corrections(text, name, log))
