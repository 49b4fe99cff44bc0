from __future__ import annotations

from collections.abc import Iterator

import pytest
from tests.demo.demo_read import Demo, read_demo
from tests.site.cook_by_hand import Script
from tests.site.find_asked import Finder, odd_cards
from tests.site.made_cards import made_cards


@pytest.fixture(scope="session")
def finder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Finder]:
    """The browser's finding code over a hub of made cards and of odd ones."""
    made = Finder([*made_cards(220), *odd_cards()], tmp_path_factory.mktemp("find"))
    yield made
    made.close()


@pytest.fixture(scope="session")
def demo() -> Demo:
    """The demonstration hub, computed."""
    return read_demo()


@pytest.fixture(scope="module")
def script() -> Iterator[Script]:
    """The browser's cooking code."""
    made = Script()
    yield made
    made.close()
