"""The steps block: what it says is read, what is wrong in it is located, the published method does not show it."""

from __future__ import annotations

from pathlib import Path

import pytest

from gramwright.model import RecipePage
from gramwright.model.steps import Minutes
from gramwright.problems import ProblemLog, Trouble
from gramwright.reading.pages import read_draft, read_page
from gramwright.reading.steps import items_of, parse_celsius, parse_span

DEMO = Path(__file__).resolve().parents[2] / "site_demo" / "recipes"
PAGE = """---
title: Tray
portions: 4
---
Introduction.

```ingredients
- 600 g potatoes
- {amount: 100 g, recipe: green-sauce}
```

1. Cut.
2. Roast.

```steps
STEPS
```

Afterwards.
"""


def read(steps: str) -> tuple[RecipePage, ProblemLog]:
    log = ProblemLog()
    page = read_draft(PAGE.replace("STEPS", steps), "recipes/tray.md", log)
    assert page is not None
    return page, log


def problems(steps: str) -> list[tuple[str, int, int]]:
    return [(p.code, p.place.line, p.place.column) for p in read(steps)[1].sorted()]


def test_every_key_is_read() -> None:
    page, log = read(
        "- {step: cut, hands: 10-12 min, item: 1, bowls: 2, cooks: 2}\n"
        "- {step: heat the oven, wait: 15 min, oven: 210 °C, shelves: 0, after: start, keep_warm: 10 min}\n"
        "- {step: roast, hands: 2 min, wait: 35 to 40 min, oven: 410 F, after: [cut, heat the oven, green-sauce]}\n"
        "- {step: rest, wait: 1 h, chill_within: 1 h, grows: yes, ends_with: roast, rings: 1, microwave: yes, "
        "air_fryer: no}"
    )
    assert not list(log)
    cut, heat, roast, rest = page.steps
    assert (cut.hands, cut.item, cut.bowls, cut.cooks, cut.after) == (Minutes(10, 12), 1, 2, 2, ())
    assert (heat.wait, heat.oven_c, heat.shelves, heat.after, heat.keep_warm) == (Minutes(15, 15), 210.0, 0, (), 10.0)
    assert (roast.wait, roast.oven_c, roast.shelves) == (Minutes(35, 40), 210.0, 1)
    assert roast.after == ("cut", "heat the oven", "green-sauce")
    assert (rest.after, rest.chill_within, rest.grows, rest.ends_with) == (("roast",), 60.0, True, ("roast",))
    assert (rest.rings, rest.microwaves, rest.air_fryers) == (1, 1, 0)
    assert rest.place.line == 19


def test_the_block_is_taken_out_of_the_method_and_lines_stay() -> None:
    page, _ = read("- {step: cut, hands: 10 min}")
    assert "step" not in page.method
    lines = PAGE.replace("STEPS", "x").split("\n")
    method = page.method.split("\n")
    assert page.method_line + method.index("Afterwards.") == lines.index("Afterwards.") + 1


def test_the_block_may_stand_before_the_ingredients() -> None:
    block = "```steps\n- {step: cut, hands: 10 min}\n```\n"
    text = PAGE.replace("```steps\nSTEPS\n```\n", "").replace("Introduction.\n", f"Introduction.\n\n{block}")
    page = read_page(text, "recipes/tray.md", ProblemLog())
    assert page is not None
    assert page.intro == "Introduction."
    assert [step.name for step in page.steps] == ["cut"]


def test_a_page_without_steps_has_none() -> None:
    page = read_page(PAGE.replace("```steps\nSTEPS\n```\n", ""), "recipes/tray.md", ProblemLog())
    assert page is not None
    assert page.steps == ()


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ("- {step: cut, hands: -3 min}", [("bad-time", 16, 22)]),
        ("- {step: cut, hands: 0 min}", [("bad-time", 16, 22)]),
        ("- {step: cut, hands: 12-10 min}", [("bad-time", 16, 22)]),
        ("- {step: cut, wait: 5 days}", [("bad-time", 16, 21)]),
        ("- {step: cut}", [("no-step-time", 16, 3)]),
        ("- {hands: 5 min}", [("no-step-name", 16, 3)]),
        ("- {step: start, hands: 5 min}", [("no-step-name", 16, 3)]),
        ("- cut the roots", [("wrong-type", 16, 3)]),
        ("cut: 5 min", [("no-steps", 16, 1)]),
        ("[]", [("no-steps", 16, 1)]),
        ("", [("no-steps", 15, 1)]),
        ("- {step: a, hands: 5 min}\n- {step: A, hands: 5 min}", [("duplicate-step", 17, 3)]),
        ("- {step: cut, hands: 5 min, after: chop}", [("unknown-step", 16, 36)]),
        ("- {step: cut, hands: 5 min, after: cut}", [("unknown-step", 16, 36)]),
        ("- {step: cut, hands: 5 min, ends_with: green-sauce}", [("unknown-step", 16, 40)]),
        (
            "- {step: a, hands: 1 min, after: c}\n- {step: b, hands: 1 min}\n- {step: c, hands: 1 min}",
            [("circular-after", 16, 3)],
        ),
        ("- {step: cut, hands: 5 min, oven: 180}", [("bad-temperature", 16, 35)]),
        ("- {step: cut, hands: 5 min, oven: 900 C}", [("bad-temperature", 16, 35)]),
        ("- {step: cut, hands: 5 min, shelves: 1}", [("no-oven", 16, 3)]),
        ("- {step: cut, hands: 5 min, rings: 1.5}", [("out-of-range", 16, 36)]),
        ("- {step: cut, hands: 5 min, rings: -1}", [("out-of-range", 16, 36)]),
        ("- {step: cut, hands: 5 min, item: 3}", [("no-such-item", 16, 35)]),
        ("- {step: cut, hands: 5 min, keep_warm: -5 min}", [("bad-time", 16, 40)]),
        ("- {step: cut, hand: 5 min}", [("unknown-key", 16, 15), ("no-step-time", 16, 3)]),
    ],
)
def test_what_is_wrong_is_said_where_it_stands(steps: str, expected: list[tuple[str, int, int]]) -> None:
    assert sorted(problems(steps)) == sorted(expected)


def test_two_blocks_and_an_open_one() -> None:
    both = "- {step: a, hands: 5 min}\n```\n\n```steps\n- {step: b, hands: 5 min}"
    assert problems(both) == [("two-steps-blocks", 19, 1)]
    text = PAGE.partition("```steps")[0] + "```steps\n- {step: a, hands: 5 min}\n"
    log = ProblemLog()
    read_draft(text, "recipes/tray.md", log)
    assert [(p.code, p.place.line) for p in log] == [("open-block", 15)]


def test_times_and_temperatures() -> None:
    assert parse_span("5 min") == Minutes(5, 5)
    assert parse_span("1 h to 1 h 20 min") == Minutes(60, 80)
    assert parse_span("1-2 h") == Minutes(60, 120)
    assert parse_span("2 h 20 min - 2 h 30 min") == Minutes(140, 150)
    assert parse_celsius("350 F") == pytest.approx(176.667, abs=0.001)
    for text in ("hot", "180 K", "-5 C"):
        with pytest.raises(Trouble, match="temperature"):
            parse_celsius(text)


def test_only_numbered_items_count() -> None:
    assert items_of("1. One\n   more\n2. Two\n\nText.\n- 3\n\n3) Three\n") == 3


def test_the_demo_recipes_with_steps_read_without_a_problem() -> None:
    found = 0
    for path in sorted(DEMO.rglob("*.md")):
        log = ProblemLog()
        page = read_page(path.read_text(), path.name, log)
        assert page is not None, list(log)
        if page.steps:
            found += 1
            assert {step.item for step in page.steps} - {None}
            if page.hands_on_min is not None:
                by_hand = sum(step.hands.high for step in page.steps if step.hands is not None)
                assert 0.5 * page.hands_on_min <= by_hand <= 1.6 * page.hands_on_min, path.name
    assert found >= 8
