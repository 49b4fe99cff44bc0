"""The shipped food table: its form, its names, its allergens, its figures against USDA SR28."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from pathlib import Path

import pytest
import yaml
from tests.content.plain_tables import (
    CELL,
    CONTENT,
    HANDBOOK_COLUMN,
    PLAIN,
    components,
    food,
    foods,
    key,
    number,
    rows,
    words,
)

HERE = Path(__file__).resolve().parent
FILES = sorted((CONTENT / "foods").glob("*.csv"))

BORROWED = {
    ("rice-white-medium-dry", "FIBTG_g"): "20050",
    ("rice-white-medium-boiled", "FIBTG_g"): "20051",
    ("rice-white-short-dry", "FIBTG_g"): "20052",
}
"""Figures carried from a like food of the handbook where the food's own cell is empty: its NDB number."""

BY_DIFFERENCE = ("ALC_g", "OA_g")
"""Components that SR28's abbreviated table leaves out: 100 less the other proximates, so borrowed."""

SAME_FOOD = {"11529", "11352", "11251", "11260"}
"""NDB numbers that stand under several of our foods, since their pieces differ in weight (cherry tomatoes)."""

CHILD_ABOVE_PARENT = {
    ("cream-single", "SUGAR_g"): "sugars analysed, carbohydrate by difference (SR28 01050)",
}

TRACE_FAT = {"tea-black-brewed", "tea-chamomile-brewed", "tea-herb-brewed"}
"""SR28 rounds their fat to 0 and gives the fatty acids in milligrams."""


def vocabulary() -> dict[str, dict[str, object]]:
    loaded = yaml.safe_load((CONTENT / "foods" / "vocabulary.yaml").read_text(encoding="utf-8"))
    assert set(loaded) == {"groups", "states"}
    return dict(loaded)


def test_there_are_enough_foods() -> None:
    assert len(foods()) >= 450
    assert len(FILES) >= 12


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_file_opens_with_its_grammar_and_has_the_same_columns(path: Path) -> None:
    assert path.read_text(encoding="utf-8").startswith("# ")
    header = list(rows(path)[0])
    assert header == [*PLAIN[:7], *components(), *PLAIN[7:]]
    assert set(HANDBOOK_COLUMN) | {"ALC_g", "POLYL_g", "ERYTHL_g"} <= set(header)


def test_every_cell_can_be_read() -> None:
    wrong = [
        (line["food"], tag, line[tag])
        for line in foods()
        for tag in [*components(), "refuse_pct", "density_g_ml"]
        if not CELL.fullmatch(line[tag])
    ]
    assert not wrong


def test_every_food_says_what_it_is_and_where_from() -> None:
    known = vocabulary()
    for line in foods():
        assert line["group"] in known["groups"], line["food"]
        assert line["state"] in known["states"], line["food"]
        assert line["source"] in ("USDA SR28", "by definition"), line["food"]
        assert line["quality"] == ("table" if line["source"] == "USDA SR28" else "estimated")
        assert re.fullmatch(r"\d{5}" if line["source"] == "USDA SR28" else ".+", line["source_ref"]), line["food"]
        assert re.fullmatch(r"20\d\d-\d\d-\d\d", line["updated"])
        assert 0 <= float(line["refuse_pct"]) < 100


def test_every_word_of_the_vocabulary_is_used() -> None:
    known = vocabulary()
    assert {line["group"] for line in foods()} == set(known["groups"])
    assert {line["state"] for line in foods()} == set(known["states"])


def test_ids_are_kebab_case_and_unique() -> None:
    ids = [line["food"] for line in foods()]
    assert not [food_id for food_id in ids if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", food_id)]
    assert not [food_id for food_id, count in Counter(ids).items() if count > 1]
    codes = Counter(line["source_ref"] for line in foods() if line["source"] == "USDA SR28")
    assert {code for code, count in codes.items() if count > 1} == SAME_FOOD


def test_a_name_leads_to_one_food_unless_it_is_listed() -> None:
    reach: dict[str, set[str]] = defaultdict(set)
    for line in foods():
        for name in (line["food"], line["name"], *words(line["aliases"])):
            reach[key(name)].add(line["food"])
    listed = (HERE / "ambiguous_names.txt").read_text(encoding="utf-8").splitlines()
    listed = [name for name in listed if not name.startswith("#")]
    assert {name for name, ids in reach.items() if len(ids) > 1} == {key(name) for name in listed}


@pytest.mark.parametrize(
    ("name", "food_id"),
    [
        ("courgette", "courgette-raw"),
        ("zucchini", "courgette-raw"),
        ("aubergine", "aubergine-raw"),
        ("eggplant", "aubergine-raw"),
        ("cilantro", "coriander-leaf-fresh"),
        ("scallions", "spring-onion-raw"),
        ("baking soda", "bicarbonate-of-soda"),
        ("cornstarch", "cornflour"),
        ("powdered sugar", "sugar-icing"),
        ("caster sugar", "sugar-white"),
        ("rutabaga", "swede-raw"),
        ("arugula", "rocket-raw"),
        ("beets", "beetroot-raw"),
        ("all-purpose flour", "flour-plain"),
        ("plain flour", "flour-plain"),
        ("garbanzo beans canned, drained", "chickpeas-drained"),
        ("carrots", "carrot-raw"),
        ("red onion", "onion-raw"),
        ("eggs", "egg-whole-raw"),
        ("semi-skimmed milk", "milk-semi-skimmed"),
        ("Pearl barley, dry", "barley-pearl-dry"),
        ("red chillies", "chilli-red-raw"),
        ("garlic cloves", "garlic-raw"),
        ("extra virgin olive oil", "olive-oil"),
    ],
)
def test_british_and_american_names_lead_to_the_food(name: str, food_id: str) -> None:
    found = [
        line["food"]
        for line in foods()
        if key(name) in {key(n) for n in (line["food"], line["name"], *words(line["aliases"]))}
    ]
    assert found == [food_id]


def test_allergens_and_kinds_are_words_of_their_vocabularies() -> None:
    known = yaml.safe_load((CONTENT / "allergens" / "allergens.yaml").read_text(encoding="utf-8"))
    allergens = {*known["allergens"], *known["generic"]}
    kinds = set(yaml.safe_load((CONTENT / "allergens" / "kinds.yaml").read_text(encoding="utf-8"))["kinds"])
    for line in foods():
        contains, may = set(words(line["contains"])), set(words(line["may_contain"]))
        assert contains | may <= allergens, line["food"]
        assert not contains & may, line["food"]
        assert set(words(line["kind"])) <= kinds, line["food"]
        assert line["allergens_checked"] in ("", "yes"), line["food"]


# Regulation (EU) 1169/2011, Annex II, by what the name of a food says.
NAMED = [
    (r"\b(wheat|bulgur|couscous|semolina|spaghetti)\b", "wheat", r"buckwheat|squash"),
    (r"^(oats|oat|porridge)\b", "oats", ""),
    (r"\bbarley\b", "barley", ""),
    (r"^(rye)\b", "rye", ""),
    (r"\b(milk|butter|cheese|cream|yoghurt|buttermilk|ghee)\b", "milk",
     r"coconut|peanut|almond|cashew|sunflower|apple butter|butter beans|butterhead|butternut|cream of tartar|creamed"),
    (r"\beggs?\b", "eggs", ""),
    (r"^(peanuts?|groundnut)\b", "peanuts", ""),
    (r"\b(soya|soy|tofu|tempeh|miso|natto|edamame|tamari)\b", "soybeans", ""),
    (r"^(celery|celeriac)\b", "celery", ""),
    (r"^mustard\b", "mustard", ""),
    (r"\b(sesame|tahini|hummus)\b", "sesame", ""),
    (r"^lupin", "lupin", ""),
    (r"^almond", "almond", ""),
    (r"^(hazelnut)", "hazelnut", ""),
    (r"^walnut|^black walnut", "walnut", ""),
    (r"^cashew", "cashew", ""),
    (r"^pecan", "pecan", ""),
    (r"^brazil nut", "brazil nut", ""),
    (r"^pistachio", "pistachio", ""),
    (r"^macadamia", "macadamia", ""),
]  # fmt: skip


@pytest.mark.parametrize(("pattern", "allergen", "but"), NAMED, ids=[entry[1] for entry in NAMED])
def test_a_food_named_after_an_allergen_contains_it(pattern: str, allergen: str, but: str) -> None:
    named = [
        line
        for line in foods()
        if re.search(pattern, line["name"].lower()) and not (but and re.search(but, line["name"].lower()))
    ]
    assert named
    missing = [line["name"] for line in named if allergen not in words(line["contains"])]
    assert not missing


@pytest.mark.parametrize(
    ("group", "allergens"),
    [("fish", {"fish"}), ("shellfish", {"crustaceans", "molluscs"}), ("eggs", {"eggs"}), ("cheese", {"milk"}),
     ("cream", {"milk"}), ("milk-and-yoghurt", {"milk"}), ("soya-foods", {"soybeans"})],
)  # fmt: skip
def test_every_food_of_such_a_group_contains_the_allergen(group: str, allergens: set[str]) -> None:
    for line in foods():
        if line["group"] == group:
            assert allergens & set(words(line["contains"])), line["food"]


def test_mixed_and_processed_foods_are_not_called_checked() -> None:
    mixed = {"bread-and-crackers", "pastry", "meat-products", "stocks", "confectionery", "desserts-and-ices",
             "soft-drinks", "alcoholic-drinks", "protein-powders", "dried-fruit"}  # fmt: skip
    plain = {"rice-cakes-plain", "soya-protein-isolate", "soya-protein-concentrate"}
    checked = {line["food"] for line in foods() if line["group"] in mixed and line["allergens_checked"]}
    assert checked <= plain


def test_parts_are_not_larger_than_the_whole() -> None:
    pairs = [("FASAT_g", "FAT_g", 0.005), ("FAMS_g", "FAT_g", 0.005), ("FAPU_g", "FAT_g", 0.005),
             ("SUGAR_g", "CHOCDF_g", 0.3), ("FIBTG_g", "CHOCDF_g", 0.3), ("POLYL_g", "CHOCDF_g", 0.0),
             ("ERYTHL_g", "POLYL_g", 0.0)]  # fmt: skip
    above = {}
    for line in foods():
        for part, whole, tolerance in pairs:
            a, b = number(line[part]), number(line[whole])
            if a is not None and b is not None and a > b + tolerance and line["food"] not in TRACE_FAT:
                above[line["food"], part] = (a, b)
    assert set(above) == set(CHILD_ABOVE_PARENT)


def test_proximates_do_not_pass_a_hundred_grams() -> None:
    for line in foods():
        known = [number(line[tag]) or 0 for tag in ("WATER_g", "PROCNT_g", "FAT_g", "CHOCDF_g", "ALC_g", "OA_g")]
        assert sum(known) <= 101, line["food"]


def test_polyols_follow_the_law() -> None:
    """Regulation (EU) 1169/2011, Annex XIV: polyols 2.4 kcal/g, erythritol 0."""
    polyols = [line for line in foods() if line["source"] == "by definition"]
    assert {line["food"] for line in polyols} >= {"erythritol", "xylitol", "maltitol", "sorbitol"}
    for line in polyols:
        erythritol = line["food"] == "erythritol"
        assert (line["ENERC_kcal"], line["POLYL_g"], line["CHOCDF_g"], line["SUGAR_g"]) == (
            "0" if erythritol else "240", "100", "100", "0",
        )  # fmt: skip
        assert line["ERYTHL_g"] == ("100" if erythritol else "0")
    for line in foods():
        if line["source"] != "by definition":
            assert line["POLYL_g"] == line["ERYTHL_g"] == "", line["food"]


def test_alcohol_stands_only_where_there_is_some_and_is_borrowed() -> None:
    with_alcohol = {line["food"]: line["ALC_g"] for line in foods() if line["ALC_g"] and line["ALC_g"] != "0"}
    groups = {food(food_id)["group"] for food_id in with_alcohol}
    assert groups == {"alcoholic-drinks", "baking-goods"}
    assert all(cell.startswith("(") for cell in with_alcohol.values())


def test_densities_agree_with_fao_infoods() -> None:
    """FAO/INFOODS Density Database 2.0: milk 1.02-1.05, cooking oil 0.914-0.927 g/mL (secondary copy).

    The publisher's weight of a US cup of oil gives 0.913 to 0.921.
    """
    for food_id in ("milk-whole", "milk-semi-skimmed", "milk-skimmed"):
        assert 1.02 <= float(food(food_id)["density_g_ml"]) <= 1.05
    for food_id in ("rapeseed-oil", "sunflower-oil", "maize-oil"):
        assert 0.914 <= float(food(food_id)["density_g_ml"]) <= 0.927
    assert float(food("olive-oil")["density_g_ml"]) == pytest.approx(0.92, abs=0.01)
    assert float(food("water-tap")["density_g_ml"]) == 1
    assert float(food("honey")["density_g_ml"]) == pytest.approx(1.42, abs=0.02)  # from memory


@pytest.mark.reference
def test_every_figure_is_the_publishers(reference: Path) -> None:
    """USDA National Nutrient Database for Standard Reference, release 28: each cell, the unknown ones too."""
    handbook = {line["ndb_no"]: line for line in rows(reference / "usda_sr_abbrev.csv")}
    wrong, seen = [], 0
    for line in foods():
        if line["source"] != "USDA SR28":
            continue
        published = handbook[line["source_ref"]]
        for tag in components():
            lent = BORROWED.get((line["food"], tag))
            if lent is not None:
                assert published[HANDBOOK_COLUMN[tag]] == ""
                wanted = f"({float(handbook[lent][HANDBOOK_COLUMN[tag]]):g})"
                wrong += [] if line[tag] == wanted else [(line["food"], tag, line[tag], wanted)]
            elif tag in BY_DIFFERENCE and line[tag]:
                parts = ("water_g", "protein_g", "fat_g", "carbohydrate_by_difference_g")
                rest = 100 - sum(float(published[name]) for name in parts)
                assert line[tag] == f"({rest:.1f})", line["food"]
            elif tag in HANDBOOK_COLUMN:
                a, b = number(line[tag]), number(published[HANDBOOK_COLUMN[tag]])
                seen += 1
                if a != b or line[tag].startswith("("):
                    wrong.append((line["food"], tag, line[tag], published[HANDBOOK_COLUMN[tag]]))
            else:
                assert line[tag] == ""
        if float(line["refuse_pct"]) != float(published["refuse_pct"] or 0):
            wrong.append((line["food"], "refuse_pct", line["refuse_pct"], published["refuse_pct"]))
    assert not wrong
    assert seen > 15 * 450
