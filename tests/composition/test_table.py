"""Exact look-up: ids, names, aliases, the hub's own table over the shipped one, and what is said when nothing fits."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.composition.composition_make import make_table

from gramwright.composition.names import NameIndex
from gramwright.composition.table import FoodTable
from gramwright.problems import Trouble


@pytest.mark.parametrize(
    ("name", "food"),
    [
        ("carrot-raw", "carrot-raw"),
        ("carrot raw", "carrot-raw"),
        ("Carrots, raw", "carrot-raw"),
        ("carrots", "carrot-raw"),
        ("CARROT", "carrot-raw"),
        ("pearl-barley", "barley-pearl-dry"),
        ("scallions", "spring-onion-raw"),
        ("cows milk", "milk-whole"),
        ("Milk - whole", "milk-whole"),
    ],
)
def test_look_up_folds_writing_only(tiny: FoodTable, name: str, food: str) -> None:
    assert tiny.lookup(name).id == food


@pytest.mark.parametrize(
    "name", ["carot", "carrot medium", "barley", "onions diced", "", "raw", "milk-whole-2", "pearl barley dry boiled"]
)
def test_no_guess_is_made(tiny: FoodTable, name: str) -> None:
    with pytest.raises(Trouble) as caught:
        tiny.lookup(name)
    assert caught.value.code == "unknown-food"


def test_an_unknown_name_lists_the_nearest_with_their_state(tiny: FoodTable) -> None:
    with pytest.raises(Trouble) as caught:
        tiny.lookup("carot")
    assert "Carrot, raw (carrot-raw, raw)" in caught.value.hint
    assert "Carrot, boiled (carrot-boiled, boiled)" in caught.value.hint


def test_an_ambiguous_name_lists_every_candidate(tiny: FoodTable) -> None:
    with pytest.raises(Trouble) as caught:
        tiny.lookup("rice")
    assert caught.value.code == "ambiguous-food"
    assert "rice-white-dry, dry" in caught.value.hint
    assert "rice-brown-dry, dry" in caught.value.hint
    assert tiny.answer("Rice") == ("rice-white-dry", "rice-brown-dry")


def test_a_hubs_food_replaces_the_shipped_one_whole() -> None:
    table = make_table("food,name,ENERC_kJ\ncarrot-raw,Our carrot,123\n")
    assert table.lookup("our carrot").values["ENERC_kJ"].amount == 123
    assert table.lookup("carrot-raw").name == "Our carrot"
    assert table.answer("carrot") == ()
    assert [measure.name for measure in table.lookup("our carrot").measures] == ["medium", "large", "cup, chopped"]


def test_a_hubs_names_come_before_shipped_names_and_ids() -> None:
    table = make_table("food,name,aliases\nmy-rice,Rice,\nmy-feta,Shop feta,feta\n")
    assert table.lookup("rice").id == "my-rice"
    assert table.lookup("feta").id == "my-feta"
    assert table.lookup("white rice").id == "rice-white-dry"


def test_two_foods_of_the_hub_under_one_name_are_ambiguous() -> None:
    table = make_table("food,name,aliases\none,Bar,snack\nother,Cup,snack\n")
    with pytest.raises(Trouble) as caught:
        table.lookup("snack")
    assert caught.value.code == "ambiguous-food"


def test_hub_measures_replace_shipped_ones_by_name() -> None:
    table = make_table(
        own_measures="food,measure,grams,source\ncarrot-raw,Medium,80,weighed\ncarrots,baby,12,weighed\n"
    )
    assert [(measure.name, measure.grams) for measure in table.lookup("carrot").measures] == [
        ("Medium", 80),
        ("large", 72),
        ("cup, chopped", 128),
        ("baby", 12),
    ]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("parsnip,medium,60,ours", "unknown-food"),
        ("rice,cup,180,ours", "ambiguous-food"),
        ("carrot-raw,g,1,ours", "bad-measure"),
        ("carrot-raw,mL,1,ours", "bad-measure"),
        ("carrot-raw,oz,28,ours", "bad-measure"),
    ],
)
def test_measures_that_fit_no_food_or_are_units_are_problems(line: str, code: str) -> None:
    table = make_table(own_measures=f"food,measure,grams,source\n{line}\n", problems=True)
    assert [(p.code, p.place.file, p.place.line) for p in table.problems] == [(code, "measures/own.csv", 2)]


def test_one_measure_twice_under_two_names_of_a_food_is_a_problem() -> None:
    lines = ["carrot-raw,baby,12,ours", "carrot,baby,13,ours", "carrot,tbsp,9,ours", "carrot,tablespoon,9,ours"]
    text = "\n".join(["food,measure,grams,source", *lines])
    table = make_table(own_measures=text, problems=True)
    assert [(p.code, p.place.line) for p in table.problems] == [("duplicate-measure", 3), ("duplicate-measure", 5)]


def test_one_id_in_two_tables_is_a_problem() -> None:
    twice = make_table().foods[:1] * 2
    table = FoodTable(twice, [])
    assert [problem.code for problem in table.problems] == ["duplicate-food"]


def test_what_was_looked_up_is_heard(tiny: FoodTable) -> None:
    heard: set[str] = set()
    before = tiny.listen(heard)
    tiny.lookup("Carrots")
    with pytest.raises(Trouble):
        tiny.lookup("no such thing")
    assert tiny.listen(before) is heard
    tiny.lookup("onion")
    assert heard == {"carrot", "no such thing"}


def test_search_finds_by_the_start_of_words_and_then_by_nearness(tiny: FoodTable) -> None:
    assert [food.id for food in tiny.search("carr")] == ["carrot-raw", "carrot-boiled"]
    assert tiny.search("onion")[0].id == "onion-raw"
    assert {food.id for food in tiny.search("raw onion")} == {"onion-raw", "spring-onion-raw"}
    assert tiny.search("tofou")[0].id == "tofu-smoked"
    assert tiny.search("") == []
    assert tiny.search("qqqqqq") == []


def test_near_names_among_thousands_come_at_once() -> None:
    names = [f"food {number} of kind {number % 17} with a longish name" for number in range(5000)] + [
        "pearl barley dry"
    ]
    index = NameIndex(names)
    start = time.perf_counter()
    assert index.near("perl barly dry")[0][1] == "pearl barley dry"
    assert time.perf_counter() - start < 0.5


@given(st.text(max_size=30))
def test_any_name_is_found_or_refused(name: str) -> None:
    reached = TABLE.answer(name)
    if len(reached) == 1:
        assert TABLE.lookup(name).id == reached[0]
    else:
        with pytest.raises(Trouble, match="expected the name of"):
            TABLE.lookup(name)


@given(st.permutations(range(25)))
def test_the_order_of_lines_changes_no_answer(order: list[int]) -> None:
    shuffled = FoodTable([TABLE.foods[index] for index in order], [])
    for food in TABLE.foods:
        for name in (food.id, food.name, *food.aliases):
            assert sorted(shuffled.answer(name)) == sorted(TABLE.answer(name))


TABLE = make_table()
