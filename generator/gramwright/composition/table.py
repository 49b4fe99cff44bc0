"""Takes the lines of food and measure tables, gives one table with exact look-up by id, name or alias; no guess."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from gramwright.composition.names import NameIndex, fold
from gramwright.composition.units import VOLUME, MeasureSystem
from gramwright.model import Food, Measure, Scale
from gramwright.problems import Place, Problem, ProblemLog, Trouble
from gramwright.reading.tables import MeasureLine

NONE: tuple[str, ...] = ()
PART = 0.75
"""How much likeness to a part of a name counts against likeness to the whole."""


class Split(NamedTuple):
    """A food with the grams of one of its measure."""

    food: Food
    grams: float
    scale: Scale
    measure: str
    """Display name; '' for a bare count."""


class FoodTable:
    """Foods with their measures, shipped ones and the hub's own.

    A hub's food replaces the shipped food of the same id whole. What a name
    leads to is looked for in the hub's own table first (ids, then names and
    aliases), then in the shipped one: the hub's table is the author's word.
    Two foods of one table under the same name are ambiguous, never chosen from.
    """

    def __init__(
        self,
        foods: Sequence[Food],
        measures: Sequence[MeasureLine],
        own_foods: Sequence[Food] = (),
        own_measures: Sequence[MeasureLine] = (),
        system: MeasureSystem | None = None,
    ) -> None:
        """`measures` were weighed with US customary spoons and cups, `own_measures` with those of the hub's `system`.

        What is wrong between the tables (an id twice, a measure of no food) is in `problems`.
        """
        self.kept: dict[tuple[MeasureSystem, str], tuple[Split, set[str]]] = {}
        """Rows already read, with the names that were looked up for them; kept by splits.py."""
        self._log = ProblemLog()
        self._heard: set[str] | None = None
        self._near: NameIndex | None = None
        self._hints: dict[tuple[str, ...], str] = {}
        own = self._once(own_foods)
        shipped = {food_id: food for food_id, food in self._once(foods).items() if food_id not in own}
        self._foods: dict[str, Food] = {**shipped, **own}
        self._reach: dict[str, tuple[str, ...]] = {}
        for layer in (shipped, own):
            self._reach.update(_names(layer.values()))
            self._reach.update(_ids(layer))
        self._measures: dict[str, dict[str, Measure]] = {}
        self._volumes: dict[str, dict[str, Measure]] = {}
        self._longer: set[str] = set()
        self._attach(measures, MeasureSystem.of("us", "us"))
        self._attach(own_measures, system or MeasureSystem.of())
        for food_id, found in self._measures.items():
            self._foods[food_id] = replace(self._foods[food_id], measures=tuple(found.values()))

    @property
    def problems(self) -> list[Problem]:
        return list(self._log)

    @property
    def foods(self) -> tuple[Food, ...]:
        """Every food, shipped ones first, in the order of their tables."""
        return tuple(self._foods.values())

    def listen(self, heard: set[str] | None) -> set[str] | None:
        """From now on every folded name that is looked up is added to `heard`; gives the set that listened before."""
        before, self._heard = self._heard, heard
        return before

    def hear(self, names: set[str]) -> None:
        """As if these folded names were looked up again."""
        if self._heard is not None:
            self._heard |= names

    def get(self, food_id: str) -> Food | None:
        return self._foods.get(food_id)

    def answer(self, name: str) -> tuple[str, ...]:
        """The ids that a name reaches: none when it is unknown, several when it is ambiguous."""
        return self._reach.get(fold(name), NONE)

    def find(self, name: str) -> tuple[str, ...]:
        """As `answer`, and heard by who listens."""
        key = fold(name)
        if self._heard is not None:
            self._heard.add(key)
        return self._reach.get(key, NONE)

    def lookup(self, name: str) -> Food:
        """The one food under an id, name or alias. Raises Trouble 'unknown-food', 'ambiguous-food' with candidates."""
        ids = self.find(name)
        if len(ids) == 1:
            return self._foods[ids[0]]
        raise self.ambiguous(name, ids) if ids else self.unknown(name)

    def measure(self, food_id: str, name: str) -> Measure | None:
        """A measure that the food owns, by its name ('cup chopped', 'medium')."""
        found = self._measures.get(food_id)
        return None if found is None else found.get(fold(name))

    def is_volume_name(self, name: str) -> bool:
        """Whether some food has a measure of this name that starts with a spoon or cup and goes on ('cup chopped')."""
        return fold(name) in self._longer

    def volumes(self, food: Food) -> tuple[Measure, ...]:
        """The food's measures that are a spoon or a cup and nothing more ('tbsp', not 'cup chopped')."""
        return tuple(self._volumes.get(food.id, {}).values())

    def search(self, text: str, most: int = 40) -> list[Food]:
        """Foods for a reader who searches: every word starts a word of a name, alias or id; else names nearly so."""
        words = fold(text).split()
        if not words:
            return []
        ranked: list[tuple[int, int, str]] = []
        for food in self._foods.values():
            names = [fold(food.name), *map(fold, food.aliases), fold(food.id)]
            fits = [name for name in names if _starts_words(words, name)]
            if fits:
                whole = " ".join(words)
                rank = 0 if whole in fits else 1 if any(name.startswith(whole) for name in fits) else 2
                ranked.append((rank, min(len(name) for name in fits), food.id))
        if ranked:
            return [self._foods[food_id] for _, _, food_id in sorted(ranked)[:most]]
        return self.near(text)

    def near(self, name: str, *others: str, most: int = 6) -> list[Food]:
        """The foods whose names are nearest to one that leads nowhere (or to another text for it), best first."""
        if self._near is None:
            self._near = NameIndex(self._reach)
        scored = self._near.near(name, most * 2)
        for other in others:
            further = self._near.near(other, most * 2)
            if _best(further) * PART > _best(scored):
                scored = further
        ids: dict[str, None] = {}
        for _, known in scored:
            ids.update(dict.fromkeys(self._reach[known]))
        return [self._foods[food_id] for food_id in list(ids)[:most]]

    def unknown(self, name: str, *others: str) -> Trouble:
        """The problem of a name that leads nowhere; `others` are further texts to look for near names with."""
        key = (name, *others)
        hint = self._hints.get(key)
        if hint is None:
            close = self.near(name, *others)
            hint = f"did you mean {listed(close)}?" if close else "add it to a table in foods/, with figures and source"
            self._hints[key] = hint
        return Trouble("unknown-food", f"expected the name of a food, found '{name.strip()}'", hint)

    def ambiguous(self, name: str, ids: Sequence[str]) -> Trouble:
        foods = [self._foods[food_id] for food_id in ids]
        return Trouble(
            "ambiguous-food",
            f"expected the name of one food, found '{name.strip()}', which is {len(foods)} foods",
            f"write one of them: {listed(foods)}",
        )

    def _once(self, foods: Iterable[Food]) -> dict[str, Food]:
        kept: dict[str, Food] = {}
        for food in foods:
            first = kept.get(food.id)
            if first is None:
                kept[food.id] = food
            else:
                self._log.error(
                    food.place,
                    "duplicate-food",
                    f"expected each food id once, found '{food.id}' again (first at {first.place})",
                    "give one of the two another id, or delete it",
                )
        return kept

    def _attach(self, lines: Iterable[MeasureLine], system: MeasureSystem) -> None:
        """Gives measures to their foods; later ones replace earlier ones of the same name."""
        placed: dict[tuple[str, str], Place] = {}
        for line in lines:
            ids = (line.food,) if line.food in self._foods else self.answer(line.food)
            if len(ids) != 1:
                trouble = self.ambiguous(line.food, ids) if ids else self.unknown(line.food)
                self._log.add(trouble.at(line.place))
                continue
            words = line.measure.split()
            weighed_with = MeasureSystem.of(line.volumes, line.volumes) if line.volumes else system
            unit, used = weighed_with.leading(words)
            if unit is not None and (unit.kind != VOLUME or unit.name[-1] == "L"):
                self._log.error(
                    line.place,
                    "bad-measure",
                    f"expected a household measure, found the unit '{line.measure}'",
                    "a density in g/mL stands in the foods table" if unit.kind == VOLUME else "delete the line",
                )
                continue
            key = fold(line.measure)
            if unit is not None:
                key = fold(" ".join([unit.name, *words[used:]]))
                if used < len(words):
                    self._longer.add(key)
            first = placed.setdefault((ids[0], key), line.place)
            if first is not line.place:
                self._log.error(
                    line.place,
                    "duplicate-measure",
                    f"expected '{line.measure}' of {ids[0]} once, found it again (first at {first})",
                    "keep one of the two",
                )
                continue
            measure = Measure(line.measure, line.grams, line.source, None if unit is None else unit.factor)
            self._measures.setdefault(ids[0], {})[key] = measure
            if used and used == len(words):
                self._volumes.setdefault(ids[0], {})[key] = measure


def described(food: Food) -> str:
    """A food for a message, with what tells it from its neighbours: 'pearl barley (barley-pearl-dry, dry)'."""
    state = f", {food.state}" if food.state else ""
    return f"{food.name} ({food.id}{state})"


def listed(foods: Iterable[Food]) -> str:
    return "; ".join(described(food) for food in foods)


def _names(foods: Iterable[Food]) -> Mapping[str, tuple[str, ...]]:
    """Folded name or alias -> the ids of all foods that have it."""
    found: dict[str, tuple[str, ...]] = {}
    for food in foods:
        for name in (food.name, *food.aliases):
            key = fold(name)
            ids = found.get(key, NONE)
            if key and food.id not in ids:
                found[key] = (*ids, food.id)
    return found


def _ids(foods: Iterable[str]) -> Mapping[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for food_id in foods:
        key = fold(food_id)
        found[key] = (*found.get(key, NONE), food_id)
    return found


def _best(scored: Sequence[tuple[float, str]]) -> float:
    return scored[0][0] if scored else 0.0


def _starts_words(words: Sequence[str], name: str) -> bool:
    have = name.split()
    return all(any(known.startswith(word) for known in have) for word in words)
