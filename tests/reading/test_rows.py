"""Ingredient rows in both forms."""

from __future__ import annotations

from gramwright.model import Row
from gramwright.problems import ProblemLog
from gramwright.reading.rows import read_rows
from gramwright.reading.yaml_nodes import parse


def rows(text: str) -> tuple[Row, ...]:
    log = ProblemLog()
    node = parse(text, "page.md", log)
    assert node is not None
    found = read_rows(node, "page.md", log)
    assert [str(problem) for problem in log] == []
    return found


def test_a_list_of_rows_has_no_parts() -> None:
    (row,) = rows("- 160 g pearl barley, dry; rinsed; drained")
    assert (row.part, row.words, row.note, row.text) == (
        "",
        "g pearl barley, dry",
        "rinsed; drained",
        "160 g pearl barley, dry",
    )
    assert row.food is None


def test_a_mapping_row_says_everything() -> None:
    (row,) = rows(
        "- {amount: 1-2 tbsp, food: olive oil, note: for the tin, optional: yes, cooked_as: '3780', eaten: 30 %,"
        " gross: false, swaps: [1 tbsp rapeseed oil, {amount: 10 g, food: butter}]}"
    )
    assert row.quantity is not None
    assert (row.quantity.low, row.quantity.high, row.words, row.food) == (1, 2, "tbsp", "olive oil")
    assert (row.note, row.optional, row.cooked_as, row.eaten, row.gross) == ("for the tin", True, "3780", 0.3, False)
    assert row.text == "1-2 tbsp olive oil"
    assert [(swap.food, swap.words) for swap in row.swaps] == [(None, "tbsp rapeseed oil"), ("butter", "g")]


def test_a_text_row_and_its_mapping_are_the_same_amount() -> None:
    text, mapping = rows("- 2 x 400 g beans\n- {amount: 2 x 400 g, food: beans}")
    assert text.quantity == mapping.quantity
    assert text.words == f"{mapping.words} {mapping.food}"


def test_weighed_in_another_state() -> None:
    (row,) = rows("- {amount: 300 g, food: pasta, weighed: cooked, yield: 2.2}")
    assert (row.weighed, row.row_yield) == ("cooked", 2.2)


def test_another_recipe() -> None:
    whole, some = rows("- {amount: 2 portions, recipe: tomato-sauce}\n- {amount: 150 g, recipe: tomato-sauce}")
    assert (whole.recipe, whole.words, whole.food) == ("tomato-sauce", "portions", None)
    assert some.words == "g"


def test_to_taste_in_both_forms() -> None:
    text, mapping = rows("- salt, to taste\n- {amount: to taste, food: black pepper}")
    assert text.quantity is None
    assert text.words == "salt"
    assert mapping.quantity is None
    assert mapping.food == "black pepper"
    assert mapping.text == "to taste black pepper"


def test_rows_over_several_lines_and_in_quotes() -> None:
    (row, quoted) = rows("- 160 g pearl barley,\n  dry; rinsed\n- '5 g chilli: the red one'")
    assert row.words == "g pearl barley, dry"
    assert quoted.words == "g chilli: the red one"


def test_a_part_without_a_name_beside_parts_with_names() -> None:
    found = rows("Tray:\n  - 5 g oats\nTo serve:\n  - 5 g feta\n  - 6 g feta")
    assert [row.part for row in found] == ["Tray", "To serve", "To serve"]
