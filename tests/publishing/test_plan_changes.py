"""What a change does to prep plans: days, targets, shopping and keeping, worked out by hand.

Energy factors: Regulation (EU) 1169/2011, Annex XIV: protein and carbohydrate 4, fat 9, fibre 2 kcal/g.

    test oats, 100 g   protein 12, fat 7, carbohydrate 58, fibre 9     48 + 63 + 232 + 18  = 361.0 kcal
    test milk, 200 g   protein 6.8, fat 7.2, carbohydrate 9.6          27.2 + 64.8 + 38.4  = 130.4 kcal
    a bowl                                                                                   491.4 kcal
"""

from __future__ import annotations

from typing import Any

import pytest
from tests.publishing.hub_make import Hub, Run

from gramwright.publishing.plan_changes import plan_changes

pytestmark = pytest.mark.long

BOWL = """---
title: Oat bowl
portions: 3
keeps: {fridge: 2 days}
---
```ingredients
- 300 g test oats
- 600 g test milk
```

1. Stir.
"""

PLAN = """---
title: Two tides
---
```plan
people:
  Wren: {energy: ..1000 kcal}
session: {day: 1}
days:
  day 1:
    dinner: {recipe: bowl, portions: {Wren: 2}}
  day 2:
    lunch: {recipe: bowl, portions: {Wren: 1}}
```
"""


@pytest.fixture
def planned(hub: Hub, run: Run) -> Hub:
    """A published hub with a plan: two bowls on day 1 (982.8 of at most 1000 kcal), one on day 2."""
    hub.write("recipes/bowl.md", BOWL)
    hub.write("plans/two-tides.md", PLAN)
    code, data = run("publish", hub.root)
    assert code == 0, data
    return hub


def figures(plan: dict[str, Any]) -> set[tuple[str, str, str, str]]:
    return {(one["day"], one["figure"], one["before"], one["after"]) for one in plan["figures"]}


def test_a_correction_moves_days_and_breaks_a_target(planned: Hub, run: Run) -> None:
    """Oats with 11 g of fat: 4 g and 36 kcal more a bowl, so 72 kcal more on day 1: 1054.8."""
    code, data = run("correct", planned.root, "test oats", "FAT_g=11", "--reason", "a new sack", "--dry-run")
    assert code == 0
    (plan,) = data["plans"]
    assert figures(plan) == {
        ("1", "energy", "983 kcal", "1055 kcal"),
        ("1", "fat", "28 g", "36 g"),
        ("2", "energy", "491 kcal", "527 kcal"),
        ("2", "fat", "14.2 g", "18.2 g"),
    }
    assert {one["person"] for one in plan["figures"]} == {"Wren"}
    assert plan["means"] == [
        {
            "code": "target-missed",
            "text": "Wren's day 1 goes over its energy: 1055 kcal, at most 1000 wanted",
        }
    ]


def test_compare_says_the_same_of_the_next_publish(planned: Hub, run: Run) -> None:
    run("correct", planned.root, "test oats", "FAT_g=11", "--reason", "a new sack")
    code, data = run("compare", planned.root, "--page", planned.root / "report.html")
    assert code == 0
    (plan,) = data["plans"]
    assert [one["code"] for one in plan["means"]] == ["target-missed"]
    assert ("1", "energy", "983 kcal", "1055 kcal") in figures(plan)
    page = (planned.root / "report.html").read_text(encoding="utf-8").replace("\u202f", " ").replace("\xa0", " ")
    assert "Wren&#39;s day 1 goes over its energy" in page or "Wren's day 1 goes over its energy" in page
    assert "Wren, Day 1: energy</th><td>983 kcal</td><td>1 055 kcal" in page
    assert page.index("Two tides") < page.index("Oat bowl"), "a missed target weighs more than moved figures"
    run("publish", planned.root)
    assert run("compare", planned.root)[1]["plans"] == []
    run("correct", planned.root, "test oats", "FAT_g=7", "--reason", "misread")
    (back,) = run("compare", planned.root)[1]["plans"]
    assert back["means"] == [{"code": "target-met", "text": "Wren's day 1 now meets its energy: 983 kcal"}]


def test_a_small_move_does_not_count_where_a_threshold_is_set(planned: Hub, run: Run) -> None:
    """36 of 491.4 kcal are 7.3 %; 4 of 14.2 g of fat are 28 %."""
    run("correct", planned.root, "test oats", "FAT_g=11", "--reason", "a new sack")
    (plan,) = run("compare", planned.root, "--least", "10")[1]["plans"]
    assert {figure for _, figure, _, _ in figures(plan)} == {"fat"}


def test_another_amount_changes_the_shopping_list(planned: Hub, run: Run) -> None:
    """20 g more oats for three bowls: 320 g to buy."""
    planned.edit("recipes/bowl.md", "300 g test oats", "320 g test oats")
    (plan,) = run("compare", planned.root)[1]["plans"]
    assert [one for one in plan["means"] if one["code"] == "shopping"] == [
        {"code": "shopping", "text": "to buy, Test oats: 300 g -> 320 g"}
    ]


def test_another_food_is_bought_and_one_no_more(planned: Hub, run: Run) -> None:
    """A tenth of an apple is refuse: 600 / 0.9 g."""
    planned.edit("recipes/bowl.md", "600 g test milk", "600 g test apple")
    (plan,) = run("compare", planned.root)[1]["plans"]
    assert {one["text"] for one in plan["means"] if one["code"] == "shopping"} == {
        "to buy, Test apple: nothing -> 667 g",
        "to buy, Test milk: 600 g -> nothing",
    }


def test_what_keeps_less_long_is_said(planned: Hub, run: Run) -> None:
    planned.edit("recipes/bowl.md", "fridge: 2 days", "fridge: 1 day")
    (plan,) = run("compare", planned.root)[1]["plans"]
    assert plan["figures"] == []
    assert plan["means"] == [
        {"code": "keeps-otherwise", "text": "Oat bowl for Wren on day 2: last day to eat it day 3 -> day 2"}
    ]


def test_a_figure_that_is_not_known_any_more_leaves_the_target_open(planned: Hub, run: Run) -> None:
    code, data = run("correct", planned.root, "test milk", "FAT_g=", "ENERC_kJ=", "--reason", "torn label", "--dry-run")
    assert code == 0, data
    (plan,) = data["plans"]
    assert ("target-not-known", "whether Wren's day 1 keeps its energy is not known any more") in {
        (one["code"], one["text"]) for one in plan["means"]
    }
    assert ("2", "fat", "14.2 g", "at least 7.0 g") in figures(plan)


def test_plans_come_and_go(planned: Hub, run: Run) -> None:
    planned.write("plans/more.md", PLAN.replace("Two tides", "Spring tide"))
    (planned.root / "plans/two-tides.md").unlink()
    plans = run("compare", planned.root)[1]["plans"]
    assert {(one["slug"], one["kind"]) for one in plans} == {("more", "added"), ("two-tides", "removed")}


def test_a_plan_in_text_names_persons_and_days(planned: Hub, capsys: pytest.CaptureFixture[str]) -> None:
    from gramwright.cli import main

    main(["correct", str(planned.root), "test oats", "FAT_g=11", "--reason", "a new sack", "--dry-run"])
    out = capsys.readouterr().out
    assert "Two tides (plan two-tides)\n    Wren's day 1 goes over its energy: 1055 kcal, at most 1000 wanted\n" in out
    assert "    Wren, day 1: energy: 983 kcal -> 1055 kcal\n" in out
    assert out.endswith("3 recipes change, prep plans: 1; nothing was written\n")


def test_the_published_facts_of_a_plan(planned: Hub) -> None:
    import json

    facts = json.loads((planned.site / "plans/two-tides/facts.json").read_text(encoding="utf-8"))
    first, second = facts["days"]
    assert (first["day"], first["person"]) == (1, "Wren")
    assert first["figures"]["energy"] == pytest.approx(982.8)
    assert second["figures"]["energy"] == pytest.approx(491.4)
    assert first["targets"] == {"energy": {"low": None, "high": 1000.0, "fare": "met"}}
    assert {item["food"]: item["grams"] for item in facts["shopping"]} == {"test-oats": 300.0, "test-milk": 600.0}


def kept(late: bool, use_by: int) -> dict[str, Any]:
    waits = {"dish": "stew", "title": "Stew", "person": "Bo", "meal": "dinner", "day": 4, "where": "fridge"}
    return {
        "slug": "p",
        "title": "P",
        "days": [],
        "shopping": [],
        "keeping": [{**waits, "use_by": use_by, "late": late}],
    }


def test_food_eaten_after_its_last_day_comes_first() -> None:
    (change,) = plan_changes({"p": kept(False, 5)}, {"p": kept(True, 3)})
    assert [one.text for one in change.consequences] == ["Stew for Bo on day 4: eaten after day 3, its last"]
    assert plan_changes({"p": kept(True, 3)}, {"p": kept(True, 3)}) == []
