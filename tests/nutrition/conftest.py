"""The shipped tables, read once."""

from __future__ import annotations

import pytest

from gramwright.nutrition.books import NutritionBooks
from gramwright.problems import ProblemLog


@pytest.fixture(scope="session")
def books() -> NutritionBooks:
    log = ProblemLog()
    loaded = NutritionBooks.load(log)
    assert not [problem for problem in log if problem.place.file.startswith("content/nutrition")]
    return loaded
