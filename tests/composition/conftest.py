"""The tiny table as a fixture."""

from __future__ import annotations

import pytest
from composition_make import make_table

from gramwright.composition.table import FoodTable


@pytest.fixture(scope="session")
def tiny() -> FoodTable:
    """The tiny table alone. Shared, so no test may change it."""
    return make_table()
