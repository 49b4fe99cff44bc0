"""Cautions by rule: which foods and figures bring each one, under which rule set."""

from __future__ import annotations

import pytest
from tests.labelling.allergen_make import dish_of, food, page_of, row_of
from tests.labelling.caution_make import fig, shown

from gramwright.model import Food, Settings

# ---------------------------------------------------------------- foods


@pytest.mark.parametrize(
    ("caution", "one"),
    [
        ("raw-egg", food("Egg, whole, raw", kinds=["egg"])),
        ("raw-egg", food("Egg yolk, raw", kinds=["egg"])),
        ("dried-beans", food("Red kidney beans, dry", state="dry")),
        ("dried-beans", food("Cannellini, dried", state="dried")),
        ("rice", food("White long-grain rice, dry", state="dry", group="rice")),
        ("rice", food("Brown rice, boiled", state="boiled")),
        ("mercury-fish", food("Swordfish, raw", kinds=["fish"])),
        ("mercury-fish", food("King mackerel, raw", kinds=["fish"])),
        ("liquorice", food("Licorice root")),
        ("caffeine-amount-unknown", food("Coffee, espresso", state="ready", group="coffee-and-tea")),
        ("caffeine-amount-unknown", food("Tea, black, brewed", state="ready", group="coffee-and-tea")),
        ("caffeine-amount-unknown", food("Energy drink")),
        ("alcohol", food("Red wine", kinds=["wine or beer"], values={"ALC_g": 10.8})),
        ("alcohol-amount-unknown", food("Red wine", kinds=["wine or beer"])),
        ("honey-infants", food("Honey", kinds=["honey"])),
        ("honey-infants", food("Granola with honey", kinds=[])),
        ("liver-pregnancy", food("Chicken liver, raw", kinds=["poultry"])),
        ("liver-pregnancy", food("Cod liver oil", kinds=["fish"])),
        ("raw-poultry", food("Chicken thigh, raw", kinds=["poultry"], group="poultry")),
        ("raw-poultry", food("Turkey mince, raw", kinds=["poultry"], group="poultry")),
        ("raw-poultry", food("Pheasant, meat, raw", kinds=["game"], group="poultry")),
        ("raw-mince", food("Beef mince, 5% fat, raw", kinds=["beef"], group="meat")),
        ("raw-mince", food("Pork sausages, raw", kinds=["pork"], group="meat-products")),
        ("raw-mince", food("Chipolatas of the stall", kinds=[], group="meat-products")),
        ("raw-poultry", food("Chicken chipolatas", kinds=[], group="meat-products")),
        ("raw-fish", food("Catch of the day", kinds=[], group="fish")),
        ("raw-meat", food("Beef stewing steak, raw", kinds=["beef"], group="meat")),
        ("raw-fish", food("Cod, raw", kinds=["fish"], group="fish")),
        ("live-bivalves", food("Mussels, raw", kinds=["mollusc"], group="shellfish")),
        ("raw-shellfish", food("Squid, raw", kinds=["mollusc"], group="shellfish")),
        ("raw-shellfish", food("Prawns, raw", kinds=["crustacean"], group="shellfish")),
        ("smoked-fish-at-risk", food("Salmon, smoked", kinds=["fish"], state="smoked")),
        ("soft-cheese-at-risk", food("Brie", kinds=["milk"], state="ready")),
        ("soft-cheese-at-risk", food("Blue cheese", kinds=["milk"], state="ready")),
        ("cooked-shellfish-at-risk", food("Prawns, boiled", kinds=["crustacean"], state="boiled")),
        ("raw-milk", food("Unpasteurised milk", kinds=["milk"], state="ready")),
        ("raw-sprouts", food("Bean sprouts, raw")),
        ("aspartame", food("Table sweetener", aliases=["aspartame tablets"])),
        ("polyols-amount-unknown", food("Xylitol")),
    ],
)
def test_a_food_brings_its_caution(caution: str, one: Food) -> None:
    assert caution in shown(food(), one)
    assert caution not in shown(food())


@pytest.mark.parametrize(
    ("caution", "one"),
    [
        ("raw-egg", food("Egg, hard-boiled", kinds=["egg"], state="boiled")),
        ("raw-egg", food("Eggplant, raw")),
        ("dried-beans", food("Red kidney beans, canned, drained", state="drained")),
        ("dried-beans", food("Green beans, raw")),
        ("dried-beans", food("Red lentils, dry", state="dry")),
        ("rice", food("Rice noodles, dry", state="dry")),
        ("rice", food("Rice vinegar", state="ready")),
        ("rice", food("Rice flour, white", state="dry")),
        ("mercury-fish", food("Mackerel, raw", kinds=["fish"])),
        ("mercury-fish", food("Almonds, flaked, flake", kinds=["plant"])),
        ("caffeine-amount-unknown", food("Coffee, decaffeinated", group="coffee-and-tea")),
        ("caffeine-amount-unknown", food("Herb tea, brewed", group="coffee-and-tea")),
        ("caffeine-amount-unknown", food("Coffee", group="coffee-and-tea", values={"CAFFN_mg": 40})),
        ("alcohol-amount-unknown", food("Red wine", kinds=["wine or beer"], values={"ALC_g": 10.8})),
        ("alcohol", food("Wine vinegar", values={"ALC_g": 0.0})),
        ("honey-infants", food("Honeydew melon, raw")),
        ("liver-pregnancy", food("Sliver of pear")),
        ("raw-poultry", food("Chicken breast, grilled", kinds=["poultry"], state="grilled")),
        ("raw-poultry", food("Pigeon peas, raw", kinds=["plant"])),
        ("raw-mince", food("Mushroom mince, raw", kinds=["fungus"])),
        ("raw-mince", food("Beef mince, fried", kinds=["beef"], state="fried")),
        ("raw-meat", food("Beef mince, raw", kinds=["beef"])),
        ("raw-meat", food("Beef suet, raw", kinds=["beef"])),
        ("raw-meat", food("Ham, sliced", kinds=["pork"], state="ready")),
        ("raw-fish", food("Tuna, canned, drained", kinds=["fish"], state="drained")),
        ("raw-fish", food("Salmon, smoked", kinds=["fish"], state="smoked")),
        ("live-bivalves", food("Squid, raw", kinds=["mollusc"])),
        ("live-bivalves", food("Oyster mushrooms, raw", kinds=["fungus"])),
        ("raw-shellfish", food("Mussels, raw", kinds=["mollusc"])),
        ("raw-shellfish", food("Prawns, boiled", kinds=["crustacean"], state="boiled")),
        ("smoked-fish-at-risk", food("Salmon, canned, drained", kinds=["fish"], state="drained")),
        ("smoked-fish-at-risk", food("Paprika, smoked", state="smoked")),
        ("soft-cheese-at-risk", food("Cheddar", kinds=["milk"], state="ready")),
        ("soft-cheese-at-risk", food("Brie, vegan", kinds=["plant"], state="ready")),
        ("cooked-shellfish-at-risk", food("Prawns, raw", kinds=["crustacean"])),
        ("raw-milk", food("Milk, whole, pasteurised", kinds=["milk"], state="ready")),
        ("raw-sprouts", food("Brussels sprouts, raw", aliases=["sprouts"])),
        ("raw-sprouts", food("Bean sprouts, boiled", state="boiled")),
        ("polyols-amount-unknown", food("Xylitol", values={"POLYL_g": 100})),
    ],
)
def test_a_food_that_only_looks_alike_does_not(caution: str, one: Food) -> None:
    assert caution not in shown(one)


def test_foods_of_sub_recipes_count_and_optional_rows_do_not() -> None:
    honey = food("Honey", kinds=["honey"])
    inside = dish_of(row_of(food()), row_of(honey))
    assert "honey-infants" in shown(dish=dish_of(row_of(dish_of(row_of(inside)))))
    assert "honey-infants" not in shown(dish=dish_of(row_of(food()), row_of(honey, optional=True)))


# ---------------------------------------------------------------- figures


@pytest.mark.parametrize(("amount", "speaks"), [(10.0, False), (10.01, True), (0.0, False), (55.0, True)])
def test_polyols_above_ten_per_cent(amount: float, speaks: bool) -> None:
    """Regulation (EU) No 1169/2011, Annex III, 2.4: more than 10 % added polyols."""
    found = shown(per_100g={"POLYL_g": fig(amount)})
    assert ("polyols" in found) is speaks
    assert "polyols" not in shown(per_portion={"POLYL_g": fig(amount)})


def test_polyols_say_how_much() -> None:
    assert "about 12.3 g in 100 g" in shown(per_100g={"POLYL_g": fig(12.34)})["polyols"].text
    assert "at least 12 g" in shown(per_100g={"POLYL_g": fig(12.0, 0.8)})["polyols"].text
    german = Settings("Hub", "https://hub.example/", language="de")
    assert "etwa 12,3 g" in shown(per_100g={"POLYL_g": fig(12.34)}, settings=german)["polyols"].text


def test_alcohol_says_what_remains() -> None:
    """USDA Table of Nutrient Retention Factors, release 6, codes 5004, 5005 and 5009: 40, 35 and 5 %."""
    wine = food("Red wine", kinds=["wine or beer"], values={"ALC_g": 10.8})
    text = shown(wine, per_portion={"ALC_g": fig(3.21)})["alcohol"].text
    assert "about 3.2 g of it a portion" in text
    assert "40 %" in text
    assert "35 %" in text
    assert "5 %" in text
    assert "less than 0.1 g" in shown(wine, per_portion={"ALC_g": fig(0.02)})["alcohol"].text
    assert "at least 3.2 g" in shown(wine, per_portion={"ALC_g": fig(3.21, 0.4)})["alcohol"].text
    for little, said in ((0.02, "at least 0.02 g"), (0.0, "at least 0 g")):
        text_of_a_part = shown(wine, per_portion={"ALC_g": fig(little, 0.4)})["alcohol"].text
        assert said in text_of_a_part, "a part of it is below nothing"
        assert "less than" not in text_of_a_part
    assert "alcohol" in shown(per_portion={"ALC_g": fig(0.2)})
    assert "alcohol" not in shown(per_portion={"ALC_g": fig(0.1)})
    assert "up to all of it remains" in text


@pytest.mark.parametrize("rules", ["uk", "us", "eu", "za"])
def test_rice_says_both_countries_advice(rules: str) -> None:
    """NHS and Food Standards Agency (from memory): one hour, one day; USDA FSIS (secondary copy): two hours."""
    text = shown(food("Brown rice, dry", state="dry", group="rice"), rules=rules)["rice"].text
    for each in ("one hour", "day", "two hours", "United States"):
        assert each in text


@pytest.mark.parametrize(("amount", "speaks"), [(20.0, False), (20.5, True)])
def test_caffeine_by_its_figure(amount: float, speaks: bool) -> None:
    found = shown(per_portion={"CAFFN_mg": fig(amount)})
    assert ("caffeine" in found) is speaks
    if speaks:
        assert "about 20.5 mg" in found["caffeine"].text
        assert "200 mg" in found["caffeine"].text  # EFSA, Scientific Opinion on the safety of caffeine (2015)
        assert "400 mg" in found["caffeine"].text


@pytest.mark.parametrize(
    ("caution", "name", "kind", "figures"),
    [  # USDA FSIS temperature chart: 165, 160, 145 and 145 °F; Food Standards Agency: 70 °C for two minutes; WHO: 70 °C
        ("raw-poultry", "Chicken, raw", "poultry", {"us": "74 °C", "uk": "two minutes", "eu": "70 °C"}),
        ("raw-mince", "Beef mince, raw", "beef", {"us": "71 °C", "uk": "two minutes", "eu": "70 °C"}),
        ("raw-meat", "Beef steak, raw", "beef", {"us": "63 °C", "uk": "two minutes", "eu": "70 °C"}),
        ("raw-fish", "Cod, raw", "fish", {"us": "63 °C", "uk": "two minutes", "eu": "70 °C"}),
        ("raw-shellfish", "Prawns, raw", "crustacean", {"us": "63 °C", "uk": "two minutes", "za": "70 °C"}),
        ("live-bivalves", "Mussels, raw", "mollusc", {"us": "stays shut", "uk": "stays shut", "eu": "stays shut"}),
    ],
)
def test_raw_meat_and_fish_are_cooked_as_each_country_says(
    caution: str, name: str, kind: str, figures: dict[str, str]
) -> None:
    for rules, figure in figures.items():
        assert figure in shown(food(name, kinds=[kind]), rules=rules)[caution].text


def test_the_gravest_comes_first() -> None:
    """What can make anybody ill, then what some people leave out, then keeping: whatever file a caution is in."""
    foods = [
        food("Red wine", kinds=["wine or beer"], values={"ALC_g": 10.8}),
        food("Basmati rice", group="rice", state="dry"),
        food("Clear honey", kinds=["honey"]),
        food("Chicken thigh", kinds=["poultry"], group="poultry", state="raw"),
        food("Hen's egg", kinds=["egg"], group="eggs", state="raw"),
    ]
    said = list(shown(*foods, page=page_of(fridge=3.0), per_portion={"ALC_g": fig(2.0)}))
    assert said[:5] == ["raw-egg", "raw-poultry", "alcohol", "honey-infants", "rice"]
    assert set(said[5:]) >= {"cooling", "reheating"}
