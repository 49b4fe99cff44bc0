"""Units: Pint's factors and the hub's spoons and cups against published figures."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from gramwright.composition import units
from gramwright.composition.units import MASS, VOLUME, MeasureSystem
from gramwright.problems import Trouble

ROOT = Path(__file__).resolve().parents[2]


def volume(convention: str, name: str) -> float:
    return MeasureSystem.of(convention, convention).named(name).factor


@pytest.mark.parametrize(
    ("name", "millilitres"),
    [("tsp", 4.92892159375), ("tbsp", 14.78676478125), ("fl oz", 29.5735295625), ("cup", 236.5882365)],
)
def test_us_customary(name: str, millilitres: float) -> None:
    """NIST Handbook 44, Appendix C: the US gallon is 231 cubic inches; a cup is its sixteenth."""
    assert volume("us", name) == pytest.approx(millilitres, rel=1e-12)


def test_us_customary_from_the_gallon() -> None:
    """The same by hand: 231 x 2.54^3 mL in a gallon, 16 cups, 128 fluid ounces, 256 tablespoons, 768 teaspoons."""
    gallon = 231 * 2.54**3
    for name, parts in (("cup", 16), ("fl oz", 128), ("tbsp", 256), ("tsp", 768)):
        assert volume("us", name) == pytest.approx(gallon / parts, rel=1e-12)


@pytest.mark.parametrize(("name", "millilitres"), [("tsp", 5), ("tbsp", 15), ("cup", 240), ("fl oz", 30)])
def test_us_labelling(name: str, millilitres: float) -> None:
    """21 CFR 101.9(b)(5)(viii); the NIST guide to cooking measures rounds the same way (tsp 5, tbsp 15, cup 240)."""
    assert volume("us-label", name) == millilitres


@pytest.mark.parametrize(
    ("convention", "name", "millilitres"),
    [
        ("metric", "tsp", 5),  # New Zealand, Canada, South Africa, UK spoons (secondary copy)
        ("metric", "tbsp", 15),
        ("metric", "cup", 250),
        ("australian", "tsp", 5),  # NSW Health, healthykids measures
        ("australian", "tbsp", 20),
        ("australian", "cup", 250),
    ],
)
def test_metric_and_australian(convention: str, name: str, millilitres: float) -> None:
    assert volume(convention, name) == millilitres


@pytest.mark.parametrize(
    ("word", "grams"),
    [
        ("g", 1),
        ("kg", 1000),
        ("mg", 0.001),
        ("oz", 28.349523125),
        ("ounces", 28.349523125),
        ("lb", 453.59237),
        ("pounds", 453.59237),
    ],
)
def test_masses(word: str, grams: float) -> None:
    """NIST SP 811, appendix B.9: the avoirdupois pound is 0.45359237 kg."""
    unit = MeasureSystem.of().unit(word)
    assert unit is not None
    assert unit.kind == MASS
    assert unit.factor == pytest.approx(grams, rel=1e-12)


@pytest.mark.parametrize(
    ("word", "millilitres"), [("mL", 1), ("ml", 1), ("cl", 10), ("dl", 100), ("L", 1000), ("l", 1000), ("litres", 1000)]
)
def test_metric_volumes(word: str, millilitres: float) -> None:
    unit = MeasureSystem.of().unit(word)
    assert unit is not None
    assert unit.kind == VOLUME
    assert unit.factor == pytest.approx(millilitres)


def test_the_cup_of_one_country_with_the_spoons_of_another() -> None:
    system = MeasureSystem.of("australian", "us")
    assert system.named("tbsp").factor == 20
    assert system.named("cup").factor == pytest.approx(236.5882365)


@pytest.mark.parametrize(
    ("words", "name", "used"),
    [
        ("Tbsp. oil", "tbsp", 1),
        ("TABLESPOONS oil", "tbsp", 1),
        ("Grams oats", "g", 1),
        ("fl oz milk", "fl oz", 2),
        ("fl. oz. milk", "fl oz", 2),
        ("fluid ounces milk", "fl oz", 2),
        ("teaspoons", "tsp", 1),
        ("Litre", "L", 1),
        ("lbs", "lb", 1),
    ],
)
def test_words(words: str, name: str, used: int) -> None:
    unit, count = MeasureSystem.of().leading(words.split())
    assert unit is not None
    assert (unit.name, count) == (name, used)


@pytest.mark.parametrize("words", ["", "medium carrots", "fluid milk", "large", "gr8 g"])
def test_words_that_are_no_unit(words: str) -> None:
    assert MeasureSystem.of().leading(words.split()) == (None, 0)


@pytest.mark.parametrize("word", ["pint", "pints", "quart", "gallon", "T", "c", "t", "dessertspoon"])
def test_units_with_several_meanings_are_refused(word: str) -> None:
    """Pint and gallon: 568 and 4546 mL imperial, 473 and 3785 mL US (NIST SP 811 B.9)."""
    with pytest.raises(Trouble) as caught:
        MeasureSystem.of().unit(word)
    assert caught.value.code == "unknown-unit"
    assert caught.value.hint


@pytest.mark.parametrize(
    ("word", "close"), [("gramz", "g"), ("tblspn", "tbsp"), ("teespoon", "tsp"), ("onuces", "oz"), ("kgg", "kg")]
)
def test_slips_are_recognised(word: str, close: str) -> None:
    assert close in MeasureSystem.of().close(word)


@pytest.mark.parametrize("word", ["large", "bunch", "medium", "slice", "clove", "can", "handful"])
def test_measures_are_no_slips(word: str) -> None:
    assert MeasureSystem.of().close(word) == []


def test_an_unknown_convention_is_refused() -> None:
    with pytest.raises(Trouble):
        MeasureSystem("imperial", "metric")


def test_pint_is_asked_once_a_unit_and_never_when_its_answers_are_kept() -> None:
    """A process that is given kept factors never imports Pint, and comes to the same."""
    kept = units.factors()
    code = (
        "import sys\n"
        "from gramwright.composition import units\n"
        f"units.prime({kept!r})\n"
        "systems = [units.MeasureSystem.of(one, one) for one in ('metric', 'australian', 'us', 'us-label')]\n"
        "_ = [system.named(name).factor for system in systems for name in ('tsp', 'cup', 'fl oz', 'lb', 'cL')]\n"
        f"assert units.factors() == {kept!r}\n"
        "assert 'pint' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT / "generator")


def test_importing_the_room_does_not_import_pint() -> None:
    code = (
        "import sys, gramwright.composition.resolve, gramwright.composition.library; assert 'pint' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT / "generator")
