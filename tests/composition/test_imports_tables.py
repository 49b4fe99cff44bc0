"""Whole tables in the shapes that public ones come in (tests/imports; every food in them is made up)."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from gramwright.composition.imports import layouts, target
from gramwright.composition.imports.records import Imported
from gramwright.composition.table import FoodTable
from gramwright.composition.units import MeasureSystem
from gramwright.model import Food, ValueKind
from gramwright.problems import Problem, ProblemLog, Trouble
from gramwright.reading import vocabulary
from gramwright.reading.tables import read_foods, read_measures

TABLES = Path(__file__).resolve().parents[1] / "imports"


def read(layout: str, path: Path) -> tuple[Imported, list[Problem]]:
    log = ProblemLog()
    mapping = layouts.load_layout(layout, log)
    assert mapping is not None, [str(problem) for problem in log]
    return layouts.read(mapping, path, log), list(log)


def foods_of(layout: str, imported: Imported) -> dict[str, Food]:
    log = ProblemLog()
    mapping = layouts.load_layout(layout, log)
    assert mapping is not None
    text = target.merge_foods(imported, mapping, None, "x.csv").text
    foods = read_foods(text, "x.csv", log, vocabulary.load())
    assert [f"{problem.place} {problem.message}" for problem in log] == []
    return {food.id: food for food in foods}


# ---------------------------------------------------------------- the British shape


BRITISH = str(TABLES / "british.yaml")


def test_british_marks() -> None:
    imported, _ = read(BRITISH, TABLES / "british.csv")
    foods = foods_of(BRITISH, imported)
    assert list(foods) == ["uk-10-001", "uk-10-002", "uk-10-003", "uk-10-006"]
    caramel, peas, oil = foods["uk-10-001"], foods["uk-10-002"], foods["uk-10-003"]
    assert caramel.name == "Crème caramel, boathouse"  # Windows-1252
    assert caramel.values["FIBTG_g"].kind is ValueKind.TRACE
    assert "VITD_ug" not in caramel.values  # N: not known
    assert peas.values["ENERC_kJ"].kind is ValueKind.BORROWED
    assert peas.values["NA_mg"].amount == 1030  # "1,030" with thousands: comma
    assert peas.group == "pulses"
    assert oil.values["VITD_ug"].limit == 0.1
    assert (oil.source, oil.source_ref, oil.updated) == ("A made-up British table", "10-003", "2021-03-01")
    assert not oil.allergens.checked
    assert not oil.kinds


def test_nothing_is_dropped_in_silence() -> None:
    imported, problems = read(BRITISH, TABLES / "british.csv")
    assert [(problem.code, problem.place.line, problem.place.column) for problem in problems] == [
        ("missing-name", 7, 0),
        ("duplicate-code", 8, 1),
        ("unreadable-cell", 10, 5),
        ("unreadable-cell", 10, 6),
        ("unreadable-cell", 10, 9),
    ]
    assert all(problem.place.file == "british.csv" and problem.severity == "warning" for problem in problems)
    assert imported.not_taken == {"foods without a single figure": 1}
    assert imported.left_out == ["Previous"]


def test_the_same_complaint_is_made_once_and_counted(tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    rows = "\n".join(f"{at},Food {at},x,5" for at in range(40))
    table.write_text(f"code,name,protein,fat\n{rows}\n", encoding="utf-8")
    mapping = tmp_path / "t.yaml"
    mapping.write_text(
        "id: {prefix: t, column: code}\ncolumns: {name: name}\nfixed: {source: me}\n"
        "components: {PROCNT_g: protein, FAT_g: fat}\n",
        encoding="utf-8",
    )
    _, problems = read(str(mapping), table)
    assert len(problems) == 1
    assert "39 more" in problems[0].message


def test_a_line_with_too_many_cells_is_left_out_and_one_with_too_few_is_told(tmp_path: Path) -> None:
    """A decimal comma in a comma-separated file moves every figure behind it under the next head."""
    lines = (TABLES / "british.csv").read_bytes().split(b"\n")
    heads = lines[1].decode("windows-1252").count(",") + 1
    rows = [
        b"20-1,Moved,D,,2,90,6.9,0.9,9.7,5.2,30,0",  # 2,90 was one figure
        b"20-2,Blank ends,D,,290,6.9,0.9,9.7,5.2,30,0,,",
        b"20-3,Broken off,D,,290,6.9",
    ]
    table = tmp_path / "british.csv"
    table.write_bytes(b"\n".join([*lines[:3], *rows]))
    imported, problems = read(BRITISH, table)
    foods = foods_of(BRITISH, imported)
    assert list(foods) == ["uk-20-2", "uk-20-3"]
    assert "FAT_g" not in foods["uk-20-3"].values
    assert [(problem.code, problem.place.line) for problem in problems] == [("too-many-cells", 4), ("too-few-cells", 6)]
    assert f"expected {heads} cells, found 12" in problems[0].message


# ---------------------------------------------------------------- the French shape


FRENCH = str(TABLES / "french.yaml")


def test_french_marks() -> None:
    imported, problems = read(FRENCH, TABLES / "french.csv")
    foods = foods_of(FRENCH, imported)
    soup, oil, salt = foods["fr-4001"], foods["fr-4002"], foods["fr-4003"]
    assert soup.values["ENERC_kJ"].amount == pytest.approx(42.5 * 4.184)
    assert soup.values["FAT_g"].kind is ValueKind.TRACE
    assert soup.values["FIBTG_g"].limit == 0.5
    assert soup.values["NA_mg"].amount == pytest.approx(284)  # salt 0,71 g, 400 mg of sodium in 1 g
    assert soup.density_g_ml == 1.02
    assert "NA_mg" not in oil.values  # "-"
    assert salt.density_g_ml is None  # 55 is no density; said
    assert foods["fr-4005"].values["ENERC_kJ"].amount == pytest.approx(1234.5 * 4.184)
    assert "ENERC_kJ" not in foods["fr-4004"].values  # 1.500 in a table with decimal commas is not guessed at
    assert [(problem.code, problem.place.line) for problem in problems] == [("out-of-range", 4), ("unreadable-cell", 5)]
    assert [(row.food, row.measure, row.grams) for row in imported.measures] == [
        ("fr-4001", "bol", "250"),
        ("fr-4002", "tbsp", "13.6"),
    ]


# ---------------------------------------------------------------- FoodData Central


def test_fooddata_central() -> None:
    imported, problems = read("usda-fdc", TABLES / "fdc")
    foods = foods_of("usda-fdc", imported)
    assert list(foods) == ["fdc-100001", "fdc-100002", "fdc-100003", "fdc-100006"]
    turnip, oil, porridge, spice = foods.values()
    # a Foundation food without nutrient 208: the specific factors (958) before the general ones (957)
    assert turnip.values["ENERC_kJ"].amount == pytest.approx(29 * 4.184)
    assert (turnip.group, turnip.state, turnip.quality.value) == ("vegetables", "raw", "analysed")
    assert turnip.values["FAT_g"].limit == 0.1  # 0.0 with a limit of quantification of 0.10
    assert turnip.values["CHOAVL_g"].amount == pytest.approx(5.0)  # by difference 6.9 less fibre 1.9
    assert turnip.updated == "2024-04-18"
    assert oil.values["ENERC_kJ"].amount == 3700  # kJ (268) before kcal
    assert oil.values["FAT_g"].kind is ValueKind.BORROWED  # derivation BFZN
    assert "FIBTG_g" not in oil.values
    # survey foods name nutrients by number, here also as "203.0"
    assert (porridge.values["PROCNT_g"].amount, porridge.group, porridge.state) == (2.4, "oatmeal", "boiled")
    assert spice.values["PROCNT_g"].amount == 10.3  # "ten" could not be read, the next figure of the nutrient could
    assert spice.updated == ""
    assert [(problem.code, problem.place.file, problem.place.line) for problem in problems] == [
        ("bad-date", "food.csv", 7),
        ("unreadable-cell", "food_nutrient.csv", 22),
    ]
    assert imported.not_taken == {
        "foods of the type branded_food": 1,
        "foods of the type sub_sample_food": 1,
        "portions that are a mass": 1,
        "portions without a measure": 1,
        "second figures of one nutrient of one food": 1,
    }
    assert imported.left_out == ["324 Vitamin D (D2 + D3), International Units"]


def test_portions_keep_the_spoons_they_were_weighed_with() -> None:
    imported, _ = read("usda-fdc", TABLES / "fdc")
    log = ProblemLog()
    mapping = layouts.load_layout("usda-fdc", log)
    assert mapping is not None
    merged = target.merge_measures(imported, mapping, None, "m.csv")
    lines = read_measures(merged.text, "measures/m.csv", log)
    foods = list(foods_of("usda-fdc", imported).values())
    table = FoodTable([], [], foods, lines, MeasureSystem.of("metric", "metric"))
    assert not list(log)
    assert not table.problems
    cup = table.measure("fdc-100001", "cup chopped")
    assert cup is not None
    assert cup.grams == 130
    assert cup.volume_ml == pytest.approx(236.588, abs=0.001)  # NIST Handbook 44: a US cup, in a hub of metric cups
    assert imported.not_taken["portions of a name that the food has already"] == 1


def test_a_folder_without_its_files_says_which(tmp_path: Path) -> None:
    with pytest.raises(Trouble) as caught:
        read("usda-fdc", tmp_path)
    assert caught.value.code == "no-file"
    shutil.copytree(TABLES / "fdc", tmp_path / "FoodData_Central")
    with pytest.raises(Trouble) as caught:
        read("usda-fdc", tmp_path)
    assert "FoodData_Central" in caught.value.hint
    (tmp_path / "FoodData_Central" / "nutrient.csv").unlink()
    with pytest.raises(Trouble) as caught:
        read("usda-fdc", tmp_path / "FoodData_Central")
    assert "nutrient.csv" in caught.value.message


# ---------------------------------------------------------------- what is wrong with files and mappings


def test_everything_that_is_wrong_with_a_mapping_is_listed_with_its_place() -> None:
    log = ProblemLog()
    assert layouts.load_layout(str(TABLES / "broken.yaml"), log) is None
    assert all(problem.place.file == str(TABLES / "broken.yaml") for problem in log)
    found = sorted((problem.place.line, problem.code) for problem in log)
    assert found == [
        (0, "bad-id"),
        (0, "bad-mapping"),
        (0, "missing-key"),
        (0, "missing-key"),
        (0, "missing-key"),
        (2, "unknown-key"),
        (3, "unknown-choice"),
        (3, "unknown-choice"),
        (5, "unknown-key"),
        (5, "unknown-key"),
        (5, "unknown-key"),
        (6, "bad-date"),
        (6, "unknown-choice"),
        (6, "unknown-key"),
        (8, "unknown-key"),
        (9, "wrong-unit"),
        (10, "unknown-unit"),
        (11, "bad-number"),
        (12, "wrong-type"),
        (13, "missing-key"),
    ]


@pytest.mark.parametrize(
    "text", ["", "just a text", "- a list", "{", "name: [", "components: {PROCNT_g: {column: {a: b}}}"]
)
def test_a_mapping_of_another_shape_is_a_problem_never_a_crash(text: str, tmp_path: Path) -> None:
    mapping = tmp_path / "m.yaml"
    mapping.write_text(text, encoding="utf-8")
    log = ProblemLog()
    assert layouts.load_layout(str(mapping), log) is None
    assert log.has_errors


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "missing-column"),
        (b"other,heads\n1,2\n", "missing-column"),
        (b"code,name,p\n1,Caf\xe9,3\n", "wrong-encoding"),
        (b'code,name,p\n1,"' + b"x" * 200_000 + b'",3\n', "not-csv"),
    ],
)
def test_a_file_of_another_shape_is_a_problem_never_a_crash(data: bytes, code: str, tmp_path: Path) -> None:
    mapping = tmp_path / "m.yaml"
    mapping.write_text(
        "id: {prefix: t, column: code}\ncolumns: {name: name}\nfixed: {source: me}\ncomponents: {PROCNT_g: p}\n",
        encoding="utf-8",
    )
    table = tmp_path / "t.csv"
    table.write_bytes(data)
    with pytest.raises(Trouble) as caught:
        read(str(mapping), table)
    assert caught.value.code == code
    assert "expected" in caught.value.message


def test_a_head_that_is_not_there_is_told_with_the_nearest(tmp_path: Path) -> None:
    mapping = tmp_path / "m.yaml"
    mapping.write_text(
        "id: {prefix: t, column: code}\ncolumns: {name: name}\nfixed: {source: me}\n"
        "components: {PROCNT_g: protien, FAT_g: fat}\n",
        encoding="utf-8",
    )
    table = tmp_path / "t.csv"
    table.write_text("code,name,protein,fat\n1,A,3,4\n", encoding="utf-8")
    imported, problems = read(str(mapping), table)
    assert [problem.code for problem in problems] == ["missing-column"]
    assert "'protein'" in problems[0].hint
    assert imported.left_out == ["protein"]


def test_unknown_layouts_name_the_nearest() -> None:
    with pytest.raises(Trouble) as caught:
        layouts.load_layout("usda-fcd", ProblemLog())
    assert caught.value.code == "unknown-layout"
    assert "usda-fdc" in caught.value.hint
    assert layouts.available() == ("ifct2017", "usda-fdc")


ANY_CELL = st.text(st.characters(codec="utf-8"), max_size=14) | st.sampled_from(
    ["1,5", "<0.5", "Tr", "# a", '"', "a;b", "<b>x</b>", "2020-02-30", "\x00", "1e9", "9" * 20, "(3)", "1/0 cup"]
)


@given(st.lists(st.tuples(*[ANY_CELL] * 7), max_size=8))
@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_a_table_holds_ours_reads_without_a_problem(tmp_path: Path, rows: list[tuple[str, ...]]) -> None:
    mapping = tmp_path / "m.yaml"
    mapping.write_text(
        "id: {prefix: t, column: code}\n"
        "columns: {name: name, group: group, state: group, updated: date, aliases: name, note: date}\n"
        "fixed: {source: me}\ncomponents: {PROCNT_g: a, NA_mg: {column: a, unit: g}, density_g_ml: a, refuse_pct: b}\n"
        "measures: {volumes: us, columns: [{portion: name, grams: b}, {portion: b, grams: a}]}\n",
        encoding="utf-8",
    )
    table = tmp_path / "t.csv"
    with table.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["code", "name", "group", "date", "a", "b", "c"])
        writer.writerows(rows)
    log = ProblemLog()
    layout = layouts.load_layout(str(mapping), log)
    assert layout is not None
    try:
        imported = layouts.read(layout, table, log)
    except Trouble as trouble:  # a NUL, an endless quote
        event(trouble.code)
        return
    foods = target.merge_foods(imported, layout, None, "x.csv").text
    measures = target.merge_measures(imported, layout, None, "m.csv").text
    read_log = ProblemLog()
    found = read_foods(foods, "x.csv", read_log, vocabulary.load())
    read_measures(measures, "m.csv", read_log)
    assert [f"{problem.place} {problem.message}" for problem in read_log] == []
    assert len(found) == len(imported.foods)
    assert target.merge_foods(imported, layout, foods, "x.csv").text == foods
    assert target.merge_measures(imported, layout, measures, "m.csv").text == measures


def test_measures_name_spoons_that_there_are() -> None:
    log = ProblemLog()
    lines = read_measures("food,measure,grams,source,volumes\na,tbsp,15,me,us\nb,tbsp,15,me,moon\n", "m.csv", log)
    assert [line.volumes for line in lines] == ["us"]
    assert [(problem.code, problem.place.line, problem.place.column) for problem in log] == [("unknown-choice", 3, 5)]
