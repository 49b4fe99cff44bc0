"""Plural forms: every recorded language beside ICU's rules (Unicode CLDR), and scripts that say what pages say."""

from __future__ import annotations

import json

import pytest
import yaml
from tests.site.cook_by_hand import Script

from gramwright.resources import content
from gramwright.site import plurals
from gramwright.site.words import Words

RECORDED = yaml.safe_load((content() / "languages" / "plurals.yaml").read_text(encoding="utf-8"))
WHOLE = [*range(230), 300, 1000, 1001, 1011, 1012, 1021, 20_000, 1_000_000, 2_000_000]
WRITTEN = [0.5, 0.25, 1.5, 1.25, 2.5, 4.75, 10.1, 11.5, 1.1, 2.11, 3.21, 12.4]


@pytest.mark.parametrize("language", sorted(" ".join(map(str, RECORDED)).split()))
def test_every_language_has_the_forms_of_icu(script: Script, language: str) -> None:
    numbers = [*WHOLE, *WRITTEN]
    wanted = script.ask(plurals=language, numbers=numbers)
    found = [plurals.category(language, number) for number in numbers]
    assert [pair for pair in zip(numbers, found, wanted, strict=True) if pair[1] != pair[2]] == []


@pytest.mark.parametrize("language", ["en", "de", "af", "pl", "ar", "pl-PL"])
def test_the_script_says_the_form_that_the_page_says(script: Script, language: str) -> None:
    """A hub's own words may have more forms than two; a form that they do not have is the form 'other'."""
    forms = {name: f"{name} {{n}}" for name in plurals.CATEGORIES if name != "zero"}
    words = Words(language, {"dish.some": forms})
    script.ask(words={"texts": {"dish.some": forms}, "language": language, "decimal": ".", "group": "\u202f"})
    said = set()
    for number in [*WHOLE[:130], *WRITTEN]:
        wanted = words("dish.some", n=number)
        assert script.ask(word=["dish.some", {"n": number}]) == wanted, json.dumps(number)
        said.add(wanted.split()[0])
    assert len(said) == {"en": 2, "de": 2, "af": 2, "ar": 5}.get(language, 4)


def test_a_language_that_is_not_recorded_has_one_form() -> None:
    assert {plurals.category("tlh", number) for number in WHOLE} == {"other"}
