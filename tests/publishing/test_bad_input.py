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
