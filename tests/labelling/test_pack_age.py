"""How long a bought pack speaks: to the same day so many months later, or the last of a shorter month."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from gramwright.labelling.packs import Pack, pack_speaks, pack_state
from gramwright.model import Quality


@pytest.mark.parametrize(
    ("read", "months", "last"),
    [
        ("2026-01-15", 1, date(2026, 2, 15)),
        ("2026-01-31", 1, date(2026, 2, 28)),
        ("2028-01-31", 1, date(2028, 2, 29)),
        ("2028-01-30", 1, date(2028, 2, 29)),
        ("2026-03-31", 1, date(2026, 4, 30)),
        ("2026-03-31", 2, date(2026, 5, 31)),
        ("2028-02-29", 12, date(2029, 2, 28)),
        ("2026-11-30", 1, date(2026, 12, 30)),
        ("2026-12-31", 1, date(2027, 1, 31)),
        ("2026-06-30", 18, date(2027, 12, 30)),
        ("2026-06-30", 0, date(2026, 6, 30)),
    ],
)
def test_the_last_day(read: str, months: int, last: date) -> None:
    assert pack_state(Quality.DECLARED, read, months, last) is Pack.FRESH
    assert pack_state(Quality.DECLARED, read, months, last + timedelta(days=1)) is Pack.OLD
    assert pack_speaks(read, months, last)
    assert not pack_speaks(read, months, last + timedelta(days=1))


def test_a_limit_beyond_the_calendar_is_none() -> None:
    assert pack_state(Quality.DECLARED, "2026-01-31", 12 * 9000, date(2026, 11, 25)) is Pack.FRESH


def test_the_day_itself_and_the_day_after() -> None:
    assert pack_state(Quality.DECLARED, "2026-11-25", 12, date(2026, 11, 25)) is Pack.FRESH
    assert pack_state(Quality.DECLARED, "2026-11-26", 12, date(2026, 11, 25)) is Pack.FUTURE
