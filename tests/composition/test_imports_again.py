"""Importing into a file, and again: rows by id; the author's words, corrections and other tables are left alone."""

from __future__ import annotations

import importlib.util
import json
import sys
import time
from pathlib import Path

import pytest

from gramwright.cli import main
from gramwright.problems import ProblemLog, Trouble
from gramwright.publishing.importing import import_table
from gramwright.reading import vocabulary
from gramwright.reading.tables import read_foods

ROOT = Path(__file__).resolve().parents[2]
TABLES = ROOT / "tests" / "imports"
FRENCH = str(TABLES / "french.yaml")


@pytest.fixture
def hub(tmp_path: Path) -> Path:
    root = tmp_path / "hub"
    assert main(["start", str(root)]) == 0
    return root


def test_the_same_import_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    into, measures = tmp_path / "fr.csv", tmp_path / "m.csv"
    first = import_table(FRENCH, TABLES / "french.csv", into, measures=measures)
    before = into.read_bytes(), measures.read_bytes()
    second = import_table(FRENCH, TABLES / "french.csv", into, measures=measures)
    assert (into.read_bytes(), measures.read_bytes()) == before
    assert first.foods is not None
    assert second.foods is not None
    assert (first.foods.added, second.foods.added, second.foods.unchanged) == (5, 0, 5)


def test_what_the_author_wrote_stays_and_figures_come_up_to_date(tmp_path: Path) -> None:
    into = tmp_path / "fr.csv"
    import_table(FRENCH, TABLES / "french.csv", into)
    text = into.read_text(encoding="utf-8")
    lines = text.splitlines()
    head = next(line for line in lines if line.startswith("food,"))
    cells = dict(zip(head.split(","), next(li for li in lines if li.startswith("fr-4001")).split(","), strict=True))
    cells |= {
        "name": "Lock soup",
        "aliases": "lock broth",
        "group": "stocks",
        "state": "boiled",
        "contains": "celery",
        "allergens_checked": "yes",
        "kind": "plant",
        "PROCNT_g": "99",
        "source_ref": "old",
    }
    edited = ",".join([*cells.values(), "top shelf"])
    own = "own-row,My own row" + "," * (len(cells) - 2) + ",cellar"
    kept = [line for line in lines if line.startswith("#")]
    others = [line + "," for line in lines if line.startswith("fr-") and not line.startswith("fr-4001")]
    into.write_text(
        "\n".join([*kept, "# mine", head + ",note", "# about the soup", edited, *others, own, "# the end", ""]),
        encoding="utf-8",
    )
    result = import_table(FRENCH, TABLES / "french.csv", into)
    assert result.foods is not None
    assert (result.foods.added, result.foods.updated, result.foods.unchanged, result.foods.kept) == (0, 1, 4, 1)
    after = into.read_text(encoding="utf-8")
    log = ProblemLog()
    foods = {food.id: food for food in read_foods(after, "x.csv", log, vocabulary.load())}
    assert not list(log)
    soup = foods["fr-4001"]
    assert (soup.name, soup.aliases, soup.group, soup.state) == ("Lock soup", ("lock broth",), "stocks", "boiled")
    assert soup.allergens.checked
    assert soup.allergens.contains == {"celery"}
    assert soup.kinds == {"plant"}
    assert soup.extra == {"note": "top shelf"}
    assert (soup.values["PROCNT_g"].amount, soup.source_ref) == (1.2, "4001")
    assert foods["own-row"].extra == {"note": "cellar"}
    for remark in ("# mine", "# about the soup", "# the end"):
        assert remark in after.splitlines()
    assert after.splitlines()[after.splitlines().index("# about the soup") + 1].startswith("fr-4001")


def test_a_corrected_figure_stays_corrected(hub: Path) -> None:
    into, table = hub / "foods" / "fr.csv", hub.parent / "french.csv"
    lines = (TABLES / "french.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    table.write_text("".join(line for line in lines if "Grand nombre" not in line), encoding="utf-8")
    import_table(FRENCH, table, into)
    assert main(["correct", str(hub), "fr-4001", "PROCNT_g=2.5", "--reason", "a typing slip in the table"]) == 0
    result = import_table(FRENCH, table, into)
    assert [problem.code for problem in result.problems if problem.place.file == "corrections.csv"] == [
        "correction-kept"
    ]
    log = ProblemLog()
    foods = read_foods(into.read_text(encoding="utf-8"), "x.csv", log, vocabulary.load())
    assert next(food for food in foods if food.id == "fr-4001").values["PROCNT_g"].amount == 2.5


@pytest.mark.parametrize("text", ["food,name\na,A\n", "# import: other\nfood,name\na,A\n", "anything at all"])
def test_a_table_of_another_hand_is_never_overwritten(text: str, tmp_path: Path) -> None:
    into = tmp_path / "mine.csv"
    into.write_text(text, encoding="utf-8")
    assert main(["foods", "import", FRENCH, str(TABLES / "french.csv"), "--into", str(into)]) == 2
    assert into.read_text(encoding="utf-8") == text


def test_a_measures_table_of_another_hand_stops_the_import_before_anything_is_written(hub: Path) -> None:
    measures = hub / "measures" / "fr.csv"
    measures.write_text("food,measure,grams,source\n", encoding="utf-8")
    with pytest.raises(Trouble) as caught:
        import_table(FRENCH, TABLES / "french.csv", hub / "foods" / "fr.csv")
    assert caught.value.code == "target-exists"
    assert not (hub / "foods" / "fr.csv").exists()


@pytest.mark.parametrize("row", ["fr-4001,too,few", "fr-4001,A" + "," * 30, 'fr-4001,"open'])
def test_a_broken_table_of_ours_is_not_rewritten(row: str, tmp_path: Path) -> None:
    into = tmp_path / "fr.csv"
    import_table(FRENCH, TABLES / "french.csv", into)
    text = into.read_text(encoding="utf-8") + row + "\n"
    into.write_text(text, encoding="utf-8")
    with pytest.raises(Trouble) as caught:
        import_table(FRENCH, TABLES / "french.csv", into)
    assert caught.value.code == "target-unreadable"
    assert into.read_text(encoding="utf-8") == text


def test_into_a_hub_the_measures_go_beside_the_foods_and_rows_can_use_both(hub: Path) -> None:
    result = import_table("usda-fdc", TABLES / "fdc", hub / "foods" / "usda.csv")
    assert result.measures_into == hub / "measures" / "usda.csv"
    page = hub / "recipes" / "turnips.md"
    page.write_text(
        "---\ntitle: Turnips\nportions: 2\n---\n```ingredients\n- 1 cup chopped fdc-100001\n- 1 tbsp fdc-100002\n```\n",
        encoding="utf-8",
    )
    assert main(["proof", str(hub)]) == 0


def test_outside_a_hub_measures_are_counted_not_lost(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    into = tmp_path / "usda.csv"
    assert main(["foods", "import", "usda-fdc", str(TABLES / "fdc"), "--into", str(into), "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["foods"] == {"added": 4, "updated": 0, "unchanged": 0, "kept": 0}
    assert data["measures"] is None
    assert data["not_taken"]["household measures (say where with --measures)"] == 5
    assert {problem["severity"] for problem in data["problems"]} == {"warning"}
    assert data["columns_left_out"] == ["324 Vitamin D (D2 + D3), International Units"]


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["no-layout", "x", "--into", "{tmp}/a.csv"], "unknown-layout"),
        (["usda-fdc", "{tmp}/nowhere", "--into", "{tmp}/a.csv"], "no-file"),
        (["usda-fdc", "{tmp}", "--into", "{tmp}/a.csv"], "no-file"),
        (["usda-fdc", "{tmp}", "--into", "{tmp}/a.txt"], "bad-target"),
    ],
)
def test_wrong_calls_end_with_2(
    arguments: list[str], code: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [word.format(tmp=tmp_path) for word in arguments]
    assert main(["foods", "import", *words, "--format", "json"]) == 2
    assert [problem["code"] for problem in json.loads(capsys.readouterr().out)["problems"]] == [code]
    assert list(tmp_path.iterdir()) == []


def test_a_broken_mapping_ends_with_1_and_writes_nothing(tmp_path: Path) -> None:
    into = tmp_path / "a.csv"
    assert main(["foods", "import", str(TABLES / "broken.yaml"), str(TABLES / "french.csv"), "--into", str(into)]) == 1
    assert not into.exists()


def test_thousands_of_foods_take_seconds_and_say_how_far_they_are(tmp_path: Path) -> None:
    """2,000 foods x 60 nutrients in under 5 s of processor time; bench/import_bench.py measures 8,000."""
    spec = importlib.util.spec_from_file_location("import_bench", ROOT / "bench" / "import_bench.py")
    assert spec is not None
    assert spec.loader is not None
    bench = importlib.util.module_from_spec(spec)
    sys.modules["import_bench"] = bench
    spec.loader.exec_module(bench)
    bench.make_folder(tmp_path, 2000)
    seen: list[int] = []
    begun = time.process_time()
    result = import_table("usda-fdc", tmp_path, tmp_path / "fdc.csv", progress=lambda done, total: seen.append(done))
    assert time.process_time() - begun < 5
    assert result.foods is not None
    assert result.foods.added == 2000
    assert seen == sorted(seen)
    assert len(seen) > 10
    assert seen[-1] == 100
