"""The browser says of a reader's choice what the generator says, in German and Afrikaans, sentence by sentence."""

from __future__ import annotations

import random

import pytest
from tests.demo.demo_read import Demo
from tests.site.cook_by_hand import Script, Table, as_page, every_choice

from gramwright.labelling import rulesets
from gramwright.site import words


@pytest.mark.parametrize("language", ["de", "af"])
@pytest.mark.parametrize("rule_set", ["eu", "us"])
def test_the_script_says_what_the_generator_says(demo: Demo, script: Script, rule_set: str, language: str) -> None:
    table = Table(demo.kitchen, rulesets.load(rule_set, language), words.load(language, None))
    script.ask(**table.shared())
    commas = claims = cautions = 0
    for slug, cooked in demo.recipes.items():
        data = table.carried(cooked.dish)
        if "o" not in data:
            continue
        script.ask(load=data)
        for choice in every_choice(cooked.dish, 6, random.Random(slug)):
            found = as_page(script.ask(choice={str(at): option for at, option in choice.items()}))
            wanted, _ = table.by_hand(cooked.dish, choice)
            for part in ("lines", "contains", "may_contain", "unknown", "excepted", "claims", "cautions", "coverage"):
                assert found[part] == wanted[part], (slug, choice, part)
            assert found["panel"]["known"] == wanted["panel"]["known"]
            claims += len(found["claims"])
            cautions += len(found["cautions"])
            commas += sum(each["text"].count(",") for each in found["claims"])
            assert not any(each["lang"] for each in found["cautions"])
    assert claims > 100
    assert cautions > 100
    assert commas > 50


def test_spoons_have_the_names_of_the_language(demo: Demo, script: Script) -> None:
    for language, said in (("de", "2 EL"), ("af", "2 el"), ("en", "2 tbsp")):
        table = Table(demo.kitchen, rulesets.load("eu", language), words.load(language, None))
        script.ask(**table.shared())
        answer = script.ask(amount=["v", 1, "tbsp", 15, 1, "", 0], times=2, measure="")
        assert answer["amount"] == said
