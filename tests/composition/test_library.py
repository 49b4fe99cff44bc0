"""The shipped tables, as they are loaded."""

from __future__ import annotations

from gramwright.composition.library import load_shipped
from gramwright.composition.table import FoodTable
from gramwright.problems import ProblemLog
from gramwright.reading import vocabulary


def test_the_shipped_tables_load_without_a_problem() -> None:
    log = ProblemLog()
    foods, measures = load_shipped(vocabulary.load(), log)
    table = FoodTable(foods, measures)
    assert [str(problem) for problem in (*log, *table.problems)] == []
    assert len(foods) >= 400
    assert len(measures) >= 700


def test_every_shipped_food_is_reached_by_its_id() -> None:
    foods, measures = load_shipped(vocabulary.load(), ProblemLog())
    table = FoodTable(foods, measures)
    for food in foods:
        assert table.lookup(food.id).id == food.id
