"""Rows to grams: measures, spoons, ranges, refuse, what is eaten, other states, other recipes, and what goes wrong."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.composition.composition_make import make_table, page_of, problem, row, try_rows

from gramwright.composition.table import FoodTable
from gramwright.composition.units import MeasureSystem
from gramwright.model import Scale

US_TSP, US_TBSP, US_FL_OZ, US_CUP = 4.92892159375, 14.78676478125, 29.5735295625, 236.5882365
"""Millilitres (NIST Handbook 44, Appendix C)."""

READINGS = [
    # row, food, grams, scale, display measure
    ("160 g pearl barley, dry", "barley-pearl-dry", 160, Scale.MASS, "g"),
    ("160g pearl barley", "barley-pearl-dry", 160, Scale.MASS, "g"),
    ("0,16 kg pearl barley", "barley-pearl-dry", 160, Scale.MASS, "kg"),
    ("4 oz feta", "feta", 4 * 28.349523125, Scale.MASS, "oz"),
    ("1 lb feta", "feta", 453.59237, Scale.MASS, "lb"),
    ("2 x 240 g chickpeas, canned, drained", "chickpeas-drained", 480, Scale.MASS, "g"),
    ("100 g of feta", "feta", 100, Scale.MASS, "g"),
    ("2 medium carrots", "carrot-raw", 122, Scale.COUNT, "medium"),
    ("1-2 medium carrots", "carrot-raw", 91.5, Scale.COUNT, "medium"),
    ("2 eggs", "egg-whole-raw", 100, Scale.COUNT, ""),
    ("2 large eggs", "egg-whole-raw", 100, Scale.COUNT, "large"),
    ("2 small eggs", "egg-whole-raw", 76, Scale.COUNT, "small"),
    ("3 spring onions", "spring-onion-raw", 45, Scale.COUNT, ""),
    ("2 cloves garlic", "garlic-raw", 6, Scale.COUNT, "clove"),
    ("2 cloves of garlic", "garlic-raw", 6, Scale.COUNT, "clove"),
    ("2 garlic cloves", "garlic-raw", 6, Scale.COUNT, "clove"),
    ("1 can chickpeas", "chickpeas-drained", 240, Scale.COUNT, "can"),
    ("1 pinch salt", "salt", 0.4, Scale.COUNT, "pinch"),
    ("1 cup milk", "milk-whole", 30.5 / US_FL_OZ * 250, Scale.VOLUME, "cup"),
    ("100 ml olive oil", "olive-oil", 13.5 / US_TBSP * 100, Scale.VOLUME, "mL"),
    ("1 tbsp olive oil", "olive-oil", 13.5 / US_TBSP * 15, Scale.VOLUME, "tbsp"),
    ("1 tablespoon of olive oil", "olive-oil", 13.5 / US_TBSP * 15, Scale.VOLUME, "tbsp"),
    ("1 tsp olive oil", "olive-oil", 13.5 / US_TBSP * 5, Scale.VOLUME, "tsp"),
    ("1 tbsp vinegar", "vinegar", 1.01 * 15, Scale.VOLUME, "tbsp"),
    ("1 fl oz vinegar", "vinegar", 1.01 * US_FL_OZ, Scale.VOLUME, "fl oz"),
    ("1 tsp cloves, ground", "cloves-ground", 2.1 / US_TSP * 5, Scale.VOLUME, "tsp"),
    ("1 cup flour", "flour-wheat", 125 / US_CUP * 250, Scale.VOLUME, "cup"),
    ("2 tbsp flour", "flour-wheat", 2 * 7.8 / US_TBSP * 15, Scale.VOLUME, "tbsp"),
    ("1 tsp flour", "flour-wheat", 7.8 / US_TBSP * 5, Scale.VOLUME, "tsp"),
    ("1 cup chopped carrots", "carrot-raw", 128 / US_CUP * 250, Scale.VOLUME, "cup, chopped"),
    ("1 cup, chopped carrots", "carrot-raw", 128 / US_CUP * 250, Scale.VOLUME, "cup, chopped"),
    ("{amount: 2 medium, food: carrot}", "carrot-raw", 122, Scale.COUNT, "medium"),
    ("{amount: 2, food: egg}", "egg-whole-raw", 100, Scale.COUNT, ""),
    ("{amount: 1 tbsp, food: olive oil}", "olive-oil", 13.5 / US_TBSP * 15, Scale.VOLUME, "tbsp"),
    ("{amount: 1 cup chopped, food: onion}", "onion-raw", 160 / US_CUP * 250, Scale.VOLUME, "cup chopped"),
    ("{amount: 1 cup, food: onion}", "onion-raw", 150 / US_CUP * 250, Scale.VOLUME, "cup"),
    ("{amount: 160 g, food: barley-pearl-dry}", "barley-pearl-dry", 160, Scale.MASS, "g"),
]


@pytest.mark.parametrize(("text", "food", "grams", "scale", "measure"), READINGS, ids=[one[0] for one in READINGS])
def test_readings(tiny: FoodTable, text: str, food: str, grams: float, scale: Scale, measure: str) -> None:
    found = row(text, tiny)
    assert found.food is not None
    assert found.food.id == food
    assert found.grams == pytest.approx(grams, rel=1e-12)
    assert found.weighed_g == pytest.approx(grams, rel=1e-12)
    assert (found.scale, found.measure) == (scale, measure)


@pytest.mark.parametrize(
    ("convention", "millilitres"), [("metric", 15), ("australian", 20), ("us", US_TBSP), ("us-label", 15)]
)
def test_the_hubs_tablespoon_counts(tiny: FoodTable, convention: str, millilitres: float) -> None:
    """A shipped weight was taken with a US customary spoon; an Australian spoon holds 20 mL (NSW Health)."""
    found = row("1 tbsp olive oil", tiny, MeasureSystem.of(convention, convention))
    assert found.grams == pytest.approx(13.5 / US_TBSP * millilitres)


def test_a_hubs_own_spoon_weights_are_taken_as_written() -> None:
    system = MeasureSystem.of("australian", "metric")
    table = make_table(own_measures="food,measure,grams,source\nolive-oil,tbsp,18,weighed\n", system=system)
    assert row("1 tbsp olive oil", table, system).grams == pytest.approx(18)


def test_the_ends_of_a_range(tiny: FoodTable) -> None:
    found = row("1-2 medium carrots", tiny)
    assert (found.low_g, found.grams, found.high_g) == (61, 91.5, 122)
    assert row("2 medium carrots", tiny).low_g == 122


def test_gross_takes_the_refuse_off(tiny: FoodTable) -> None:
    found = row("{amount: 200-400 g, food: carrot, gross: true}", tiny)
    assert found.weighed_g == 300
    assert [found.low_g, found.grams, found.high_g] == pytest.approx([180, 270, 360])


def test_only_what_is_eaten_counts(tiny: FoodTable) -> None:
    found = row("{amount: 500 ml, food: olive oil, eaten: 0.1}", tiny)
    assert found.grams == pytest.approx(found.weighed_g * 0.1)
    assert row("{amount: 1 kg, food: vinegar, eaten: 0}", tiny).grams == 0


def test_weighed_cooked_is_divided_by_the_yield(tiny: FoodTable) -> None:
    """Yield = weight after / weight before (FAO, Greenfield & Southgate 2003): 220 g of cooked pasta were 100 g dry."""
    found = row("{amount: 220 g, food: pasta, weighed: cooked, yield: 2.2}", tiny)
    assert found.weighed_g == 220
    assert found.grams == pytest.approx(100)


def test_weighed_raw_is_multiplied_by_the_yield(tiny: FoodTable) -> None:
    found = row("{amount: 100 g, food: 'white rice, boiled', weighed: raw, yield: 2.8}", tiny)
    assert found.grams == pytest.approx(280)


def test_another_recipe_by_portions_and_by_weight(tiny: FoodTable) -> None:
    portions = row("{amount: 2 portions, recipe: sauce}", tiny)
    assert portions.dish is not None
    assert portions.grams == pytest.approx(400)
    assert portions.scale is Scale.PORTIONS
    assert row("{amount: 150 g, recipe: sauce}", tiny).grams == 150
    assert row("{amount: 1 portion, recipe: dough}", tiny).grams == pytest.approx(300)
    assert row("{amount: 1-3 portions, recipe: dough, eaten: 0.5}", tiny).high_g == pytest.approx(450)


def test_swaps_are_resolved_too(tiny: FoodTable) -> None:
    found = row(
        "{amount: 30 g, food: feta, optional: true, swaps: [40 g smoked tofu, {amount: 1 portion, recipe: sauce}]}",
        tiny,
    )
    assert found.row.optional
    assert [swap.key for swap in found.swaps] == ["tofu-smoked", "recipe:sauce"]
    assert found.swaps[0].row.part == found.row.part


@pytest.mark.parametrize("text", ["salt, to taste", "to taste black pepper", "{amount: to taste, food: vinegar}"])
def test_to_taste_counts_as_nothing(tiny: FoodTable, text: str) -> None:
    found = row(text, tiny)
    assert (found.scale, found.grams, found.weighed_g, found.low_g, found.high_g) == (Scale.TASTE, 0, 0, 0, 0)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("160 g pearled barely", "unknown-food"),
        ("160 g", "no-food"),
        ("2 tbsp", "no-food"),
        ("160 g rice", "ambiguous-food"),
        ("1 cup rice", "ambiguous-food"),
        ("2 rice", "ambiguous-food"),
        ("{amount: 160 g, food: rice}", "ambiguous-food"),
        ("2 carrots", "missing-measure"),
        ("2 huge carrots", "missing-measure"),
        ("{amount: 2 huge, food: carrot}", "missing-measure"),
        ("{amount: 2, food: carrot}", "missing-measure"),
        ("1 slice feta", "missing-measure"),
        ("1 cup feta", "missing-measure"),
        ("1 tbsp feta", "missing-measure"),
        ("100 ml feta", "missing-measure"),
        ("1 cup sliced onion", "unknown-food"),
        ("2 gramz feta", "unknown-unit"),
        ("2 tblspn olive oil", "unknown-unit"),
        ("{amount: 2 gramz, food: feta}", "unknown-unit"),
        ("1 pint milk", "unknown-unit"),
        ("1 T olive oil", "unknown-unit"),
        ("1 c flour", "unknown-unit"),
        ("{amount: 1 pint, food: milk}", "unknown-unit"),
        ("1 pint of unobtainium", "unknown-unit"),
        ("1 cup chopped onion, ready cut", "missing-measure"),
        ("900000 kg feta", "bad-amount"),
        ("honey, to taste", "to-taste-energy"),
        ("to taste olive oil", "to-taste-energy"),
        ("to taste mystery paste", "to-taste-energy"),
        ("to taste unobtainium", "unknown-food"),
        ("to taste rice", "ambiguous-food"),
        ("{amount: 150 g, recipe: none-such}", "unknown-recipe"),
        ("{amount: 1 cup, recipe: sauce}", "recipe-row"),
        ("{amount: 2, recipe: sauce}", "recipe-row"),
        ("{amount: 100 ml, recipe: sauce}", "recipe-row"),
        ("{amount: to taste, recipe: sauce}", "recipe-row"),
        ("{amount: 1 portion, recipe: air}", "empty-recipe"),
        ("{amount: 220 g, food: 'white rice, boiled', weighed: cooked, yield: 2.2}", "weighed-same-state"),
        ("{amount: 220 g, food: pasta, weighed: raw, yield: 2.2}", "weighed-same-state"),
        ("{amount: 220 g, food: pasta, weighed: cooked, yield: 0.75}", "implausible-yield"),
        ("{amount: 1 cup, food: white rice, weighed: cooked, yield: 2.8}", "weighed-by-count"),
        ("{amount: 30 g, food: feta, swaps: [40 g unobtainium]}", "unknown-food"),
        ("400 g cans chickpeas", "unknown-food"),
    ],
)
def test_what_cannot_be_read_is_a_problem_at_its_row(tiny: FoodTable, text: str, code: str) -> None:
    if "swaps" in text:
        found, problems = try_rows(f"- {text}", tiny)
        assert found is None
        assert [(p.code, p.place.line) for p in problems] == [(code, 6)]
        return
    assert problem(text, tiny).code == code


def test_problems_say_what_the_food_has(tiny: FoodTable) -> None:
    hint = problem("2 huge carrots", tiny).hint
    assert "medium (61 g)" in hint
    assert "large (72 g)" in hint
    assert "did you mean g" in problem("2 gramz feta", tiny).hint
    assert "568 mL" in problem("1 pint milk", tiny).hint
    assert "drained" in problem("400 g cans chickpeas", tiny).hint


def test_all_rows_with_problems_are_told_in_one_run(tiny: FoodTable) -> None:
    found, problems = try_rows(
        "- 5 g nothing\n- 5 g salt\n- 2 carrots\n- 5 g rice\n- {amount: 5 g, recipe: none-such}", tiny
    )
    assert found is None
    assert [(p.place.line, p.code) for p in problems] == [
        (6, "unknown-food"),
        (8, "missing-measure"),
        (9, "ambiguous-food"),
        (10, "unknown-recipe"),
    ]


def test_two_readings_with_two_foods_are_asked_about() -> None:
    """'small egg' is a food of this hub, and 'small' a measure of egg."""
    table = make_table("food,name\nsmall-egg,Small egg\n", "food,measure,grams,source\nsmall-egg,each,20,ours\n")
    found = problem("2 small eggs", table)
    assert found.code == "ambiguous-row"
    assert "small-egg" in found.message
    assert "egg-whole-raw" in found.message
    assert row("{amount: 2 small, food: egg}", table).grams == 76


def test_two_readings_with_the_same_food_take_the_longer_measure() -> None:
    table = make_table(
        "food,name,aliases\nquail-egg,Quail egg,\n", "food,measure,grams,source\nquail-egg,each,9,ours\n"
    )
    assert row("2 quail eggs", table).grams == 18
    assert row("2 large eggs", table).measure == "large"


def test_a_cup_of_something_chopped_that_is_also_a_food_is_asked_about() -> None:
    table = make_table(
        "food,name\nonion-diced,Chopped onion\n", "food,measure,grams,source\nonion-diced,cup,140,ours\n"
    )
    assert problem("1 cup chopped onion", table).code == "ambiguous-row"
    assert row("{amount: 1 cup, food: chopped onion}", table).food is not None


def test_what_was_looked_up_is_heard_again_from_memory() -> None:
    table = make_table()
    first: set[str] = set()
    table.listen(first)
    try_rows("- 2 medium carrots\n- {amount: 5 g, food: feta}\n- salt, to taste", table)
    second: set[str] = set()
    table.listen(second)
    try_rows("- 2 medium carrots\n- {amount: 5 g, food: feta}\n- salt, to taste", table)
    table.listen(None)
    assert first == second
    assert {"medium carrot", "carrot", "feta", "salt"} <= first


amounts = st.decimals(min_value="0.1", max_value="900", places=1)


@given(
    amounts,
    st.sampled_from(["g pearl barley", "tbsp olive oil", "medium carrots", "ml milk", "eggs"]),
    st.integers(2, 9),
)
def test_twice_the_amount_is_twice_the_grams(amount: object, words: str, times: int) -> None:
    one = row(f"{amount} {words}", TABLE)
    many = row(f"{times} x {amount} {words}", TABLE)
    assert many.grams == pytest.approx(times * one.grams)


@given(amounts, amounts, amounts)
def test_a_wider_range_never_narrows_the_grams(one: float, other: float, third: float) -> None:
    low, middle, high = sorted((one, other, third))
    inner = row(f"{low}-{middle} g feta", TABLE)
    outer = row(f"{low}-{high} g feta", TABLE)
    assert outer.low_g <= inner.low_g
    assert outer.high_g >= inner.high_g


@given(
    st.lists(
        st.sampled_from("1 2 cup medium g tbsp of chopped egg carrot onion rice olive oil salt , large x -".split()),
        max_size=7,
    )
)
def test_any_row_of_known_words_gives_grams_or_problems(words: list[str]) -> None:
    text = " ".join(words)
    found, problems = try_rows(f"- '1 {text}'", TABLE) if _readable(f"1 {text}") else (None, [object()])
    if found is None:
        assert problems
    else:
        assert found[0].grams > 0


def _readable(text: str) -> bool:
    try:
        page_of(f"- '{text}'")
    except AssertionError:
        return False
    return True


TABLE = make_table()
