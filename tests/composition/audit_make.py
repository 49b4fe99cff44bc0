"""A few foods of invented figures that agree with each other, to spoil one at a time."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from gramwright.composition.audit import Finding, audit
from gramwright.model import Food
from gramwright.problems import ProblemLog
from gramwright.reading import vocabulary
from gramwright.reading.tables import read_foods

TODAY = date(2025, 11, 25)
PLAIN: Mapping[str, str] = {
    "group": "pulses",
    "ENERC_kJ": "1400",
    "WATER_g": "10",
    "PROCNT_g": "22",
    "FAT_g": "2",
    "FASAT_g": "0.4",
    "FAMS_g": "0.5",
    "FAPU_g": "0.8",
    "CHOAVL_g": "50",
    "SUGAR_g": "4",
    "STARCH_g": "44",
    "FIBTG_g": "13",
    "ASH_g": "3",
    "NA_mg": "12",
    "source": "made up",
    "source_ref": "1",
    "quality": "table",
    "updated": "2020-01-01",
}
"""Energy from the parts: 17 x 22 + 37 x 2 + 17 x 50 + 8 x 13 = 1402 kJ; the parts come to 100 g."""


def table(*changes: Mapping[str, str]) -> list[Food]:
    """One food for each change of the plain one; every food a little different, so that none repeats another."""
    columns = [
        "food",
        "name",
        *dict.fromkeys(name for row in (PLAIN, *changes) for name in row if name not in ("food", "name")),
    ]
    lines = [",".join(columns)]
    for at, change in enumerate(changes):
        row = {"food": f"food-{at}", "name": f"Food {chr(65 + at % 26)}{at}", **PLAIN, "K_mg": str(900 + at), **change}
        if "K_mg" not in columns:
            columns.append("K_mg")
            lines[0] += ",K_mg"
        lines.append(",".join(row.get(name, "") for name in columns))
    log = ProblemLog()
    foods = read_foods("\n".join(lines), "foods/made.csv", log, vocabulary.load())
    assert [str(problem) for problem in log] == []
    return foods


def findings(*changes: Mapping[str, str]) -> list[Finding]:
    return audit(table(*changes), TODAY)


def codes(*changes: Mapping[str, str]) -> list[tuple[str, str]]:
    """(food, code) of every finding."""
    return [(finding.food, finding.code) for finding in findings(*changes)]
