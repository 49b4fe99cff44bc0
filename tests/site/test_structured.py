"""JSON-LD against schema.org: Recipe, NutritionInformation, RestrictedDiet (names and types of the vocabulary)."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest
from tests.site import sample

from gramwright.model import Figure
from gramwright.site import structured

RECIPE = frozenset(
    {
        "@context",
        "@type",
        "name",
        "description",
        "image",
        "author",
        "datePublished",
        "keywords",
        "inLanguage",
        "url",
        "prepTime",
        "totalTime",
        "recipeCategory",
        "recipeIngredient",
        "recipeInstructions",
        "recipeYield",
        "nutrition",
        "suitableForDiet",
    }
)
"""Properties of schema.org Recipe (and of the types above it) that are used here."""
NUTRITION = frozenset(
    {
        "@type",
        "servingSize",
        "calories",
        "proteinContent",
        "carbohydrateContent",
        "sugarContent",
        "fatContent",
        "saturatedFatContent",
        "transFatContent",
        "unsaturatedFatContent",
        "fiberContent",
        "sodiumContent",
        "cholesterolContent",
    }
)
"""Properties of schema.org NutritionInformation."""
DURATION = re.compile(r"P(?=.)(?:\d+D)?(?:T(?=.)(?:\d+H)?(?:\d+M)?(?:\d+S)?)?")
"""ISO 8601 durations, as schema.org Duration wants them."""


def data() -> dict[str, object]:
    dish = sample.dish()
    made = structured.recipe(dish, sample.label(dish), sample.SETTINGS, url="https://example.org/x/", steps=["Stir."])
    return json.loads(structured.encode(made))  # type: ignore[no-any-return]


def test_properties_are_of_the_vocabulary() -> None:
    made = data()
    assert set(made) <= RECIPE
    assert made["@context"] == "https://schema.org"
    assert made["@type"] == "Recipe"
    # What search engines ask of a recipe at least, and what this one has.
    assert {"name", "recipeIngredient", "recipeInstructions", "nutrition", "totalTime", "author"} <= set(made)
    nutrition = made["nutrition"]
    assert isinstance(nutrition, dict)
    assert set(nutrition) <= NUTRITION
    assert nutrition["@type"] == "NutritionInformation"
    for name in ("prepTime", "totalTime"):
        assert DURATION.fullmatch(str(made[name]))


def test_amounts_carry_their_unit_and_sodium_is_in_milligrams() -> None:
    nutrition = data()["nutrition"]
    assert isinstance(nutrition, dict)
    per = sample.label().per_portion
    assert nutrition["calories"] == f"{per['ENERC_kcal'].amount:.0f} calories"
    assert nutrition["sodiumContent"] == f"{per['NA_mg'].amount:.0f} mg"
    assert re.fullmatch(r"\d+\.\d g", nutrition["proteinContent"])
    assert nutrition["servingSize"] == "1 portion (405 g)"


def test_what_is_known_in_part_only_is_left_out() -> None:
    label = sample.label()
    assert label.per_portion["SUGAR_g"].coverage < 1
    nutrition = structured.nutrition(sample.dish(), label)
    assert "sugarContent" not in nutrition
    known = {**label.per_portion, "SUGAR_g": Figure(1.0, 1.0, 1.0, 1.0)}
    assert structured.nutrition(sample.dish(), replace(label, per_portion=known))["sugarContent"] == "1.0 g"


@pytest.mark.parametrize(
    ("suits", "diets"),
    [
        ({"vegetarian": True, "vegan": False}, ["https://schema.org/VegetarianDiet"]),
        ({"vegetarian": True, "vegan": True}, ["https://schema.org/VegetarianDiet", "https://schema.org/VeganDiet"]),
        ({"vegetarian": None, "vegan": None}, None),
        ({"halal": True, "gluten free": True}, None),
    ],
)
def test_only_vegetarian_and_vegan_are_stated_and_only_when_true(
    suits: dict[str, bool | None], diets: list[str] | None
) -> None:
    dish = sample.dish()
    label = replace(sample.label(dish), suits=suits)
    assert structured.recipe(dish, label, sample.SETTINGS, url="", steps=()).get("suitableForDiet") == diets


def test_no_script_can_be_closed_from_inside() -> None:
    """JSON-LD 1.1, section 7.1: what would end the script element must be escaped."""
    text = structured.encode({"name": "</script><!--<script>"})
    assert "<" not in text
    assert json.loads(text)["name"] == "</script><!--<script>"
