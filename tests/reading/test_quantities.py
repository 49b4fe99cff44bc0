"""Times, storage lives and weights of the front matter."""

from __future__ import annotations

import pint
import pytest

from gramwright.problems import Trouble
from gramwright.reading.quantities import GRAMS, parse_days, parse_grams, parse_minutes


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("15 min", 15),
        ("15min", 15),
        ("1 h 20 min", 80),
        ("1h20min", 80),
        ("1 hour and 20 minutes", 80),
        ("1 hr, 20 mins", 80),
        ("90 minutes", 90),
        ("90", 90),
        ("1.5 h", 90),
        ("1 1/2 hours", 90),
        ("½ h", 30),
        ("2 days", 2880),
        ("PT1H30M", 90),
        ("PT45M", 45),
        ("P1DT2H", 1560),
        ("PT90S", 1.5),
        ("0 min", 0),
    ],
)
def test_minutes(text: str, minutes: float) -> None:
    """The ISO 8601 forms are those that schema.org Duration takes."""
    assert parse_minutes(text) == pytest.approx(minutes)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "soon",
        "15 mn",
        "-15 min",
        "15-20 min",
        "1:30",
        "PT",
        "P",
        "15 min 3",
        "1e9 h",
        " " * 100_000 + "x",
        "100000 h",
    ],
)
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(Trouble) as caught:
        parse_minutes(text)
    assert caught.value.code == "bad-time"


@pytest.mark.parametrize(
    ("text", "days"),
    [("3 days", 3), ("1 day", 1), ("2 weeks", 14), ("2 months", 60), ("12 hours", 0.5), ("4", 4), ("0 days", 0)],
)
def test_days(text: str, days: float) -> None:
    assert parse_days(text) == pytest.approx(days)


@pytest.mark.parametrize("text", ["", "a while", "3 dayz", "-1 days", "10 years"])
def test_what_is_no_storage_life_is_refused(text: str) -> None:
    with pytest.raises(Trouble):
        parse_days(text)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("1480 g", 1480),
        ("1.48 kg", 1480),
        ("1,48 kg", 1480),
        ("1480g", 1480),
        ("3 lb 4 oz", 1474.17520),
        ("500 mg", 0.5),
    ],
)
def test_grams(text: str, grams: float) -> None:
    assert parse_grams(text) == pytest.approx(grams, rel=1e-8)


@pytest.mark.parametrize("text", ["1480", "", "0 g", "-5 g", "heavy", "1480 ml", "2000 kg", "1,480 g"])
def test_what_is_no_weight_is_refused(text: str) -> None:
    with pytest.raises(Trouble):
        parse_grams(text)


def test_pound_and_ounce_are_those_of_nist_and_of_pint() -> None:
    """NIST SP 811, appendix B.9: 1 lb (avoirdupois) = 0.45359237 kg, 1 oz = 28.349523125 g."""
    assert GRAMS["lb"] == 453.59237
    assert GRAMS["oz"] == 28.349523125
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    for name, unit in (("lb", "pound"), ("oz", "ounce"), ("kg", "kilogram"), ("mg", "milligram")):
        assert registry.Quantity(1, unit).to("gram").magnitude == pytest.approx(GRAMS[name], rel=1e-12)
