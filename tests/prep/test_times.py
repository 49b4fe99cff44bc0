"""What a recipe's front matter says of its time against the times of its steps."""

from __future__ import annotations

import pytest
from tests.prep.prep_make import SOUP, STEW
from tests.publishing.hub_make import Hub, Run

STEPS = """
```steps
- {step: chop, hands: 10 min, item: 1}
- {step: heat the oven, wait: 10-20 min, oven: 180 C, shelves: 0, after: start, item: 2}
- {step: bake, wait: 40 min, oven: 180 C, after: [chop, heat the oven], item: 2}
- {step: serve, hands: 5 min, item: 3}
```
"""
METHOD = "1. Chop it.\n2. Bake it.\n3. Eat it.\n"
CODES = ("total-too-short", "hands-on-differs")


def said(hub: Hub, run: Run, front: str, method: str = METHOD) -> list[tuple[str, int, str, str]]:
    """(code, line, severity, message) of what is said of the stew's times; its steps take 65 min with 15 of work."""
    page = STEW.replace("1. Stew it.\n", method) + STEPS
    hub.write("recipes/stew.md", page.replace("portions: 4\n", f"portions: 4\n{front}"))
    code, data = run("proof", hub.root)
    assert code == 0
    return [(p["code"], p["line"], p["severity"], p["message"]) for p in data["problems"] if p["code"] in CODES]


@pytest.mark.parametrize(
    ("total", "told"),
    [("65 min", False), ("55 min", False), ("50 min", False), ("49 min", True), ("3 h", False)],
)
def test_a_total_that_the_steps_cannot_keep(hub: Hub, run: Run, total: str, told: bool) -> None:
    """65 min with the longer end of heating, 55 with the shorter one; five of them are rounding."""
    found = said(hub, run, f"total: {total}\n")
    assert [(code, line, severity) for code, line, severity, _ in found] == [("total-too-short", 4, "warning")] * told
    for *_, message in found:
        assert "at least 55 min" in message
        assert "found 49 min" in message


@pytest.mark.parametrize(
    ("work", "told"), [("15 min", False), ("20 min", False), ("21 min", True), ("10 min", False), ("9 min", True)]
)
def test_work_that_the_steps_do_not_come_to(hub: Hub, run: Run, work: str, told: bool) -> None:
    found = said(hub, run, f"hands_on: {work}\n")
    assert [(code, line, severity) for code, line, severity, _ in found] == [("hands-on-differs", 4, "warning")] * told
    for *_, message in found:
        assert "about 15 min" in message
        assert f"of {work}" in message


def test_work_that_no_step_has_yet_may_be_missing(hub: Hub, run: Run) -> None:
    """An item of the method without times: the author's figure may count it."""
    assert said(hub, run, "hands_on: 40 min\n", METHOD + "4. Wash up.\n") == []
    assert len(said(hub, run, "hands_on: 5 min\n", METHOD + "4. Wash up.\n")) == 1


def test_the_way_out_is_one(hub: Hub, run: Run) -> None:
    assert said(hub, run, "total: 55 min\nhands_on: 15 min\n") == []


def test_what_is_made_beforehand_is_not_held_against_a_total(hub: Hub, run: Run) -> None:
    """The soup takes a stew; whether its total counts the stew is its author's."""
    said(hub, run, "")
    hub.write("recipes/soup.md", SOUP.replace("portions: 3\n", "portions: 3\ntotal: 15 min\n") + (
        "\n```steps\n- {step: boil, wait: 12 min, rings: 1}\n```\n"
    ))  # fmt: skip
    assert [p["code"] for p in run("proof", hub.root)[1]["problems"] if p["code"] in CODES] == []
