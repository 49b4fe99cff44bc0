"""Amounts as a kitchen measures them. What is sensible on a scale is common practice, no source; spoons and cups are
those of the hub (NSW Health and NIST Handbook 44 values stand in composition/units.py)."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
from tests.site.cook_by_hand import Script

from gramwright.model import Settings
from gramwright.site import words
from gramwright.site.cook import rules as cook_rules
from gramwright.site.cook.rules import words_script

THIN = "\u202f"
SPOON_OF_OIL = ["v", 1, "tbsp", 13.7, 0.913]
FLOUR = ["m", 250, "g", 250, 0.53]
EGG = ["w", 2, "large", 100, 0, "each", 50]
CARROT = ["c", 2, "medium", 122, 0, "medium", 61]
CHICKEN = ["m", 400, "g", 400]


@pytest.fixture(scope="module")
def script() -> Iterator[Script]:
    made = Script()
    settings = Settings("Galley", "https://example.org")
    body = words_script(settings, words.load("en", None)).decode()
    made.ask(words=json.loads(body.partition(" = ")[2].rstrip(";\n")))
    yield made
    made.close()


@pytest.mark.parametrize(
    ("row", "times", "measure", "amount", "grams"),
    [
        (FLOUR, 2, "", "500 g", ""),
        (FLOUR, 0.5, "", "125 g", ""),
        (["m", 0.25, "kg", 250], 1, "", "250 g", ""),
        (["m", 1.5, "kg", 1500], 0.5, "", "750 g", ""),
        (["m", 7, "g", 7], 1.5, "", "10.5 g", ""),
        (["m", 333, "g", 333], 1, "g", "335 g", ""),
        (["m", [100, 150], "g", 125], 2, "", "200\u2013300 g", ""),
        (SPOON_OF_OIL, 1.5, "", "1 1/2 tbsp", "21 g"),
        (SPOON_OF_OIL, 2, "", "2 tbsp", "27 g"),
        (SPOON_OF_OIL, 0.25, "", "3/4 tsp", "3.4 g"),
        (SPOON_OF_OIL, 17, "", "1 cup", "233 g"),
        (["v", 0.25, "tsp", 1.5], 0.5, "", "1/8 tsp", "0.8 g"),
        (["v", 0.25, "tsp", 1.5], 1.5, "", "1/4 tsp + 1/8 tsp", "2.3 g"),
        (["v", 600, "mL", 618, 1.03], 1.5, "", "900 mL", "925 g"),
        (["v", 600, "mL", 618, 1.03], 2, "", "1.2 L", "1240 g"),
        (["v", 0.15, "L", 155], 2, "", "300 mL", "310 g"),
        (EGG, 1, "", "2 large", "100 g"),
        (EGG, 2, "", "4 large", "200 g"),
        (EGG, 0.75, "", "2 large, 75 g of it", ""),
        (CARROT, 0.75, "", "1 1/2 medium", "92 g"),
        (CARROT, 0.25, "hub", "1/2 medium", "31 g"),
        (["c", 1, "slice", 40, 0, "slice", 40], 2, "", "2 slices", "80 g"),
        (["p", 2, "portion", 500], 0.5, "", "1 portion", "250 g"),
        (["t"], 3, "us", "to taste", ""),
        (FLOUR, 1, "us", "2 cups", "250 g"),
        (CHICKEN, 1, "us", "14 oz", "400 g"),
        (CHICKEN, 2, "us", "1 lb 12 oz", "800 g"),
        (CHICKEN, 1, "hub", "400 g", ""),
        (["m", 122, "g", 122, 0, "medium", 61], 1, "hub", "2 medium", "122 g"),
        (["m", 3, "g", 3, 0, "pinch", 0.4], 1, "hub", "3 g", ""),
    ],
)
def test_amounts(script: Script, row: list[object], times: float, measure: str, amount: str, grams: str) -> None:
    found = script.ask(amount=row, times=times, measure=measure)
    assert {name: text.replace(THIN, "") for name, text in found.items()} == {
        "amount": amount.replace(THIN, ""),
        "grams": grams,
    }


@pytest.mark.parametrize("times", [0.1, 0.25, 0.37, 0.5, 0.8, 1.3, 1.5, 2, 3.7, 12])
def test_no_weight_is_more_than_five_parts_in_a_hundred_off(script: Script, times: float) -> None:
    for grams in (1.5, 4, 7, 12.5, 33, 80, 125, 333, 742, 1850):
        said = script.ask(amount=["m", grams, "g", grams], times=times, measure="g")["amount"]
        shown = float(said.replace(THIN, "").removesuffix(" g"))
        assert abs(shown - grams * times) <= max(0.05, 0.05 * grams * times) + 1e-9


def test_the_shared_scripts_are_valid_and_hold_every_word() -> None:
    settings = Settings("Galley", "https://example.org", language="en")
    text = words_script(settings, words.load("en", None)).decode()
    for key in cook_rules.SPOKEN:
        assert f'"{key}":' in text
