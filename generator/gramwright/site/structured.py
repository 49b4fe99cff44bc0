"""Structured data. Takes a dish and its label, gives schema.org Recipe with NutritionInformation as JSON-LD.

schema.org (Recipe, NutritionInformation, RestrictedDiet): durations are ISO
8601, amounts are texts with their unit, sodium is in milligrams. A figure that
is not known for the whole portion is left out, since "at least" cannot be
said there. Of the diets only vegetarian and vegan are stated, and only when the
ingredients as recorded say so.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from gramwright.model import Dish, Label, Settings, Tag
from gramwright.site.rows_view import readable

NUTRITION: Mapping[str, tuple[Tag, str, int]] = {
    "calories": ("ENERC_kcal", "calories", 0),
    "proteinContent": ("PROCNT_g", "g", 1),
    "carbohydrateContent": ("CHOAVL_g", "g", 1),
    "sugarContent": ("SUGAR_g", "g", 1),
    "fatContent": ("FAT_g", "g", 1),
    "saturatedFatContent": ("FASAT_g", "g", 1),
    "fiberContent": ("FIBTG_g", "g", 1),
    "sodiumContent": ("NA_mg", "mg", 0),
    "cholesterolContent": ("CHOLE_mg", "mg", 0),
}
"""Property -> tag, unit, decimals."""

DIETS: Mapping[str, str] = {
    "vegetarian": "https://schema.org/VegetarianDiet",
    "vegan": "https://schema.org/VeganDiet",
}


def recipe(
    dish: Dish, label: Label, settings: Settings, *, url: str, steps: Sequence[str], images: Sequence[str] = ()
) -> dict[str, Any]:
    """The Recipe object; `url` and `images` are absolute; '' for none. `steps` are the method's steps as plain text."""
    page = dish.page
    made: dict[str, Any] = {"@context": "https://schema.org", "@type": "Recipe", "name": page.title}
    optional: dict[str, Any] = {
        "description": page.summary,
        "url": url,
        "image": [image for image in images if image],
        "datePublished": page.published,
        "inLanguage": settings.language,
        "recipeCategory": list(page.meals),
        "keywords": ", ".join(page.tags),
        "prepTime": _duration(page.hands_on_min),
        "totalTime": _duration(page.total_min),
    }
    if settings.author:
        optional["author"] = {"@type": "Person", "name": settings.author}
    made.update((name, value) for name, value in optional.items() if value)
    made["recipeYield"] = f"{page.portions:g}"
    made["recipeIngredient"] = [readable(i.row.text.partition(";")[0].strip(), i) for i in dish.ingredients]
    if steps:
        made["recipeInstructions"] = [{"@type": "HowToStep", "text": step} for step in steps]
    made["nutrition"] = nutrition(dish, label)
    diets = [DIETS[diet] for diet, answer in label.suits.items() if answer is True and diet in DIETS]
    if diets:
        made["suitableForDiet"] = diets
    return made


def nutrition(dish: Dish, label: Label) -> dict[str, str]:
    """NutritionInformation for one portion."""
    serving = "1 portion" if dish.portion_g is None else f"1 portion ({dish.portion_g:.0f} g)"
    made = {"@type": "NutritionInformation", "servingSize": serving}
    for name, (tag, unit, decimals) in NUTRITION.items():
        figure = label.per_portion.get(tag)
        if figure is not None and figure.coverage >= 1 and tag not in label.to_taste:
            made[name] = f"{figure.amount:.{decimals}f} {unit}"
    return made


def encode(data: Mapping[str, Any]) -> str:
    """JSON for a script element: every '<' escaped, so that nothing in it ends the element (JSON-LD 1.1, section 7)."""
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")


def _duration(minutes: float | None) -> str:
    """ISO 8601: 'PT1H30M'; '' when not said."""
    if minutes is None:
        return ""
    hours, rest = divmod(round(minutes), 60)
    return "PT" + (f"{hours}H" if hours else "") + (f"{rest}M" if rest or not hours else "")
