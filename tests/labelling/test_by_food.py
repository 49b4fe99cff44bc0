"""What is worked out of a food once and then looked up."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.labelling.label_make import food

from gramwright.labelling import by_food
from gramwright.labelling.by_food import ByFood
from gramwright.model import Food

OATS = food("oats", {"PROCNT_g": 13.0})


def test_a_food_is_worked_out_once_and_each_food_by_itself() -> None:
    made: list[tuple[Food, str]] = []

    def make(item: Food, law: str) -> str:
        made.append((item, law))
        return f"{item.name} {law}"

    known = ByFood(make)
    twin = replace(OATS)
    assert twin == OATS
    for _ in range(2):
        assert known(OATS, "eu") == "oats eu"
        assert known(OATS, "us") == "oats us"
        assert known(twin, "eu") == "oats eu"
    assert made == [(OATS, "eu"), (OATS, "us"), (twin, "eu")]


def test_an_answer_of_none_is_remembered_too() -> None:
    made: list[Food] = []
    known: ByFood[None] = ByFood(made.append)
    assert known(OATS) is None
    assert known(OATS) is None
    assert made == [OATS]


def test_the_memory_starts_anew_when_it_is_full(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three answers fit: the fourth food drops them, and nothing before."""
    monkeypatch.setattr(by_food, "MOST", 3)
    made: list[str] = []

    def make(item: Food) -> str:
        made.append(item.name)
        return item.name

    known = ByFood(make)
    foods = [replace(OATS, name=name) for name in "abcd"]
    for item in (*foods[:3], *foods[:3]):
        known(item)
    assert made == list("abc")
    known(foods[3])
    known(foods[3])
    known(foods[0])
    assert made == [*"abc", "d", "a"]
