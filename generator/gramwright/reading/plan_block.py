"""Takes the YAML of a plan block, gives people, days, sessions and the kitchen.

```yaml
people:
  Hanne: {energy: 1900-2200 kcal, protein: 110 g.., fibre: 25.., salt: ..6 g}
  Bram: {}
kitchen: {hands: 2, rings: 4, ovens: [{name: big, from: 60, to: 250}], microwaves: 1, bowls: 5}   # beside hub.yaml's
session: {day: 1, at: "10:00"}            # or sessions: [...]; cooks: [slug, {recipe: slug, portions: 6}];
                                          # together: [slug, slug] to be ready at the same time
from: 2026-06-12                          # the first day, where the days are no dates; a weekday for weekdays
days:
  day 1:                                  # or ISO dates throughout: 2026-06-12, or weekdays
    dinner: black-bean-chilli             # one portion each
  day 2:
    breakfast: {recipe: ebb-tide-oats, portions: {Hanne: 1, Bram: 1.5}, swaps: [plain soya pot]}
    dinner:
      - {recipe: black-bean-chilli, toppings: [avocado], keep: freezer}
      - {recipe: seeded-soda-bread, portions: 2, fresh: yes}
part_days: [day 1]                        # not every meal of it is planned: targets are not looked at
```
"""

from __future__ import annotations

from collections import abc
from typing import NamedTuple

from gramwright.model import Gear, Named, Person, PlanDay, Serving, Session, Target
from gramwright.problems import Place, ProblemLog, Trouble, near
from gramwright.reading.fields import Fields
from gramwright.reading.plan_days import MOST_DAYS, Calendar
from gramwright.reading.plan_kitchen import read_gear, read_sessions, session_days
from gramwright.reading.targets import parse_target
from gramwright.reading.yaml_nodes import Mapping, Node, Scalar, Sequence, described, short

KEYS = ("people", "kitchen", "session", "sessions", "from", "days", "part_days")
SERVING_KEYS = ("recipe", "portions", "swaps", "toppings", "keep", "fresh")
MOST_PEOPLE = 40


class PlanBlock(NamedTuple):
    """What a plan block says."""

    people: tuple[Person, ...]
    days: tuple[PlanDay, ...]
    sessions: tuple[Session, ...]
    gear: Gear | None
    first_weekday: int | None
    """Of day 1 in an undated plan whose days are weekdays; 0 is Monday."""

    @classmethod
    def read(
        cls, node: Mapping, file: str, log: ProblemLog, names: abc.Mapping[str, int], kitchen: Gear | None
    ) -> PlanBlock:
        """Everything that can be read; what is wrong is logged. `names` are the weekdays', `kitchen` is the hub's."""
        fields = Fields(node, file, log)
        fields.only(KEYS, "a plan")
        people = _people(fields, node)
        calendar = Calendar(file, log, names)
        calendar.learn(fields.scalar("from", "the first day"), _day_texts(fields), session_days(fields))
        days = _Days(file, log, people, calendar).read(fields, node)
        sessions = read_sessions(fields, calendar.number)
        return cls(people, days, sessions, read_gear(fields, kitchen), calendar.weekday)


def _day_texts(fields: Fields) -> list[str]:
    found = fields.node("days")
    return [key.text for key, _ in found.entries.values()] if isinstance(found, Mapping) else []


def _people(fields: Fields, node: Mapping) -> tuple[Person, ...]:
    found = fields.node("people")
    example = "people: {Hanne: {energy: 1900-2200 kcal, protein: 110 g..}}"
    if found is None or (isinstance(found, Mapping) and not found.entries):
        where = node if "people" not in fields.entries else fields.entries["people"][0]
        fields.problem(where, "no-people", "expected at least one person in the plan, found none", example)
        return ()
    if isinstance(found, Sequence):
        names = {item.text.strip(): (item, Scalar("", item.line, item.column, True)) for item in found.items
                 if isinstance(item, Scalar)}  # fmt: skip
        found = Mapping(dict(names), found.line, found.column)
    if not isinstance(found, Mapping):
        fields.problem(found, "wrong-type", f"expected people by name, found {described(found)}", example)
        return ()
    if len(found.entries) > MOST_PEOPLE:
        fields.problem(
            found, "too-many-people", f"expected at most {MOST_PEOPLE} people, found {len(found.entries)}", "split it"
        )
        return ()
    people: list[Person] = []
    inner = Fields(found, fields.file, fields.log)
    for key, value in found.entries.values():
        before = len(fields.log)
        name = inner.plain(key, "a person's name", 60)
        if not name and len(fields.log) > before:
            continue
        if not name:
            fields.problem(key, "no-name", "expected a person's name, found nothing", "any name will do")
            continue
        people.append(Person(name, _targets(value, fields), fields.place(key)))
    return tuple(people)


def _targets(node: Node, fields: Fields) -> tuple[Target, ...]:
    if isinstance(node, Scalar) and node.empty:
        return ()
    if not isinstance(node, Mapping):
        fields.problem(
            node,
            "wrong-type",
            f"expected targets, found {described(node)}",
            "{energy: 1900-2200 kcal, protein: 110 g..}, or {} for none",
        )
        return ()
    targets: list[Target] = []
    for name, (key, value) in node.entries.items():
        if not isinstance(value, Scalar):
            fields.problem(
                value, "wrong-type", f"expected a target, found {described(value)}", "energy: 1900-2200 kcal"
            )
            continue
        try:
            tag, low, high = parse_target(name.strip().lower(), value.text)
        except Trouble as trouble:
            fields.log.add(trouble.at(fields.place(key if trouble.code == "unknown-target" else value)))
            continue
        targets.append(Target(name.strip().lower(), tag, low, high, " ".join(value.text.split()), fields.place(value)))
    return tuple(targets)


class _Days:
    def __init__(self, file: str, log: ProblemLog, people: tuple[Person, ...], calendar: Calendar) -> None:
        self.file = file
        self.log = log
        self.people = [person.name for person in people]
        self.calendar = calendar

    def error(self, node: Node, code: str, message: str, hint: str) -> None:
        self.log.error(Place(self.file, node.line, node.column), code, message, hint)

    def read(self, fields: Fields, node: Mapping) -> tuple[PlanDay, ...]:
        found = fields.node("days")
        if not isinstance(found, Mapping) or not found.entries:
            where: Node = node if "days" not in fields.entries else fields.entries["days"][0]
            what = "none" if found is None or isinstance(found, Mapping) else described(found)
            self.error(
                where, "no-days", f"expected days with their meals, found {what}", "days: {day 1: {dinner: slug}}"
            )
            return ()
        days: dict[int, PlanDay] = {}
        part = self.part(fields)
        whole = len(self.log)
        for key, value in found.entries.values():
            number = self.calendar.number(key)
            if number is None:
                continue
            if number in days:
                self.error(
                    key,
                    "day-twice",
                    f"expected day {number} once, found it again (first in line {days[number].place.line})",
                    "put all meals of a day under one heading",
                )
                continue
            if number > MOST_DAYS:
                self.error(
                    key,
                    "plan-too-long",
                    f"expected at most {MOST_DAYS} days from the first, found day {number}",
                    "nothing cooked once keeps that long in this plan: make several plans",
                )
                continue
            days[number] = PlanDay(
                number,
                self.calendar.date_of(number),
                self.meals(number, value),
                Place(self.file, key.line, key.column),
                number in part,
            )
        if len(self.log) == whole:
            self.planned(part, days)
        return tuple(days[number] for number in sorted(days))

    def planned(self, part: dict[int, Scalar], days: dict[int, PlanDay]) -> None:
        """Every day that is said to be planned in part has to be one of the plan's."""
        for number, node in part.items():
            if number not in days:
                self.error(
                    node,
                    "unknown-day",
                    f"expected a day of the plan in 'part_days', found '{short(node.text.strip())}'",
                    f"days are: {', '.join(day.date or f'day {day.number}' for day in list(days.values())[:12])}",
                )

    def part(self, fields: Fields) -> dict[int, Scalar]:
        """Numbers of the days that are planned only in part, and where it is said."""
        node = fields.node("part_days")
        found: dict[int, Scalar] = {}
        if node is None:
            return found
        for item in node.items if isinstance(node, Sequence) else [node]:
            if isinstance(item, Scalar):
                number = self.calendar.number(item)
                if number is not None:
                    found[number] = item
            else:
                self.error(item, "wrong-type", f"expected a day, found {described(item)}", "part_days: [day 1]")
        return found

    def meals(self, day: int, node: Node) -> tuple[Serving, ...]:
        if not isinstance(node, Mapping) or not node.entries:
            if not (isinstance(node, Scalar) and node.empty):
                self.error(node, "wrong-type", f"expected meals, found {described(node)}", "dinner: recipe-slug")
            return ()
        servings: list[Serving] = []
        meals = Fields(node, self.file, self.log)
        for key, value in node.entries.values():
            meal = meals.plain(key, "a meal's name", 60)
            for item in value.items if isinstance(value, Sequence) else [value]:
                serving = self.serving(day, meal, item)
                if serving is not None:
                    servings.append(serving)
        return tuple(servings)

    def serving(self, day: int, meal: str, node: Node) -> Serving | None:
        place = Place(self.file, node.line, node.column)
        everyone = dict.fromkeys(self.people, 1.0)
        if isinstance(node, Scalar) and not node.empty:
            return Serving(day, meal, node.text.strip(), everyone, (), (), "", False, place)
        if not isinstance(node, Mapping):
            self.error(
                node,
                "wrong-type",
                f"expected the slug of a recipe for {meal}, found {described(node)}",
                f"{meal}: recipe-slug, or {meal}: {{recipe: slug, portions: 1.5}}",
            )
            return None
        fields = Fields(node, self.file, self.log)
        fields.only(SERVING_KEYS, "a meal")
        before = len(self.log)
        recipe = fields.text("recipe", 200)
        if not recipe:
            if len(self.log) == before:
                self.error(node, "no-recipe", f"expected a recipe for {meal}, found none", "recipe: its-slug")
            return None
        return Serving(
            day,
            meal,
            recipe,
            self.portions(fields) or everyone,
            self.named(fields, "swaps"),
            self.named(fields, "toppings"),
            fields.choice("keep", ("fridge", "freezer"), ""),
            fields.flag("fresh"),
            place,
        )

    def portions(self, fields: Fields) -> dict[str, float]:
        """Person -> portions; {} where every person has one."""
        node = fields.node("portions")
        if node is None:
            return {}
        if isinstance(node, Scalar):
            each = fields.number("portions", 0, 50, "portions for each person, as in 1 or 1.5", above=True)
            return {} if each is None else dict.fromkeys(self.people, each)
        if not isinstance(node, Mapping):
            fields.problem(node, "wrong-type", f"expected portions, found {described(node)}", "portions: {Hanne: 1.5}")
            return {}
        if not self.people:  # said where the people should be
            return {}
        inner = Fields(node, self.file, self.log)
        found: dict[str, float] = {}
        for name, (key, _) in node.entries.items():
            if name.strip() not in self.people:
                close = near(name.strip(), self.people, 1)
                hint = f"did you mean '{close[0]}'?" if close else f"people are: {', '.join(self.people)}"
                self.error(key, "unknown-person", f"expected a person of the plan, found '{short(name)}'", hint)
                continue
            number = inner.number(name, 0, 50, "how many portions, as in 1 or 1.5; leave away who eats none")
            if number:
                found[name.strip()] = number
        if not found and len(node.entries):
            self.error(node, "nobody-eats", "expected somebody to eat this, found nobody", "delete the meal")
        return {name: found[name] for name in self.people if name in found}

    def named(self, fields: Fields, key: str) -> tuple[Named, ...]:
        node = fields.node(key)
        if node is None:
            return ()
        items = node.items if isinstance(node, Sequence) else [node]
        found: list[Named] = []
        for item in items:
            if not isinstance(item, Scalar) or item.empty:
                self.error(item, "wrong-type", f"expected a food in '{key}', found {described(item)}", f"{key}: [food]")
                continue
            name = fields.plain(item, f"'{key}'", 200)
            if name:
                found.append(Named(name, fields.place(item)))
        return tuple(found)
