"""How rows are measured. Takes ingredients, gives what the page's script needs to scale them and to say them otherwise.

One entry a row: [how, number, measure, grams, grams a mL, measure of one, grams of one].
`how` is m (weighed), v (a spoon, a cup, millilitres), c (counted), w (counted, and only whole: eggs), p (portions of
another recipe) or t (to taste); `number` is the amount as written, [low, high] for a range; grams are those on the
scale. What is empty at the end is left out.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache

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
        self._known: dict[int, tuple[Food, bool, str]] = {}

    def entry(self, ingredient: Ingredient) -> str:
        """One row as the script reads it, in JSON."""
        quantity, food = ingredient.row.quantity, ingredient.food
        how = HOW[ingredient.scale]
        if quantity is None or how == "t":
            return '["t"]'
        number = f"{quantity.low:.6g}"
        if quantity.high != quantity.low:
            number = f"[{number},{quantity.high:.6g}]"
        more = ""
        if food is not None:
            known = self._known.get(id(food))
            if known is None or known[0] is not food:
                known = self._known[id(food)] = (food, food.group in WHOLE_GROUPS, _of(food))
            more = known[2]
            if known[1] and how == "c":
                how = "w"
        return f'["{how}",{number},{_quoted(ingredient.measure)},{ingredient.weighed_g:.6g}{more}]'


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


def _of(food: Food) -> str:
    """',grams a mL,"measure",grams': the food's density (0: not known) and its own measure for one of it; ''."""
    density = food.density_g_ml or 0.0
    one, grams = "", 0.0
    for measure in food.measures:
        if measure.volume_ml:
            density = density or measure.grams / measure.volume_ml
        elif not one:
            one, grams = measure.name or EACH, measure.grams
    if one:
        return f",{density:.6g},{_quoted(one)},{grams:.6g}"
    return f",{density:.6g}" if density else ""


@lru_cache(maxsize=1024)
def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
