"""The demo hub's fixture."""

from __future__ import annotations

import pytest
from tests.demo.demo_read import Demo, read_demo


@pytest.fixture(scope="session")
def demo() -> Demo:
    """The demo hub, computed once."""
    return read_demo()
