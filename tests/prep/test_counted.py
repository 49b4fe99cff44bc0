"""What the shop sells by the piece is counted in the size that the recipes use.

Weights: USDA SR28 01123 (egg: medium 44 g, large 50 g without the shell), 01124 (white 33 g), 11124 (carrot 61 g).
"""

from __future__ import annotations

import re

import pytest
from tests.prep.prep_make import TODAY, with_plan
from tests.publishing.hub_make import HUB, Hub

from gramwright.publishing.build import publish

PLAN = "---\ntitle: One\n---\n```plan\npeople: [Ada]\ndays: {day 1: {a: omelette}}\n```\n"


def listed(hub: Hub, rows: list[str], language: str = "en") -> str:
    with_plan(hub, PLAN)
    hub.write("hub.yaml", HUB + f"language: {language}\n")
    block = "\n".join(f"- {row}" for row in rows)
    hub.write("recipes/omelette.md", f"---\ntitle: O\nportions: 1\n---\n```ingredients\n{block}\n```\n\n1. Fry it.\n")
    result = publish(hub.root, TODAY)
    assert not result.has_errors, [str(problem) for problem in result.problems]
    return (hub.site / "plans/two-days/shopping.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("rows", "counted"),
    [
        (["8 large eggs"], "about 8 large"),
        (["8 medium eggs"], "about 8 of medium size"),
        (["8 eggs"], "about 8 large"),  # a bare count means large ones
        (["3 jumbo eggs"], "about 3 jumbo"),
        (["100 g eggs"], "about 2 large"),
        (["5 large eggs", "2 small eggs"], "about 7 large"),  # 326 g: in the size of most
        (["3 medium carrots"], "about 3 of medium size"),
        (["3 carrots"], "about 3 of medium size"),
        (["2 large carrots"], "about 2 large"),
        (["4 cloves garlic"], "about 4 cloves"),
        (["2 egg whites"], "about 2"),  # a white of about 30 g is no size of the table
        (["2 lemons"], "about 2"),  # the table has no size of the usual lemon
    ],
)
def test_the_size_is_the_one_that_is_written(hub: Hub, rows: list[str], counted: str) -> None:
    line = next(line for line in listed(hub, rows).splitlines() if re.search("(Egg|Carrot|Garlic|Lemon).*: ", line))
    assert re.findall(r"about \d+(?: large| small| of medium size| jumbo| cloves)?", line) == [counted], line


@pytest.mark.parametrize(("language", "counted"), [("de", "etwa 8 große Stücke"), ("af", "omtrent 8 groot")])
def test_in_other_languages(hub: Hub, language: str, counted: str) -> None:
    assert counted in listed(hub, ["8 large eggs"], language)
