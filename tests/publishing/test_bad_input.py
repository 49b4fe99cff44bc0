"""Broken content: a located problem with a way out, exit code 1, and the published site as it was."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from tests.publishing.hub_make import PORRIDGE, Hub, Run

pytestmark = pytest.mark.long


@dataclass(frozen=True)
class Case:
    name: str
    breaks: Callable[[Hub], None]
    code: str
    file: str
    line: int = 0
    """0: any line."""


PAGE = "recipes/porridge.md"


def row(text: str) -> Callable[[Hub], None]:
    """Puts another row in the place of the oats, line 13."""
    return lambda hub: hub.edit(PAGE, "- 80 g test oats", text)


def matter(old: str, new: str) -> Callable[[Hub], None]:
    return lambda hub: hub.edit(PAGE, old, new)


def foods(old: str, new: str) -> Callable[[Hub], None]:
    return lambda hub: hub.edit("foods/own.csv", old, new)


OWN = "foods/exceptions.csv"


def statement(contains: str, exceptions: str) -> Callable[[Hub], None]:
    """One more food with an allergen and a legal exception."""
    head = "food,name,group,state,ENERC_kJ,contains,allergens_checked,exceptions,kind,source,source_ref,quality\n"
    line = f"test-sweet,Test sweet,sugars,dry,1000,{contains},yes,{exceptions},plant,made up for a test,5,table\n"
    return lambda hub: hub.write(OWN, head + line)


def declared(name: str) -> Callable[[Hub], None]:
    return matter("portions: 2", f"portions: 2\ndeclared: [{{diet: {name}, reason: the oats are bought as such}}]")


def bomb() -> str:
    """Nine levels of nine references: a thousand million nodes if they were expanded."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 10)]
    return "\n".join(lines)


def nothing_left(hub: Hub) -> None:
    for path in hub.root.glob("recipes/**/*.md"):
        path.unlink()


CASES = [
    Case("unknown food", row("- 80 g test oast"), "unknown-food", PAGE, 13),
    Case("ambiguous food", row("- 80 g rice"), "ambiguous-food", PAGE, 13),
    Case("missing measure", row("- 2 slices test oats"), "missing-measure", PAGE, 13),
    Case("no density", row("- 2 tbsp test oats"), "missing-measure", PAGE, 13),
    Case("unknown unit", row("- {amount: 80 furlongs, food: test oats}"), "missing-measure", PAGE, 13),
    Case("negative amount", row("- -80 g test oats"), "bad-amount", PAGE, 13),
    Case("zero amount", row("- 0 g test oats"), "bad-amount", PAGE, 13),
    Case("zero portions", matter("portions: 2", "portions: 0"), "", PAGE, 4),
    Case("negative portions", matter("portions: 2", "portions: -1"), "", PAGE, 4),
    Case("portions in words", matter("portions: 2", "portions: two"), "", PAGE, 4),
    Case("broken front matter", matter("portions: 2", "portions: [2"), "", PAGE),
    Case("broken rows", row("- [80 g test oats"), "", PAGE),
    Case("no ingredient block", matter("```ingredients", "```rows"), "", PAGE),
    Case(
        "two ingredient blocks",
        lambda hub: hub.write(PAGE, PORRIDGE + "\n```ingredients\n- 1 g salt\n```\n"),
        "two-ingredients",
        PAGE,
    ),
    Case("no front matter", matter("---\ntitle: Porridge", "title: Porridge"), "", PAGE),
    Case("recipe used by itself", row("- {recipe: porridge, amount: 10 g}"), "recipe-cycle", PAGE, 13),
    Case("recipe cycle", row("- {recipe: fruit-bowl, amount: 10 g}"), "recipe-cycle", PAGE, 13),
    Case("unknown recipe", row("- {recipe: porrige, amount: 10 g}"), "unknown-recipe", PAGE, 13),
    Case("duplicate slug", lambda hub: hub.write("recipes/other/porridge.md", PORRIDGE), "duplicate-slug", PAGE),
    Case("slug with dots", matter("title: Porridge", "title: Porridge\nslug: ../../etc/x"), "", PAGE, 3),
    Case("markup in the title", matter("title: Porridge", "title: <script>alert(1)</script>"), "", PAGE, 2),
    Case("yaml bomb", matter("title: Porridge", "title: Porridge\n" + bomb()), "", PAGE),
    Case("unknown key", matter("hands_on:", "handson:"), "", PAGE, 6),
    Case("wrong header", foods("food,name,aliases", "food,nome,aliases"), "", "foods/own.csv", 1),
    Case("cell that is no number", foods(",1550,", ",lots,"), "", "foods/own.csv", 2),
    Case("negative cell", foods(",1550,", ",-4,"), "", "foods/own.csv", 2),
    Case("unknown allergen", foods(",oats,", ",oast,"), "", "foods/own.csv", 2),
    Case("contains and may contain", foods(",milk,,yes", ",milk,milk,yes"), "", "foods/own.csv", 3),
    Case("allergen and its exception", statement("milk", "lactitol"), "contradictory-allergens", OWN, 2),
    Case("unknown exception", statement("", "lactitoll"), "unknown-exception", OWN, 2),
    Case("unknown kind", foods(",yes,milk,", ",yes,mlik,"), "", "foods/own.csv", 3),
    Case("pack read tomorrow", foods(",3,table,", ",3,declared,2999-01-01"), "", "foods/own.csv", 4),
    Case("pack read on no day", foods(",3,table,", ",3,declared,last week"), "", "foods/own.csv", 4),
    Case("allergen of everyday speech", foods(",oats,", ",shellfish,"), "", "foods/own.csv", 2),
    Case("declared without a reason", matter("portions: 2", "portions: 2\ndeclared: [{diet: halal}]"), "", PAGE, 5),
    Case("declared against the rows", declared("gluten-free"), "declared-contradicted", PAGE, 5),
    Case("declared what is computed", declared("vegan"), "unknown-declaration", PAGE, 5),
    Case(
        "unknown caution silenced",
        matter("portions: 2", "portions: 2\nsilence: [{caution: honny, reason: none in it}]"),
        "unknown-caution",
        PAGE,
        5,
    ),
    Case("not UTF-8", lambda hub: hub.write(PAGE, PORRIDGE.encode("utf-16")), "", PAGE),
    Case("latin-1 table", lambda hub: hub.write("foods/own.csv", b"food,name\nca\xe9,x\n"), "", "foods/own.csv"),
    Case("no recipes", nothing_left, "empty-hub", "recipes"),
    Case("a 50 MB page", lambda hub: hub.write(PAGE, PORRIDGE + "x" * 50_000_000), "", PAGE),
    Case("broken settings", lambda hub: hub.write("hub.yaml", "title: [x\n"), "", "hub.yaml"),
    Case("unknown rule set", lambda hub: hub.edit("hub.yaml", "title", "rule_set: mars\ntitle"), "", "hub.yaml"),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_broken_content_is_located_and_the_site_stays(case: Case, hub: Hub, run: Run) -> None:
    assert run("publish", hub.root)[0] == 0
    before = hub.published()
    case.breaks(hub)
    for command in ("proof", "publish"):
        code, data = run(command, hub.root)
        assert code == 1, data
        errors = [problem for problem in data["problems"] if problem["severity"] == "error"]
        here = [p for p in errors if p["file"] == case.file and p["line"] == (case.line or p["line"])]
        assert here, errors
        assert all(problem["message"] and problem["hint"] and problem["code"] for problem in errors)
        if case.code:
            assert case.code in {problem["code"] for problem in here}
    assert hub.published() == before


def test_all_problems_are_listed_in_one_run(hub: Hub, run: Run) -> None:
    hub.edit(PAGE, "- 80 g test oats", "- 80 g tset oats\n- 5 slices test milk\n- 0 g test apple")
    hub.edit("recipes/snacks/fruit-bowl.md", "portions: 1", "portions: none")
    code, data = run("proof", hub.root)
    assert code == 1
    assert {(p["file"], p["line"]) for p in data["problems"]} >= {
        (PAGE, 13),
        (PAGE, 14),
        (PAGE, 15),
        ("recipes/snacks/fruit-bowl.md", 3),
    }


def test_raw_html_and_unsafe_links_are_shown_as_text_and_reported(hub: Hub, run: Run) -> None:
    hub.edit(PAGE, "Warm and plain.", "<img src=x onerror=alert(1)> and [here](javascript:alert(1)).")
    code, data = run("publish", hub.root)
    assert code == 0
    assert {(p["file"], p["line"]) for p in data["problems"]} == {(PAGE, 10)}
    page = hub.published()["recipes/porridge/index.html"].decode()
    assert "<img src=x" not in page
    assert "&lt;img src=x" in page
    assert 'href="javascript:' not in page


def test_a_hub_that_is_not_there_is_wrong_usage(hub: Hub, run: Run) -> None:
    code, data = run("publish", hub.root / "nowhere")
    assert code == 2
    assert data["problems"][0]["code"] == "no-hub"


def test_a_pack_read_too_long_ago_warns_and_does_not_stop_a_publish(hub: Hub, run: Run) -> None:
    hub.edit("foods/own.csv", ",3,table,", ",3,declared,2020-01-01")
    code, data = run("publish", hub.root)
    assert code == 0
    old = [problem for problem in data["problems"] if problem["code"] == "pack-too-old"]
    assert [(p["severity"], p["file"], p["line"]) for p in old] == [("warning", "foods/own.csv", 4)]
    assert len(hub.facts("fruit-bowl")["allergens"]["unknown"]) > 10
    assert [p for p in run("publish", hub.root)[1]["problems"] if p["code"] == "pack-too-old"], "said again"


def test_an_allergen_that_only_another_rule_set_lists_is_kept_and_said(hub: Hub, run: Run) -> None:
    """Molluscs are in Regulation (EU) No 1169/2011, Annex II, 14, and not in 21 U.S.C. 321(qq)(1)."""
    hub.edit("foods/own.csv", ",oats,", ",molluscs;wheat,")
    hub.edit("hub.yaml", "title", "rule_set: us\ntitle")
    code, data = run("publish", hub.root)
    assert code == 0
    (problem,) = [p for p in data["problems"] if p["code"] == "allergen-not-listed"]
    assert (problem["severity"], problem["file"], problem["line"]) == ("warning", "foods/own.csv", 2)
    assert "molluscs" in problem["message"]
    assert hub.facts("porridge")["allergens"]["contains"] == ["milk", "wheat"]
    hub.edit("hub.yaml", "rule_set: us", "rule_set: eu")
    assert run("publish", hub.root)[0] == 0
    assert "molluscs" in hub.facts("porridge")["allergens"]["contains"]
