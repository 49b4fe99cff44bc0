"""How rows are measured. Takes ingredients, gives what the page's script needs to scale them and to say them otherwise.

One entry a row: [how, number, measure, grams, grams a mL, measure of one, grams of one, name].
`how` is m (weighed), v (a spoon, a cup, millilitres), c (counted), w (counted, and only whole: eggs), p (portions of
another recipe) or t (to taste); `number` is the amount as written, [low, high] for a range; grams are those on the
scale. What is empty at the end is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gramwright.composition.units import MeasureSystem
from gramwright.model import Food, Ingredient, Scale

HOW = {Scale.MASS: "m", Scale.VOLUME: "v", Scale.COUNT: "c", Scale.PORTIONS: "p", Scale.TASTE: "t"}
EACH = "each"
"""The measure of a bare count ("2 eggs")."""
WHOLE_GROUPS = frozenset({"eggs"})
"""Groups whose foods come in shells: half of one is weighed out, never bought (ids of foods/vocabulary.yaml)."""


class Scales:
    """Says how rows are measured; remembers what it looked up of each food."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[Food, float, str, float]] = {}

    def entry(self, ingredient: Ingredient, name: str) -> list[Any]:
        """One row as the script reads it; `name` is the food as the author says it."""
        row, food = ingredient.row, ingredient.food
        quantity = row.quantity
        how = HOW[ingredient.scale]
        if quantity is None or how == "t":
            return ["t", 0, "", 0, 0, "", 0, name]
        number: Any = _short(quantity.low)
        if quantity.high != quantity.low:
            number = [number, _short(quantity.high)]
        grams = _short(ingredient.weighed_g)
        if food is None:
            return [how, number, ingredient.measure, grams, 0, "", 0, name]
        known = self._known.get(id(food))
        if known is None or known[0] is not food:
            known = self._known[id(food)] = (food, *_of(food))
        if how == "c" and food.group in WHOLE_GROUPS:
            how = "w"
        return [how, number, ingredient.measure, grams, known[1], known[2], known[3], name]


def system(measures: MeasureSystem) -> Mapping[str, Mapping[str, float]]:
    """Unit -> grams or millilitres, of the hub's own measures and of the customary ones of the United States."""
    customary = MeasureSystem.of("us", "us")
    return {
        "hub": _volumes(measures),
        "us": _volumes(customary) | {name: measures.named(name).factor for name in ("oz", "lb")},
        "mass": {name: measures.named(name).factor for name in ("g", "kg", "mg", "oz", "lb")},
        "metric": {name: measures.named(name).factor for name in ("mL", "cL", "dL", "L")},
    }


def _volumes(measures: MeasureSystem) -> dict[str, float]:
    return {name: measures.named(name).factor for name in ("tsp", "tbsp", "cup", "fl oz")}


def _of(food: Food) -> tuple[float, str, float]:
    """Grams a millilitre (0: not known), the food's own measure for one of it ('' for none) and its grams."""
    density = food.density_g_ml or 0.0
    one, grams = "", 0.0
    for measure in food.measures:
        if measure.volume_ml:
            density = density or measure.grams / measure.volume_ml
        elif not one:
            one, grams = measure.name or EACH, measure.grams
    return _short(density), one, _short(grams)


def _short(number: float) -> float | int:
    """A number as short as it can be written: 160, 2.5."""
    made = float(f"{number:.6g}")
    return int(made) if made == int(made) else made
