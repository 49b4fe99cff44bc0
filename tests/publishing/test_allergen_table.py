"""`proof --allergens` and `proof --why`: the table of every recipe by allergen and state, and the reason for a cell."""

from __future__ import annotations

import re

import pytest
from tests.publishing.hub_make import FOODS, Hub, Run

from gramwright.cli import main
from gramwright.publishing.allergen_table import FOOT, KEY

LAW = 26
"""Names that Regulation (EU) No 1169/2011, Annex II, comes to, cereals and nuts one by one."""


def said(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, list[str]]:
    code = main([*map(str, arguments)])
    return code, capsys.readouterr().out.splitlines()


def cells(lines: list[str]) -> dict[str, dict[str, str]]:
    """Recipe -> allergen -> mark, read back from the table as printed."""
    heads = dict(re.findall(r"^ +(\d+)  (.+)$", "\n".join(lines), re.M))
    start = next(at for at, line in enumerate(lines) if line.startswith("recipe"))
    numbers = lines[start].split()[1:]
    rows = lines[start + 1 : lines.index("", start)]
    names = [heads[number] for number in numbers]
    return {row.split()[0]: dict(zip(names, row.split()[1:], strict=True)) for row in rows}


def test_a_line_a_recipe_and_a_column_for_every_allergen_that_is_anywhere(
    hub: Hub, capsys: pytest.CaptureFixture[str]
) -> None:
    code, lines = said(capsys, "proof", hub.root, "--allergens")
    assert code == 0
    assert cells(lines) == {"fruit-bowl": {"oats": "C", "milk": "C"}, "porridge": {"oats": "C", "milk": "C"}}
    (rest,) = [line for line in lines if line.startswith("Recorded in no recipe: ")]
    assert len(rest.split(", ")) == LAW - 2
    assert "walnuts" in rest, "what is optional is left out"
    assert KEY in lines
    assert FOOT in lines
    widths = {len(line) for line in lines if line.startswith(("recipe ", "porridge", "fruit-bowl"))}
    assert len(widths) == 1, "columns stand under each other"


def test_every_state_has_a_mark_of_its_own(hub: Hub, capsys: pytest.CaptureFixture[str]) -> None:
    old = "test-old,Old bar,,x,ready,0,,400,1,1,1,1,1,1,1,1,soybeans,celery,yes,plant,pack,5,declared,2020-01-01\n"
    bar = "test-bar,Bar,,x,ready,0,,400,1,1,1,1,1,1,1,1,,lupin,yes,plant,made up,6,table,\n"
    hub.write("foods/own.csv", FOODS + old + bar)
    hub.edit("recipes/porridge.md", "- 80 g test oats", "- 80 g test oats\n- 5 g old bar")
    hub.write("recipes/plain.md", "---\ntitle: Plain\nportions: 1\n---\n```ingredients\n- 10 g bar\n```\n\n1. Eat.\n")
    code, lines = said(capsys, "proof", hub.root, "--allergens")
    assert code == 0
    table = cells(lines)
    assert not any(line.startswith("Recorded in no recipe") for line in lines)
    porridge = table["porridge"]
    assert len(porridge) == LAW
    assert {name for name, mark in porridge.items() if mark == "C"} == {"oats", "milk", "soybeans"}
    assert porridge["celery"] == "m?", "an old pack leaves open what it names, too"
    assert set(porridge.values()) == {"C", "m?", "?"}
    assert {name: mark for name, mark in table["plain"].items() if mark != "."} == {"lupin": "m"}


def test_nothing_to_show_is_no_table(hub: Hub, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("porridge", "snacks/fruit-bowl"):
        hub.write(f"recipes/{name}.md", "---\ntitle: Broken\n---\n")
    code, lines = said(capsys, "proof", hub.root, "--allergens")
    assert code == 1
    assert not any(line.startswith("recipe ") for line in lines)


def test_recipes_that_cannot_be_computed_do_not_hide_the_others(hub: Hub, run: Run) -> None:
    hub.edit("recipes/porridge.md", "- 80 g test oats", "- 80 g test oatz")
    hub.write(
        "recipes/plain.md", "---\ntitle: Plain\nportions: 1\n---\n```ingredients\n- 10 g test milk\n```\n\n1. Eat.\n"
    )
    code, data = run("proof", hub.root, "--allergens")
    assert code == 1
    assert data["allergens"]["plain"]["milk"] == "contains"
    assert set(data["allergens"]) == {"plain"}
    assert data["problems"]


def test_why_says_row_food_source_and_date(hub: Hub, capsys: pytest.CaptureFixture[str]) -> None:
    dated = FOODS.replace(
        "walnut,,,plant,made up for a test,4,estimated,", "walnut,,,plant,made up,4,estimated,2025-03-01"
    )
    hub.write("foods/own.csv", dated)
    code, lines = said(capsys, "proof", hub.root, "--why", "fruit-bowl", "Milk")
    assert (code, lines) == (
        0,
        [
            "Fruit bowl: milk: contains",
            "    Test milk [test-milk] (row recipes/porridge.md:14:3): foods/own.csv:3, made up, 2",
        ],
    )
    hub.edit("recipes/snacks/fruit-bowl.md", ", optional: true", "")
    code, lines = said(capsys, "proof", hub.root, "--why", "fruit-bowl", "walnuts")
    assert lines[0] == "Fruit bowl: walnuts: contains"
    assert lines[1].endswith("foods/own.csv:5, made up, 4, 2025-03-01")
    assert said(capsys, "proof", hub.root, "--why", "fruit-bowl", "almond")[1][0] == "Fruit bowl: almonds: not known"


def test_why_says_what_swaps_and_optional_rows_change(hub: Hub, capsys: pytest.CaptureFixture[str], run: Run) -> None:
    code, lines = said(capsys, "proof", hub.root, "--why", "fruit-bowl", "walnuts")
    assert (code, lines) == (
        0,
        [
            "Fruit bowl: walnuts: none in the ingredients as recorded",
            "    with Test nuts, optional (row recipes/snacks/fruit-bowl.md:11:5): contains",
        ],
    )
    hub.edit(
        "recipes/porridge.md",
        "- 400 g test milk",
        "- {amount: 400 g, food: test milk, swaps: [{amount: 1 g, food: test apple}]}",
    )
    _, lines = said(capsys, "proof", hub.root, "--why", "porridge", "milk")
    assert lines[-1] == (
        "    with Test apple, as a swap (row recipes/porridge.md:14:3): none in the ingredients as recorded"
    )
    _, data = run("proof", hub.root, "--why", "porridge", "milk")
    assert data["changes"] == [
        {"name": "Test apple", "row": "recipes/porridge.md:14:3", "change": "swap", "state": "not_recorded"}
    ]
    assert data["unresolved"] is False
    _, data = run("proof", hub.root, "--why", "fruit-bowl", "eggs")
    assert data["changes"][0]["change"] == "optional"
    assert data["changes"][0]["state"] == "unknown", "the nuts were not checked"


def test_why_says_that_what_may_be_contained_is_not_known_besides(
    hub: Hub, capsys: pytest.CaptureFixture[str], run: Run
) -> None:
    old = "test-old,Old bar,,x,ready,0,,400,1,1,1,1,1,1,1,1,,celery,yes,plant,pack,5,declared,2020-01-01\n"
    hub.write("foods/own.csv", FOODS + old)
    hub.edit("recipes/porridge.md", "- 80 g test oats", "- 80 g test oats\n- 5 g old bar")
    _, lines = said(capsys, "proof", hub.root, "--why", "porridge", "celery")
    lines = [line for line in lines if not line.startswith(("foods/own.csv", "    way out"))]
    assert lines[0] == "Porridge: celery: may contain"
    assert lines[-1] == "    besides, some food leaves it not known"
    _, data = run("proof", hub.root, "--why", "porridge", "celery")
    assert (data["state"], data["unresolved"]) == ("may_contain", True)


@pytest.mark.parametrize(
    ("recipe", "allergen", "code", "hint"),
    [
        ("porrige", "milk", "unknown-recipe", "did you mean porridge?"),
        ("zzzz", "milk", "unknown-recipe", ""),
        ("porridge", "mlik", "unknown-allergen", "did you mean milk?"),
        ("porridge", "coconut", "unknown-allergen", "it lists wheat, "),
    ],
)
def test_a_cell_that_does_not_exist(hub: Hub, run: Run, recipe: str, allergen: str, code: str, hint: str) -> None:
    exit_code, data = run("proof", hub.root, "--why", recipe, allergen)
    (problem,) = data["problems"]
    assert (exit_code, problem["code"]) == (1, code)
    assert problem["hint"].startswith(hint) if hint else problem["hint"] == ""


def test_an_allergen_of_another_rule_set_is_refused(hub: Hub, run: Run) -> None:
    """21 U.S.C. 321(qq) does not list celery."""
    hub.write("hub.yaml", "title: Test hub\nbase_url: https://example.org/\nrule_set: us\n")
    code, data = run("proof", hub.root, "--why", "porridge", "celery")
    assert (code, data["problems"][-1]["code"]) == (1, "unknown-allergen")


def test_a_hub_whose_settings_cannot_be_read_has_its_problems_listed(hub: Hub, run: Run) -> None:
    hub.write("hub.yaml", "title: Test hub\nrule_set: eeu\n")
    code, data = run("proof", hub.root, "--allergens")
    assert (code, data["allergens"]) == (1, {})
    assert data["problems"][0]["file"] == "hub.yaml"
