"""A corrected figure: the cell, the log, what it means for every recipe, and what readers see."""

from __future__ import annotations

import csv
import io

import pytest
from tests.publishing.hub_make import Hub, Run, files_in

from gramwright.model import Food
from gramwright.publishing import correct
from gramwright.publishing.kitchen import Kitchen

pytestmark = pytest.mark.long

MILK = "2 % milk says the new carton"


def log_of(hub: Hub) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO((hub.root / "corrections.csv").read_text(encoding="utf-8"))))


def test_an_own_food_is_changed_in_place(hub: Hub, run: Run) -> None:
    before = (hub.root / "foods/own.csv").read_bytes()
    code, data = run("correct", hub.root, "test milk", "FAT_g=1.8", "--reason", MILK)
    assert code == 0
    assert (hub.root / "foods/own.csv").read_bytes() == before.replace(b"3.4,3.6,2.3", b"3.4,1.8,2.3")
    (entry,) = log_of(hub)
    assert (entry["food"], entry["component"], entry["old"], entry["new"]) == ("test-milk", "FAT_g", "3.6", "1.8")
    assert entry["reason"] == MILK
    assert {recipe["slug"] for recipe in data["recipes"]} == {"porridge", "fruit-bowl"}
    # 400 g of milk, 1.8 g less fat per 100 g, two portions: 3.6 g x 9 kcal (Annex XIV) less each.
    figures = {f["figure"]: f for recipe in data["recipes"] if recipe["slug"] == "porridge" for f in recipe["figures"]}
    assert figures["fat"]["before"] == "10 g"
    assert figures["fat"]["after"] == "6.4 g"


@pytest.mark.parametrize("mark", ["\u2028", "\u2029", "\x85"])
def test_marks_that_end_no_line_move_no_correction(hub: Hub, run: Run, mark: str) -> None:
    text = (hub.root / "foods/own.csv").read_text(encoding="utf-8")
    hub.write("foods/own.csv", f"# a note{mark}of ours\n{text}".replace("made up for a test,1", f"made{mark}up,1"))
    before = (hub.root / "foods/own.csv").read_bytes()
    assert run("correct", hub.root, "test milk", "FAT_g=1.8", "--reason", MILK)[0] == 0
    assert (hub.root / "foods/own.csv").read_bytes() == before.replace(b"3.4,3.6,2.3", b"3.4,1.8,2.3")


def test_another_food_in_the_line_is_never_changed(hub: Hub, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    before = files_in(hub.root)
    table_of = correct._table_of

    def a_line_off(food: Food, kitchen: Kitchen) -> tuple[str, int, str]:
        table, line, text = table_of(food, kitchen)
        return table, line - 1, text

    monkeypatch.setattr(correct, "_table_of", a_line_off)
    code, data = run("correct", hub.root, "test milk", "FAT_g=1.8", "--reason", MILK)
    assert (code, data["problems"][0]["code"]) == (1, "table-changed")
    assert files_in(hub.root) == before


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_byte_order_mark_and_the_line_ends_stay(hub: Hub, run: Run, end: str) -> None:
    text = "\ufeff# ours\n" + (hub.root / "foods/own.csv").read_text(encoding="utf-8")
    hub.write("foods/own.csv", text.replace("\n", end))
    hub.write("corrections.csv", f"\ufeffdate,food,component,old,new,reason,source{end}")
    before = (hub.root / "foods/own.csv").read_bytes()
    assert run("correct", hub.root, "test milk", "FAT_g=1.8", "--reason", MILK)[0] == 0
    assert (hub.root / "foods/own.csv").read_bytes() == before.replace(b"3.4,3.6,2.3", b"3.4,1.8,2.3")
    log = (hub.root / "corrections.csv").read_bytes().decode()
    assert log.startswith("\ufeffdate,")
    assert log.count("\ufeff") == 1
    assert log.count(end) == 2


def test_a_dry_run_writes_nothing(hub: Hub, run: Run) -> None:
    before = files_in(hub.root)
    code, data = run("correct", hub.root, "test milk", "FAT_g=1.8", "--reason", MILK, "--dry-run")
    assert code == 0
    assert not data["written"]
    assert data["recipes"]
    assert files_in(hub.root) == before


def test_a_shipped_food_is_overridden_with_its_old_value_beside(hub: Hub, run: Run) -> None:
    hub.edit("recipes/porridge.md", "- salt, to taste", "- 10 g olive oil")
    code, data = run("correct", hub.root, "olive oil", "FASAT_g=15", "--reason", "measured")
    assert (code, data["table"]) == (0, "foods/corrected.csv")
    table = (hub.root / "foods/corrected.csv").read_text(encoding="utf-8")
    assert "shipped FASAT_g: 13.808" in table
    shown = run("foods", "show", "olive oil", hub.root)[1]["food"]
    assert shown["per_100g"]["FASAT_g"]["amount"] == 15
    assert shown["source_ref"] == "04053"
    code, data = run("correct", hub.root, "butter, salted", "FASAT_g=50", "--reason", "measured")
    assert code == 0
    assert (hub.root / "foods/corrected.csv").read_text(encoding="utf-8").startswith(table)


def test_undoing_is_another_correction(hub: Hub, run: Run) -> None:
    before = (hub.root / "foods/own.csv").read_bytes()
    run("correct", hub.root, "test milk", "FAT_g=1.8", "--reason", MILK)
    run("correct", hub.root, "test milk", "FAT_g=3.6", "--reason", "misread")
    assert (hub.root / "foods/own.csv").read_bytes() == before
    assert [entry["new"] for entry in log_of(hub)] == ["1.8", "3.6"]


def test_an_allergen_that_appears_comes_first(hub: Hub, run: Run) -> None:
    code, data = run("correct", hub.root, "test apple", "contains=sulphites", "SUGAR_g=11", "--reason", "dipped")
    assert code == 0
    (bowl,) = data["recipes"]
    assert bowl["means"][0]["code"] == "allergen-appeared"
    assert "sulphites" in bowl["means"][0]["text"]


def test_energy_and_salt_are_taken_in_the_table_s_unit(hub: Hub, run: Run) -> None:
    code, data = run("correct", hub.root, "test milk", "ENERC_kcal=50", "SALT_g=0.1", "--reason", MILK)
    assert code == 0
    assert {(c["component"], c["new"]) for c in data["corrected"]} == {("ENERC_kJ", "209.2"), ("NA_mg", "40")}


@pytest.mark.parametrize(
    ("assignment", "code", "exits"),
    [
        ("FAT_g=lots", "not-a-number", 1),
        ("FAT_g=-1", "negative-value", 1),
        ("FAT_g", "bad-assignment", 2),
        ("fatt=3", "unknown-component", 2),
        ("FAT_mg=3", "wrong-unit", 2),
        ("contains=mlik", "unknown-allergen", 1),
        ("FAT_g=3.6", "nothing-to-correct", 1),
        ("name=Cream", "bad-assignment", 2),
    ],
)
def test_a_bad_correction_writes_nothing(hub: Hub, run: Run, assignment: str, code: str, exits: int) -> None:
    before = files_in(hub.root)
    exit_code, data = run("correct", hub.root, "test milk", assignment, "--reason", MILK)
    assert exit_code == exits
    assert data["problems"][0]["code"] == code
    assert data["problems"][0]["hint"]
    assert files_in(hub.root) == before


@pytest.mark.parametrize("given", [("FAT_g=1.8", "FAT_g=1.7"), ("ENERC_kcal=50", "ENERC_kJ=210")])
def test_one_figure_twice_is_wrong_usage(hub: Hub, run: Run, given: tuple[str, str]) -> None:
    before = files_in(hub.root)
    code, data = run("correct", hub.root, "test milk", *given, "--reason", MILK)
    assert (code, [problem["code"] for problem in data["problems"]]) == (2, ["given-twice"])
    assert files_in(hub.root) == before


def test_a_reason_is_needed(hub: Hub, run: Run) -> None:
    code, data = run("correct", hub.root, "test milk", "FAT_g=1.8", "--reason", " ")
    assert (code, data["problems"][0]["code"]) == (2, "no-reason")


def test_all_problems_of_the_hub_are_told_with_their_places(hub: Hub, run: Run) -> None:
    hub.edit("foods/own.csv", ",12,7,1.2,", ",12,7,lots,")
    hub.edit("foods/own.csv", ",0.3,0.2,", ",few,0.2,")
    before = files_in(hub.root)
    code, data = run("correct", hub.root, "test milk", "FAT_g=1.8", "--reason", MILK)
    assert code == 1
    errors = [problem for problem in data["problems"] if problem["severity"] == "error"]
    assert [(p["file"], p["line"], p["column"]) for p in errors] == [("foods/own.csv", 2, 12), ("foods/own.csv", 4, 10)]
    assert not any("own.csv" in problem["message"] for problem in errors)
    assert (data["written"], data["corrected"]) == (False, [])
    assert files_in(hub.root) == before


def test_readers_see_what_moved_and_why(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    run("correct", hub.root, "test milk", "FAT_g=1.8", "--reason", MILK)
    assert run("publish", hub.root)[0] == 0
    page = hub.published()["recipes/porridge/index.html"].decode()
    assert MILK in page
    assert "fat 10 g → 6.4 g" in page.replace("\u202f", " ")
    log = hub.published()["corrections/index.html"].decode()
    assert MILK in log
    assert "Test milk" in log
    feed = hub.published()["corrections.xml"].decode()
    assert MILK in feed
    hub.edit("hub.yaml", "title:", "corrections_days: 0\ntitle:")
    hub.edit("corrections.csv", "2026", "2025")
    assert run("publish", hub.root)[0] == 0
    assert MILK not in hub.published()["recipes/porridge/index.html"].decode()


def test_compare_says_what_the_next_publish_changes(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    assert run("compare", hub.root) == (0, {"recipes": 2, "changes": [], "plans": [], "problems": []})
    hub.edit("recipes/snacks/fruit-bowl.md", "150 g test apple", "300 g test apple")
    hub.write("recipes/new.md", (hub.root / "recipes/porridge.md").read_text(encoding="utf-8"))
    code, data = run("compare", hub.root, "--page", hub.root / "report.html")
    assert code == 0
    assert {(change["slug"], change["kind"]) for change in data["changes"]} == {
        ("fruit-bowl", "changed"),
        ("new", "added"),
    }
    report = (hub.root / "report.html").read_text(encoding="utf-8")
    assert "Fruit bowl" in report
    assert "<script" not in report


def test_compare_without_a_site_is_a_problem(hub: Hub, run: Run) -> None:
    code, data = run("compare", hub.root)
    assert code == 1
    assert data["problems"][0]["code"] == "not-published"
