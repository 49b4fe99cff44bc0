"""Bought packs as printed (foods/*.yaml). Every pack is invented; what a check holds against is named beside it."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gramwright.cli import main
from gramwright.model import Food, Quality, ValueKind
from gramwright.problems import Problem, ProblemLog
from gramwright.reading import vocabulary
from gramwright.reading.pack_figures import load_rules
from gramwright.reading.packs import read_packs
from gramwright.reading.tables import MeasureLine

WHEY = {
    "name": "Slipway vanilla whey powder",
    "per": "100 g",
    "energy": "1654 kJ / 391 kcal",
    "fat": "6.0 g",
    "saturates": "3.5 g",
    "carbohydrate": "8.0 g",
    "sugars": "6.5 g",
    "fibre": "0.5 g",
    "protein": "76 g",
    "salt": "0.5 g",
    "read": "2025-06-14",
    "made_up": "yes",
}
"""17 x 76 + 37 x 6 + 17 x 8 + 8 x 0.5 = 1654 kJ (Annex XIV); 4 x 76 + 9 x 6 + 4 x 8 + 2 x 0.5 = 391 kcal."""


def read(text: str, today: date | None = None) -> tuple[list[Food], list[MeasureLine], list[Problem]]:
    log = ProblemLog()
    foods, lines = read_packs(text, "foods/packs.yaml", log, vocabulary.load(), today)
    return foods, lines, list(log)


def entry(**changes: str | None) -> str:
    """The whey powder as YAML, changed."""
    pack = {**WHEY, **changes}
    return "- " + "\n  ".join(f"{key}: {value}" for key, value in pack.items() if value is not None) + "\n"


def pack(**changes: str | None) -> tuple[Food, list[MeasureLine]]:
    foods, lines, problems = read(entry(**changes))
    assert [f"{problem.code}: {problem.message}" for problem in problems] == []
    return foods[0], lines


def codes(**changes: str | None) -> list[tuple[str, str]]:
    return [(problem.severity.value, problem.code) for problem in read(entry(**changes))[2]]


# ---------------------------------------------------------------- a pack becomes a food


def test_a_pack_per_100_g() -> None:
    food, lines = pack(contains="[milk, soya]", may_contain="none", allergens_checked="yes", brand="Slipway")
    assert (food.id, food.quality, food.updated, food.source) == (
        "slipway-vanilla-whey-powder",
        Quality.DECLARED,
        "2025-06-14",
        "invented",
    )
    amounts = {tag: value.amount for tag, value in food.values.items()}
    assert amounts == {
        "ENERC_kJ": 1654,
        "FAT_g": 6,
        "FASAT_g": 3.5,
        "CHOAVL_g": 8,
        "SUGAR_g": 6.5,
        "FIBTG_g": 0.5,
        "PROCNT_g": 76,
        "NA_mg": 200,  # salt / 2.5 (Regulation (EU) 1169/2011, Annex I)
        "CHOCDF_g": 8.5,
    }
    assert food.allergens.contains == {"milk", "soybeans"}
    assert food.allergens.checked
    assert food.extra == {"brand": "Slipway"}
    assert (food.place.line, lines) == (1, [])


def test_kcal_alone_sodium_in_two_units_less_than_and_trace() -> None:
    food, _ = pack(
        energy="391 kcal", salt=None, sodium="0.2 g", fibre="<0.5 g", sugars="less than 7 g", saturates="trace"
    )
    assert food.values["ENERC_kJ"].amount == pytest.approx(391 * 4.184)
    assert food.values["NA_mg"].amount == 200
    assert (food.values["FIBTG_g"].kind, food.values["FIBTG_g"].limit) == (ValueKind.BELOW, 0.5)
    assert food.values["SUGAR_g"].limit == 7
    assert food.values["FASAT_g"].kind is ValueKind.TRACE
    assert pack(salt=None, sodium="200 mg")[0].values["NA_mg"].amount == 200
    assert pack(fat="6,0 g")[0].values["FAT_g"].amount == 6


def test_per_serving_counts_up_to_100_g() -> None:
    food, lines = pack(
        per="serving", serving="2 scoops = 40 g", energy="662 kJ / 156 kcal", fat="2.4 g", saturates="1.4 g",
        carbohydrate="3.2 g", sugars="2.6 g", fibre="<0.2 g", protein="30.4 g", salt="0.2 g",
    )  # fmt: skip
    assert food.values["PROCNT_g"].amount == pytest.approx(76)
    assert food.values["FIBTG_g"].limit == pytest.approx(0.5)
    assert food.values["ENERC_kJ"].amount == pytest.approx(1655)
    assert food.extra == {"serving_g": "40", "serving_name": "2 scoops"}
    assert [(line.food, line.measure, line.grams) for line in lines] == [
        (food.id, "scoop", 20),
        (food.id, "serving", 40),
    ]
    same, _ = pack(
        per="serving 40 g", energy="662 kJ / 156 kcal", fat="2.4 g", saturates="1.4 g",
        carbohydrate="3.2 g", sugars="2.6 g", fibre="<0.2 g", protein="30.4 g", salt="0.2 g",
    )  # fmt: skip
    assert same.values == food.values


OAT = {
    "name": "Millrace oat drink", "per": "100 ml", "energy": "193 kJ", "fat": "1.5 g", "saturates": "0.2 g",
    "carbohydrate": "6.7 g", "sugars": "4 g", "fibre": "0.8 g", "protein": "1.0 g", "salt": "0.1 g",
}  # fmt: skip


def test_per_100_ml_needs_the_density() -> None:
    food, _ = pack(**OAT, density="1.03", pack="1 l")
    assert food.values["ENERC_kJ"].amount == pytest.approx(193 / 1.03)
    assert food.density_g_ml == 1.03
    assert food.extra == {"pack_g": "1030"}
    assert codes(**OAT) == [("error", "missing-density")]
    assert codes(pack="750 ml") == [("error", "missing-density")]


BEANS = {
    "name": "Longshore beans", "energy": "423 kJ", "fat": "0.6 g", "saturates": "0.1 g", "carbohydrate": "13.5 g",
    "sugars": "0.6 g", "fibre": "6.5 g", "protein": "7.0 g", "salt": "0.02 g", "drained": "240 g of 400 g",
}  # fmt: skip


def test_part_packets() -> None:
    """A pack is what its figures are per: the drained food, or all that is in it; the author's own measure stands."""
    for changes, grams in (
        ({**WHEY, "pack": "900 g"}, 900),
        ({**OAT, "density": "1.03", "pack": "1 l"}, 1030),
        ({**BEANS, "per": "100 g drained"}, 240),
        ({**BEANS, "per": "100 g as sold"}, 400),
        ({**BEANS, "per": "100 g drained", "drained": "240 g", "pack": "400 g"}, 240),
        ({**WHEY, "pack": "900 g", "measures": "[1 pack = 880 g]"}, 880),
    ):
        _, lines = pack(**changes)
        assert [line.grams for line in lines if line.measure == "pack"] == [grams]
    assert [line.measure for line in pack()[1]] == []


def test_drained_weight_and_what_the_figures_are_for() -> None:
    food, lines = pack(**BEANS, per="100 g drained", measures="[1 can = 240 g]")
    assert food.state == "drained"
    assert food.extra == {"drained_g": "240", "pack_g": "400"}
    assert [(line.measure, line.grams) for line in lines] == [("can", 240), ("pack", 240)]
    assert pack(**BEANS, per="100 g as sold")[0].state == "canned"
    assert codes(**BEANS) == [("error", "bad-basis")]  # drained or not is a matter of twice the energy
    assert codes(**{**BEANS, "drained": "400 g of 240 g"}, per="100 g drained") == [("error", "part-above-whole")]


def test_total_carbohydrate_holds_the_fibre() -> None:
    food, _ = pack(carbohydrate=None, total_carbohydrate="8.5 g")
    assert food.values["CHOAVL_g"].amount == 8


@pytest.mark.parametrize(
    ("text", "name", "grams"),
    [
        ("1 bar = 35 g", "bar", 35),
        ("2 scoops = 60 g", "scoop", 30),
        ("½ pouch = 62.5 g", "pouch", 125),
        ("2 slices = 3 oz", "slice", 42.524),
        ("3 pieces of glass = 30 g", "pieces of glass", 10),
        ("2 boxes = 1 kg", "box", 500),
    ],
)
def test_measures(text: str, name: str, grams: float) -> None:
    _, lines = pack(measures=f"[{text}]")
    assert [line.measure for line in lines] == [name]
    assert lines[0].grams == pytest.approx(grams, abs=0.001)


def test_what_is_not_said_is_not_known() -> None:
    food, _ = pack(fibre=None, salt=None)
    assert not {"FIBTG_g", "NA_mg", "CHOCDF_g"} & food.values.keys()
    assert not food.allergens.checked
    assert food.kinds == frozenset()


def test_keys_may_have_spaces() -> None:
    foods, _, problems = read(entry(**{"may contain": "[almond]", "made up": "yes", "made_up": None}))
    assert [problem.code for problem in problems] == []
    assert foods[0].allergens.may_contain == {"almond"}
    assert foods[0].source == "invented"


# ---------------------------------------------------------------- arithmetic sense


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        # more than rounding, less than the Commission's tolerances of 8 g protein, 2 g carbohydrate, 1.5 g fat
        # (guidance of December 2012, from memory) make of the energy
        ({"energy": "1560 kJ / 370 kcal"}, [("warning", "energy-and-parts")]),
        ({"energy": "391 kJ"}, [("error", "energy-and-parts")]),
        ({"energy": "1165 kJ / 275 kcal"}, [("error", "energy-and-parts")]),
        ({"energy": "1845 kJ / 436 kcal"}, [("error", "energy-and-parts")]),
        ({"energy": "1654 kJ / 350 kcal"}, [("error", "energy-units")]),
        ({"energy": "1654 kJ / 319 kcal"}, [("error", "energy-units")]),
        ({"saturates": "6.2 g"}, [("error", "part-above-whole")]),
        ({"saturates": "6.1 g"}, []),  # 6.05 and 6.05: rounding apart
        ({"sugars": "8.5 g"}, [("error", "part-above-whole")]),
        ({"sugars": "<9 g"}, []),
        ({"saturates": "3.5 g", "monounsaturates": "2 g", "polyunsaturates": "3 g"}, [("error", "part-above-whole")]),
        ({"salt": "0.5 g", "sodium": "500 mg"}, [("error", "salt-and-sodium")]),
        ({"salt": "0.5 g", "sodium": "0.2 g"}, []),
        ({"salt": "25 g"}, [("error", "parts-over-100")]),
    ],
)
def test_figures_that_do_not_agree(changes: dict[str, str], expected: list[tuple[str, str]]) -> None:
    assert codes(**changes) == expected


def test_a_problem_stands_at_its_line() -> None:
    _, _, problems = read("# a remark\n" + entry(saturates="16 g", energy="391 kJ", protein="lots"))
    assert [(p.code, p.place.file, p.place.line, p.place.column) for p in problems] == [
        ("bad-figure", "foods/packs.yaml", 10, 12),
        ("part-above-whole", "foods/packs.yaml", 6, 14),
    ]
    assert all("expected" in p.message and "found" in p.message and p.hint for p in problems)


def test_fibre_that_is_not_printed_may_stand_behind_the_energy() -> None:
    assert codes(fibre=None, energy="1690 kJ") == []
    assert codes(fibre="0 g", energy="1790 kJ") == [("warning", "energy-and-parts")]


def test_polyols_and_erythritol_bring_less() -> None:
    sweet = {
        "fat": "0 g",
        "saturates": "0 g",
        "carbohydrate": "99 g",
        "sugars": "0 g",
        "fibre": "0 g",
        "protein": "0 g",
    }
    assert codes(**sweet, polyols="99 g", energy="990 kJ / 238 kcal", salt="0 g") == []  # 10 kJ and 2.4 kcal a gram
    assert codes(**sweet, polyols="99 g", erythritol="99 g", energy="0 kJ / 0 kcal", salt="0 g") == []
    assert codes(**sweet, energy="990 kJ / 238 kcal", salt="0 g") == [("error", "energy-and-parts")]


def test_husks_of_fibre_alone_have_four_kj_a_kcal() -> None:
    husk = {"fat": "0 g", "saturates": "0 g", "carbohydrate": "2 g", "sugars": "0 g", "fibre": "85 g", "protein": "2 g"}
    assert codes(**husk, energy="748 kJ / 186 kcal") == []  # 8 x 85 + 17 x 4; 2 x 85 + 4 x 4


def test_an_explanation_takes_the_place_of_the_problem_and_is_not_left_lying() -> None:
    food, _ = pack(energy="391 kJ", explained="printed so, asked the maker")
    assert food.extra["note"] == "printed so, asked the maker"
    assert codes(explained="no reason") == [("warning", "unneeded-explanation")]


def test_the_tolerances_are_those_of_the_commissions_guidance() -> None:
    rules = load_rules()
    # December 2012, from memory: below 10 g of protein +-2 g, 10 to 40 g +-20 %, above +-8 g; fat below 10 g +-1.5 g
    assert [rules.tolerated("PROCNT_g", amount) for amount in (9.9, 10, 39.9, 40)] == [2, 2, pytest.approx(7.98), 8]
    assert [rules.tolerated("FAT_g", amount) for amount in (9.9, 10, 80)] == [1.5, 2, 8]


# ---------------------------------------------------------------- what is wrong with an entry


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"per": None}, "bad-basis"),
        ({"per": "a portion"}, "bad-basis"),
        ({"per": "serving"}, "bad-basis"),
        ({"per": "0 g"}, "bad-basis"),
        ({"energy": None}, "missing-energy"),
        ({"energy": "1654"}, "bad-figure"),
        ({"energy": "1,654 kJ"}, "ambiguous-number"),
        ({"energy": "1654 kJ / 391 kJ"}, "bad-figure"),
        ({"fat": "6.0 oz"}, "wrong-unit"),
        ({"sodium": "200", "salt": None}, "wrong-unit"),
        ({"fat": "six"}, "bad-figure"),
        ({"fat": "-6 g"}, "bad-figure"),
        ({"fat": "[6 g]"}, "wrong-type"),
        ({"protien": "76 g"}, "unknown-key"),
        ({"contains": "[milk, shellfish]"}, "unclear-allergen"),
        ({"contains": "[dust]"}, "unknown-allergen"),
        ({"contains": "[milk]", "may_contain": "[milk]"}, "contradictory-allergens"),
        ({"kind": "[stone]"}, "unknown-kind"),
        ({"read": "14.6.2025"}, "bad-date"),
        ({"id": "Whey 1"}, "bad-id"),
        ({"name": None}, "missing-name"),
        ({"density": "100"}, "out-of-range"),
        ({"serving": "a lot"}, "bad-mass"),
        ({"measures": "[scoop 30 g]"}, "bad-measure"),
        ({"measures": "[1 scoop = 30]"}, "bad-mass"),
        ({"measures": "[1 scoop = 30 g, 2 scoops = 50 g]"}, "duplicate-measure"),
        ({"drained": "some", "per": "100 g drained"}, "bad-mass"),
        ({"pack": "big"}, "bad-mass"),
        ({"allergens_checked": "maybe"}, "wrong-type"),
    ],
)
def test_a_wrong_entry_is_a_located_problem(changes: dict[str, str | None], code: str) -> None:
    foods, lines, problems = read(entry(**changes))
    assert code in [problem.code for problem in problems]
    assert foods == []
    assert lines == []
    for problem in problems:
        assert problem.place.line > 0
        assert "expected" in problem.message
        assert problem.hint


def test_no_date_is_a_warning_and_a_date_to_come_an_error() -> None:
    assert codes(read=None) == [("warning", "no-date")]
    _, _, problems = read(entry(read="2026-01-01"), date(2025, 11, 25))
    assert [problem.code for problem in problems] == ["future-date"]


def test_two_packs_of_one_name_need_ids() -> None:
    foods, _, problems = read(entry() + entry())
    assert [problem.code for problem in problems] == ["duplicate-food"]
    assert len(foods) == 1
    assert len(read(entry() + entry(id="whey-2"))[0]) == 2


@pytest.mark.parametrize("text", ["name: one", "just text", "- just text", "- [a]", "- name: [", "- {}", ""])
def test_a_file_of_another_shape_never_crashes(text: str) -> None:
    foods, lines, problems = read(text)
    assert (foods, lines) == ([], [])
    assert bool(problems) == bool(text)


@given(
    st.dictionaries(
        st.sampled_from(
            ["per", "energy", "fat", "sodium", "serving", "measures", "drained", "pack", "contains", "read"]
        ),
        st.text(st.characters(codec="utf-8", exclude_characters="\n\r"), max_size=15)
        | st.sampled_from(["0 g", "<1 g", "1/0 x = 3 g", "100 ml", "9" * 30 + " g", "1e5 kJ", "½", "= 3 g", "none"]),
        max_size=4,
    )
)
@settings(max_examples=150, deadline=None)
def test_whatever_stands_there_is_read_or_said(changes: dict[str, str]) -> None:
    foods, _, problems = read(entry(**changes))
    assert foods or problems


# ---------------------------------------------------------------- in a hub


def test_a_hub_reads_packs_and_recipes_use_their_measures(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hub = tmp_path / "hub"
    assert main(["start", str(hub)]) == 0
    (hub / "foods" / "packs.yaml").write_text(
        entry(serving="1 scoop = 30 g", contains="[milk]", allergens_checked="yes"), encoding="utf-8"
    )
    capsys.readouterr()
    assert main(["foods", "show", "Slipway vanilla whey powder", str(hub), "--format", "json"]) == 0
    food = json.loads(capsys.readouterr().out)["food"]
    assert (food["file"], food["line"]) == ("foods/packs.yaml", 1)
    assert [(measure["measure"], measure["grams"]) for measure in food["measures"]] == [("scoop", 30), ("serving", 30)]
    (hub / "recipes" / "shake.md").write_text(
        "---\ntitle: Shake\nportions: 1\n---\n```ingredients\n- 2 scoops Slipway vanilla whey powder\n```\n",
        encoding="utf-8",
    )
    assert main(["publish", str(hub)]) == 0
    facts = json.loads((hub / "published" / "recipes" / "shake" / "facts.json").read_text(encoding="utf-8"))
    assert facts["rows"][0]["grams"] == 60
    assert facts["per_portion"]["PROCNT_g"] == pytest.approx(45.6)
    (hub / "foods" / "packs.yaml").write_text(entry(energy="391 kJ"), encoding="utf-8")
    assert main(["proof", str(hub)]) == 1


def test_an_id_of_a_pack_and_of_a_table_is_one_too_many(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hub = tmp_path / "hub"
    main(["start", str(hub)])
    (hub / "foods" / "a.csv").write_text("food,name\nslipway-vanilla-whey-powder,Whey\n", encoding="utf-8")
    (hub / "foods" / "packs.yaml").write_text(entry(), encoding="utf-8")
    capsys.readouterr()
    main(["foods", "find", "whey", str(hub), "--format", "json"])
    assert "duplicate-food" in [problem["code"] for problem in json.loads(capsys.readouterr().out)["problems"]]
