"""Pint's factors kept between processes: only of the Pint that is installed, only undamaged."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from gramwright.composition import units
from gramwright.publishing import unit_memory


@pytest.fixture
def fresh(monkeypatch: pytest.MonkeyPatch) -> dict[str, float]:
    """The process's factors, empty."""
    known: dict[str, float] = {}
    monkeypatch.setattr(units, "_asked", known)
    return known


def test_what_is_kept_is_recalled(tmp_path: Path, fresh: dict[str, float]) -> None:
    teaspoon = units.MeasureSystem("us", "us").named("tsp").factor
    unit_memory.keep(tmp_path)
    fresh.clear()
    unit_memory.recall(tmp_path)
    assert fresh == {"us tsp": teaspoon}


@pytest.mark.parametrize("damage", [lambda text: "", lambda text: text[:-3], lambda text: text.replace("4.9", "5.9")])
def test_a_damaged_memory_is_ignored(tmp_path: Path, fresh: dict[str, float], damage) -> None:  # type: ignore[no-untyped-def]
    units.MeasureSystem("us", "us").named("tsp")
    unit_memory.keep(tmp_path)
    file = tmp_path / unit_memory.FILE
    file.write_text(damage(file.read_text()))
    fresh.clear()
    unit_memory.recall(tmp_path)
    assert fresh == {}


def test_another_pint_is_asked_itself(tmp_path: Path, fresh: dict[str, float], monkeypatch: pytest.MonkeyPatch) -> None:
    units.MeasureSystem("us", "us").named("tsp")
    unit_memory.keep(tmp_path)
    fresh.clear()
    monkeypatch.setattr(unit_memory, "_mark", lambda: "another")
    unit_memory.recall(tmp_path)
    assert fresh == {}


def test_a_process_that_recalls_never_imports_pint(tmp_path: Path, fresh: dict[str, float]) -> None:
    units.factors()
    unit_memory.keep(tmp_path)
    code = (
        "import sys; from pathlib import Path; from gramwright.publishing import unit_memory;"
        "from gramwright.composition.units import MeasureSystem;"
        f"unit_memory.recall(Path({str(tmp_path)!r})); MeasureSystem('us', 'us').named('cup');"
        "assert 'pint' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, env={"PYTHONPATH": ":".join(sys.path)})
