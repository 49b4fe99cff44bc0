"""The tiny table as a fixture; property tests run without a deadline (a busy machine is no fault of theirs)."""

from __future__ import annotations

import pytest
from hypothesis import settings
from tests.composition.composition_make import make_table

from gramwright.composition.table import FoodTable

settings.register_profile("no-deadline", deadline=None)
settings.load_profile("no-deadline")


@pytest.fixture(scope="session")
def tiny() -> FoodTable:
    """The tiny table alone. Shared, so no test may change it."""
    return make_table()
