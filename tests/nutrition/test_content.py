"""Shipped tables that are broken give located problems, never a traceback."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from gramwright import resources
from gramwright.nutrition import content
from gramwright.nutrition.books import NutritionBooks
from gramwright.nutrition.retention import load_retention
from gramwright.nutrition.yields import load_yields
from gramwright.problems import Place, ProblemLog, Trouble


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the room's shipped files that a test may break."""
    for name in ("nutrition", "retention"):
        shutil.copytree(resources.content() / name, tmp_path / name)
    monkeypatch.setattr(content, "content", lambda: tmp_path)
    return tmp_path


def test_the_copy_is_whole(folder: Path) -> None:
    log = ProblemLog()
    books = NutritionBooks.load(log)
    assert not len(log)
    assert len(books.retention.by_code) == 270  # USDA release 6, number of preparations


def test_published_factors_of_the_shipped_table(folder: Path) -> None:
    """USDA Table of Nutrient Retention Factors, release 6 (rows as transcribed in public files, secondary copy)."""
    table = load_retention(ProblemLog())
    greens, legumes, egg = table.get("3005"), table.get("501"), table.get("105")
    assert (greens.kept["VITC_mg"], greens.kept["THIA_mg"], greens.kept["RIBF_mg"]) == (0.55, 0.80, 0.90)
    minerals = ("CA_mg", "FE_mg", "MG_mg", "K_mg", "NA_mg", "ZN_mg")
    assert [legumes.kept[tag] for tag in minerals] == [0.85, 0.85, 0.80, 0.75, 0.90, 0.85]
    assert egg.kept["THIA_mg"] == 0.85
    alcohol = {code: table.get(code).kept["ALC_g"] for code in ("5001", "5002", "5003", "5004", "5006", "5008", "5010")}
    assert alcohol == {
        "5001": 0.70, "5002": 0.85, "5003": 0.75, "5004": 0.40, "5006": 0.25, "5008": 0.10, "5010": 0.45
    }  # fmt: skip


def test_bad_lines_are_located_and_good_ones_count(folder: Path) -> None:
    (folder / "retention" / "usda-r6.csv").write_text(
        "# remark\ncode,description,NA_mg,VITC_mg\n1,fine,90,\n"
        "2,odd,Sep-75,80\n3,too much,120,80\n,nameless,90,80\n1,twice,90,80\n",
        encoding="utf-8",
    )
    log = ProblemLog()
    table = load_retention(log)
    assert table.get("1").kept == {"NA_mg": 0.9}
    assert table.get("1").unknown == ("VITC_mg",)
    assert [problem.place.line for problem in log] == [4, 5, 6, 7]
    assert log.problems[0].place == Place("content/retention/usda-r6.csv", 4)


@pytest.mark.parametrize("data", [b"code,description\n\xff,x\n", b"", b"name,description,NA_mg\n"])
def test_a_table_that_is_none(folder: Path, data: bytes) -> None:
    (folder / "retention" / "usda-r6.csv").write_bytes(data)
    log = ProblemLog()
    assert not load_retention(log).by_code
    assert len(log) == 1


def test_a_missing_table(folder: Path) -> None:
    (folder / "nutrition" / "typical-yields.csv").unlink()
    log = ProblemLog()
    assert not load_yields(log).by_name
    assert [problem.code for problem in log] == ["missing-content"]


def test_typical_yields_have_a_source_and_ordered_ends(folder: Path) -> None:
    yields = load_yields(ProblemLog()).by_name
    assert len(yields) >= 12
    assert all(item.low < item.factor < item.high and item.source for item in yields.values())
    from_memory = [item for item in yields.values() if item.source == "from memory"]
    assert all((item.high - item.low) / item.factor >= 0.14 for item in from_memory)  # a wide range
    assert yields["spinach microwaved"].factor == 0.65  # AH-102 (1956), as Phenol-Explorer prints it
    assert (yields["berry jam"].factor, yields["cherry jam"].factor) == (0.86, 0.85)  # Bognar 2002


@pytest.mark.parametrize("line", ["x,0.9,0.95,1.0,me,", "x,much,0.8,1.0,me,", "x,0.9,0.8,1.0,,"])
def test_a_yield_that_makes_no_sense(folder: Path, line: str) -> None:
    path = folder / "nutrition" / "typical-yields.csv"
    path.write_text("name,factor,low,high,source,note\n" + line + "\n", encoding="utf-8")
    log = ProblemLog()
    assert not load_yields(log).by_name
    assert [problem.place.line for problem in log] == [2]


@pytest.mark.parametrize("name", ["looseness.yaml", "plausible.yaml"])
@pytest.mark.parametrize("text", ["", "values: [", "values: 3", "any: {NA_mg: much}"])
def test_figures_that_nothing_can_do_without(folder: Path, name: str, text: str) -> None:
    (folder / "nutrition" / name).write_text(text, encoding="utf-8")
    log = ProblemLog()
    with pytest.raises(Trouble):
        NutritionBooks.load(log)
    assert log.problems[-1].place == Place(f"content/nutrition/{name}")
