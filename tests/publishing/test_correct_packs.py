"""A corrected line of a bought pack: the key in its place, as the pack prints it, and nothing else."""

from __future__ import annotations

import csv
import io

import pytest
from tests.publishing.hub_make import Hub, Run, files_in

from gramwright.problems import Trouble
from gramwright.publishing.pack_edit import read_entry, set_line

pytestmark = pytest.mark.long

PACKS = """# Packs of ours. Invented.

- name: Test whey
  per: 100 g
  energy: 1654 kJ / 391 kcal   # both are printed
  fat: 6.0 g        # front of the tub
  saturates: "3.5 g"
  carbohydrate: 8.0 g
  sugars: 6.5 g
  fibre: 0.5 g
  protein: '76 g'
  salt: 0.5 g
  contains: [milk]
  may contain: none
  allergens_checked: yes
  read: 2026-06-14
  made_up: yes
  aliases: [whey]

# A bar, by the piece.
- {name: Test bar, per: serving 40 g, serving: 40 g, energy: 700 kJ, fat: 8 g, carbohydrate: 18 g, sugars: 9 g,
   fibre: 1 g, protein: 4.5 g, sodium: 60 mg, contains: none, allergens_checked: yes, read: 2026-06-14, made_up: yes}
"""
WHY = "the new tub says so"


@pytest.fixture
def packs(hub: Hub) -> Hub:
    hub.write("foods/packs.yaml", PACKS)
    hub.edit("recipes/porridge.md", "- salt, to taste", "- 30 g test whey\n- 40 g test bar")
    return hub


def log_of(hub: Hub) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO((hub.root / "corrections.csv").read_text(encoding="utf-8"))))


@pytest.mark.parametrize(
    ("food", "given", "old", "new"),
    [
        ("test whey", ["FAT_g=5.8"], "fat: 6.0 g        #", "fat: 5.8 g        #"),
        ("test whey", ["fat=5.8 g"], "fat: 6.0 g        #", "fat: 5.8 g        #"),
        ("test whey", ["saturates=3.4 g"], 'saturates: "3.5 g"', 'saturates: "3.4 g"'),
        ("test whey", ["PROCNT_g=75.5"], "protein: '76 g'", "protein: '75.5 g'"),
        ("test whey", ["SALT_g=0.4"], "salt: 0.5 g", "salt: 0.4 g"),
        ("test whey", ["NA_mg=160"], "salt: 0.5 g", "salt: 0.4 g"),  # salt = sodium x 2.5
        ("test whey", ["FIBTG_g=<0.5"], "fibre: 0.5 g", "fibre: <0.5 g"),
        ("test whey", ["energy=1650 kJ / 390 kcal"], "1654 kJ / 391 kcal   #", "1650 kJ / 390 kcal   #"),
        ("test whey", ["contains=milk;soybeans"], "contains: [milk]", "contains: [milk, soybeans]"),
        ("test whey", ["may contain=eggs"], "may contain: none", "may contain: eggs"),
        ("test whey", ["CA_mg=500"], "  salt: 0.5 g\n", "  salt: 0.5 g\n  calcium: 500 mg\n"),
        ("test whey", ["sugars="], "  sugars: 6.5 g\n", ""),
        ("test whey", ["fat=5.8 g", "read=2026-10-01"], None, None),
        ("test bar", ["fat=7.9 g"], "fat: 8 g,", "fat: 7.9 g,"),
        ("test bar", ["sodium=80 mg"], "sodium: 60 mg", "sodium: 80 mg"),
        ("test bar", ["starch=8 g"], "sodium: 60 mg,", "sodium: 60 mg, starch: 8 g,"),
    ],
)  # fmt: skip
def test_the_line_is_changed_in_its_place(
    packs: Hub, run: Run, food: str, given: list[str], old: str | None, new: str | None
) -> None:
    code, data = run("correct", packs.root, food, *given, "--reason", WHY)
    assert code == 0, data
    if old is None or new is None:
        old, new = "fat: 6.0 g        # front", "fat: 5.8 g        # front"
        expected = PACKS.replace(old, new).replace("read: 2026-06-14\n", "read: 2026-10-01\n")
    else:
        assert PACKS.count(old) == 1
        expected = PACKS.replace(old, new)
    assert (packs.root / "foods/packs.yaml").read_text(encoding="utf-8") == expected
    assert (data["table"], data["written"]) == ("foods/packs.yaml", True)
    assert {entry["food"] for entry in log_of(packs)} == {food.replace(" ", "-")}
    assert len(log_of(packs)) == len(given)
    assert ("read-date" in {p["code"] for p in data["problems"]}) is (len(given) == 1)


@pytest.mark.parametrize(
    ("food", "given", "code", "hint"),
    [
        ("test bar", "FAT_g=20", "not-as-printed", "fat='...'"),  # per 100 g, the bar says per serving
        ("test bar", "SALT_g=0.4", "not-as-printed", "sodium='...'"),
        ("test whey", "ENERC_kJ=1600", "not-as-printed", "energy='1654 kJ / 391 kcal'"),
        ("test whey", "CHOCDF_g=9", "not-as-printed", "carbohydrate='...'"),
        ("test whey", "WATER_g=5", "not-as-printed", "prints"),
        ("test whey", "fatt=3", "unknown-component", "fat"),
        ("test whey", "name=Other", "bad-assignment", "rename"),
        ("test whey", "fat", "bad-assignment", "fat="),
        ("test whey", "fat=6.0 g", "nothing-to-correct", "look"),
        ("test whey", "fat=lots", "bad-figure", "6.0 g"),
        ("test whey", "saturates=30 g", "part-above-whole", ""),
        ("test whey", "contains=mlik", "unknown-allergen", ""),
        ("test whey", "energy=1000 kJ", "energy-far-off", ""),
    ],
)
def test_what_the_pack_does_not_print_is_refused_with_the_way_out(
    packs: Hub, run: Run, food: str, given: str, code: str, hint: str
) -> None:
    before = files_in(packs.root)
    exits, data = run("correct", packs.root, food, given, "--reason", WHY)
    assert exits == (2 if code in ("not-as-printed", "unknown-component", "bad-assignment") else 1)
    found = {p["code"]: p["hint"] for p in data["problems"]}
    if code in ("part-above-whole", "energy-far-off"):
        assert exits == 1
        assert any(p["severity"] == "error" and p["file"] == "foods/packs.yaml" for p in data["problems"]), data
    else:
        assert hint in found[code]
    assert files_in(packs.root) == before


def test_what_a_pack_says_moves_the_portion(packs: Hub, run: Run) -> None:
    """30 g of whey in two portions: 6 g less protein per 100 g are 0.9 g less a portion."""
    given = ("protein=70 g", "energy=1552 kJ / 367 kcal")
    code, data = run("correct", packs.root, "test whey", *given, "--reason", WHY, "--dry-run")
    assert code == 0
    (figures,) = [recipe["figures"] for recipe in data["recipes"] if recipe["slug"] == "porridge"]
    moved = {figure["figure"]: (figure["before"], figure["after"]) for figure in figures}
    before, after = (float(text.partition(" ")[0]) for text in moved["protein"])
    assert before - after == pytest.approx(0.9, abs=0.51), "printed in whole grams from 10 g on"


def test_readers_see_what_a_pack_said_before(packs: Hub, run: Run) -> None:
    run("publish", packs.root)
    assert run("correct", packs.root, "test whey", "protein=70 g", "energy=1552 kJ / 367 kcal", "--reason", WHY)[0] == 0
    assert run("publish", packs.root)[0] == 0
    page = packs.published()["recipes/porridge/index.html"].decode()
    assert WHY in page
    assert "protein " in page.replace("\u202f", " ")
    log = packs.published()["corrections/index.html"].decode()
    assert "76 g" in log
    assert "70 g" in log
    assert "protein" in log.lower()


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_byte_order_mark_and_the_line_ends_stay(packs: Hub, run: Run, end: str) -> None:
    packs.write("foods/packs.yaml", "\ufeff" + PACKS.replace("\n", end))
    before = (packs.root / "foods/packs.yaml").read_bytes()
    assert run("correct", packs.root, "test whey", "fat=5.8 g", "calcium=500 mg", "--reason", WHY)[0] == 0
    expected = before.replace(b"fat: 6.0 g", b"fat: 5.8 g").replace(
        b"  salt: 0.5 g", b"  salt: 0.5 g" + end.encode() + b"  calcium: 500 mg"
    )
    assert (packs.root / "foods/packs.yaml").read_bytes() == expected


def test_undoing_is_another_correction(packs: Hub, run: Run) -> None:
    assert run("correct", packs.root, "test whey", "sodium=200 mg", "salt=", "--reason", WHY)[0] == 0
    assert run("correct", packs.root, "test whey", "fat=5.8 g", "--reason", WHY)[0] == 0
    assert run("correct", packs.root, "test whey", "fat=6.0 g", "--reason", "misread")[0] == 0
    text = (packs.root / "foods/packs.yaml").read_text(encoding="utf-8")
    assert text == PACKS.replace("  salt: 0.5 g\n", "  sodium: 200 mg\n")


@pytest.mark.parametrize(
    ("value", "line"),
    [("a: b", '  note: "a: b"'), ("10 % # off", '  note: "10 % # off"'), ('say "so"', '  note: say "so"')],
)
def test_words_that_yaml_would_take_otherwise_are_quoted(value: str, line: str) -> None:
    text = set_line(PACKS, 3, "note", value)
    assert line in text.split("\n")
    assert read_entry(text, 3).keys["note"] == value


def test_a_value_over_several_lines_is_left_alone() -> None:
    text = PACKS.replace("contains: [milk]", "contains:\n    - milk")
    with pytest.raises(Trouble) as found:
        set_line(text, 3, "contains", "soybeans")
    assert found.value.code == "cannot-write"


def test_a_line_without_a_pack_changes_nothing() -> None:
    with pytest.raises(Trouble) as found:
        set_line(PACKS, 4, "fat", "5 g")
    assert found.value.code == "table-changed"
