"""Cautions by rule: when each one speaks, under which rule set, and what the author adds or silences."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.labelling.allergen_make import SETTINGS, dish_of, food, page_of, row_of

from gramwright.labelling import allergen_rules, cautions
from gramwright.labelling.caution_rules import caution_rules
from gramwright.labelling.kinds import kinds_table
from gramwright.labelling.shipped_data import read_yaml
from gramwright.model import Caution, Dish, Figure, Food, RecipePage, Settings
from gramwright.problems import Place, ProblemLog, Severity
from gramwright.resources import content

FILES = sorted(path.name for path in (content() / "cautions").glob("*.yaml"))
RAW = [entry for name in FILES for entry in read_yaml(f"cautions/{name}")["cautions"]]


def fig(amount: float, coverage: float = 1.0) -> Figure:
    return Figure(amount, amount, amount, coverage)


def shown(
    *foods: Food,
    page: RecipePage | None = None,
    per_portion: dict[str, Figure] | None = None,
    per_100g: dict[str, Figure] | None = None,
    rules: str = "eu",
    settings: Settings = SETTINGS,
    log: ProblemLog | None = None,
    dish: Dish | None = None,
) -> dict[str, Caution]:
    rows = [row_of(each) for each in foods] or [row_of(food())]
    made = dish if dish is not None else dish_of(*rows, page=page)
    into = log if log is not None else ProblemLog()
    found = cautions.apply(made, per_portion or {}, per_100g or {}, rules, settings, into)
    assert log is not None or not list(into)
    return {each.id: each for each in found}


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


# ---------------------------------------------------------------- keeping


STORAGE = {"cooling", "fridge-days", "reheating", "freezing"}


@pytest.mark.parametrize(
    ("fridge", "freezer", "expected"),
    [
        (None, None, set()),
        (2.0, None, {"cooling", "fridge-days", "reheating"}),
        (None, 60.0, {"cooling", "reheating", "freezing"}),
        (2.0, 60.0, STORAGE),
    ],
)
def test_what_a_page_that_keeps_is_told(fridge: float | None, freezer: float | None, expected: set[str]) -> None:
    assert STORAGE & set(shown(page=page_of(fridge=fridge, freezer=freezer))) == expected


@pytest.mark.parametrize(
    ("rules", "days", "reheat"),
    [
        ("uk", "within 2 days", "75 °C"),  # Food Standards Agency
        ("us", "3 to 4 days", "74 °C"),  # USDA FSIS cold storage chart and temperature chart
        ("anz", "3 days at most", "75 °C"),  # Department of Health of Western Australia
        ("eu", "Local rules decide", "70 °C"),  # WHO, Five Keys to Safer Food
        ("za", "Local rules decide", "70 °C"),
        ("codex", "Local rules decide", "70 °C"),
    ],
)
def test_fridge_days_and_reheating_differ_by_rule_set(rules: str, days: str, reheat: str) -> None:
    found = shown(page=page_of(fridge=3.0, freezer=30.0), rules=rules)
    assert days in found["fridge-days"].text
    assert "3 days" in found["fridge-days"].text
    assert reheat in found["reheating"].text
    assert "two hours" in found["cooling"].text
    assert "-18 °C" in found["freezing"].text


COD = food("Cod, baked", kinds=["fish"], state="baked", group="fish")
RICE = food("Brown rice, boiled", state="boiled", group="rice")


@pytest.mark.parametrize(
    ("one", "page", "expected"),
    [
        (food(), page_of("Turnip soup", fridge=2.0), {"fridge-days", "reheating"}),
        (food(), page_of("Cold hands broth", fridge=2.0), {"fridge-days", "reheating"}),
        (food(), page_of("Turnip lunch", fridge=2.0, tags=["one pan", "for cold days"]), {"fridge-days", "reheating"}),
        (food(), page_of("Turnip lunch", fridge=2.0, tags=["packed lunch", "Cold"]), {"fridge-days"}),
        (food(), page_of("Overnight oats", fridge=2.0), {"fridge-days"}),
        (food(), page_of("Lemon cooler", fridge=2.0, tags=["no cooking", "to share"]), {"fridge-days"}),
        (food(), page_of("Oat bars", fridge=7.0), set()),
        (food(), page_of("Seeded bread", fridge=2.0), {"fridge-days"}),
        (food("Egg, whole, raw", kinds=["egg"]), page_of("Egg bars", fridge=2.0), {"fridge-days", "reheating"}),
        (COD, page_of("Cod dressing", fridge=2.0, tags=["cold"]), {"fridge-days", "reheating"}),
        (RICE, page_of("Rice tub", fridge=1.0, tags=["cold"]), {"fridge-days", "reheating"}),
    ],
)
def test_reheating_is_not_said_of_what_is_eaten_cold(one: Food, page: RecipePage, expected: set[str]) -> None:
    """Common practice, no source; what may carry harm is told in any case."""
    assert {"fridge-days", "reheating"} & set(shown(one, page=page)) == expected


def test_days_are_written_as_days() -> None:
    assert "keeps 1 day in" in shown(page=page_of(fridge=1.0))["fridge-days"].text
    assert "keeps 1.5 days in" in shown(page=page_of(fridge=1.5))["fridge-days"].text
    german = Settings("Hub", "https://hub.example/", language="de")
    assert "hält es 2 Tage" in shown(page=page_of(fridge=2.0), settings=german)["fridge-days"].text
    assert "hält es 1 Tag im" in shown(page=page_of(fridge=1.0), settings=german)["fridge-days"].text
    other = Settings("Hub", "https://hub.example/", language="fr")
    assert "keeps 2 days in" in shown(page=page_of(fridge=2.0), settings=other)["fridge-days"].text


def test_the_rule_set_decides_which_source_speaks() -> None:
    egg = food("Egg, whole, raw", kinds=["egg"])
    sources = {rules: shown(egg, rules=rules)["raw-egg"].source for rules in ("eu", "uk", "us")}
    assert sources["us"].startswith("USDA FSIS")
    assert sources["uk"].startswith("NHS")
    assert sources["eu"].startswith("WHO")
    assert "(secondary copy)" in sources["us"]
    polyols = {rules: shown(per_100g={"POLYL_g": fig(20)}, rules=rules)["polyols"].source for rules in ("eu", "anz")}
    assert polyols["eu"] == "Regulation (EU) No 1169/2011, Annex III, 2.4"
    assert polyols["anz"].startswith("Food Standards Code, Schedule 9")


# ---------------------------------------------------------------- losing weight, days


@pytest.mark.parametrize(
    "page", [page_of(tags=["weight loss"]), page_of("A slimming soup"), page_of(tags=["Weight-Loss"])]
)
def test_weight_loss_pages_say_who_should_ask_first(page: RecipePage) -> None:
    assert "losing-weight" in shown(page=page)
    assert "losing-weight" not in shown(page=page_of("Hearty soup"))


@pytest.mark.parametrize(
    ("kcal", "expected"),
    [
        (0, ["very-low-energy-day"]),
        (799, ["very-low-energy-day"]),
        (800, ["very-low-energy-day"]),  # NICE CG189, chapter 6: 450 to 800 kcal a day
        (801, ["low-energy-day"]),
        (1199, ["low-energy-day"]),
        (1200, []),
        (2000, []),
    ],
)
def test_days_with_little_energy(kcal: float, expected: list[str]) -> None:
    assert [each.id for each in cautions.for_day(kcal, "eu")] == expected


def test_a_days_caution_says_the_days_energy() -> None:
    (caution,) = cautions.for_day(650.4, "us", "de")
    assert "650 kcal" in caution.text
    assert "ärztliche" in caution.text
    assert caution.source.startswith("NICE")


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


def test_what_every_site_says() -> None:
    found = {each.id: each for each in cautions.general("eu")}
    assert list(found) == ["estimates", "not-medical-advice", "allergens-as-recorded", "selling"]
    assert "estimate" in found["estimates"].text
    assert "medical advice" in found["not-medical-advice"].text
    assert cautions.general("eu", "de")[1].text != found["not-medical-advice"].text


# ---------------------------------------------------------------- the author's


HONEY = food("Honey", kinds=["honey"])


def test_a_silenced_caution_stays_with_its_published_reason() -> None:
    page = page_of(silenced=[("honey-infants", "served to grown rowers only")])
    found = shown(HONEY, page=page)["honey-infants"]
    assert found.silenced == "served to grown rowers only"
    assert found.text
    assert shown(HONEY)["honey-infants"].silenced == ""


def test_silencing_needs_a_reason() -> None:
    log = ProblemLog()
    found = shown(HONEY, page=page_of(silenced=[("honey-infants", "  ")]), log=log)
    assert found["honey-infants"].silenced == ""
    (problem,) = log
    assert (problem.code, problem.severity, problem.place.line) == ("silenced-without-reason", Severity.ERROR, 8)
    assert problem.hint


def test_silencing_what_does_not_exist() -> None:
    log = ProblemLog()
    shown(HONEY, page=page_of(silenced=[("honey-infant", "why"), ("estimates", "why")]), log=log)
    near, far = log
    assert (near.code, near.severity) == ("unknown-caution", Severity.ERROR)
    assert near.place == Place("recipes/test.md", 8)
    assert "honey-infants" in near.hint
    assert far.code == "unknown-caution"
    assert "rice" in far.hint


def test_silencing_what_would_not_be_shown() -> None:
    log = ProblemLog()
    found = shown(page=page_of(silenced=[("rice", "no rice here")]), log=log)
    assert "rice" not in found
    (problem,) = log
    assert (problem.code, problem.severity, problem.place.line) == ("silenced-needlessly", Severity.WARNING, 8)


def test_the_authors_own_sentences_come_last() -> None:
    hub = Settings("Hub", "https://hub.example/", author="The cooks", cautions=("Ask the coach.",))
    page = page_of(cautions=["The tin is hot.", "Ask the coach."])
    found = cautions.apply(dish_of(row_of(HONEY), page=page), {}, {}, "eu", hub, ProblemLog())
    assert [(each.id, each.text, each.source) for each in found[-2:]] == [
        ("author-1", "The tin is hot.", "The cooks"),
        ("author-2", "Ask the coach.", "The cooks"),
    ]
    assert found[0].id == "honey-infants"
    hot = dish_of(row_of(food()), page=page_of(cautions=["Hot!"]))
    nobody = cautions.apply(hot, {}, {}, "eu", SETTINGS, ProblemLog())
    assert nobody[0].source == "Test hub"


def test_the_author_can_ask_for_a_caution_by_its_name() -> None:
    found = shown(food(), page=page_of(cautions=["honey-infants"]))
    assert list(found) == ["honey-infants"]
    log = ProblemLog()
    assert shown(food(), page=page_of(cautions=["honey-baby"]), log=log) == {}
    (problem,) = log
    assert (problem.code, problem.place) == ("unknown-caution", Place("recipes/test.md", 7))


# ---------------------------------------------------------------- the data itself


def test_the_list_of_cautions_is_whole() -> None:
    """What a home cook's pages must be able to say; the list is ours."""
    assert set(cautions.known_ids()) == {
        "raw-egg", "dried-beans", "rice", "mercury-fish", "liquorice", "caffeine", "caffeine-amount-unknown", "alcohol",
        "alcohol-amount-unknown", "honey-infants", "liver-pregnancy", "losing-weight", "aspartame", "polyols",
        "polyols-amount-unknown", "raw-poultry", "raw-mince", "raw-meat", "raw-fish", "live-bivalves",
        "raw-shellfish", "smoked-fish-at-risk", "soft-cheese-at-risk", "cooked-shellfish-at-risk", "raw-milk",
        "raw-sprouts", "cooling", "fridge-days", "reheating", "freezing",
    }  # fmt: skip


@pytest.mark.parametrize("entry", RAW, ids=lambda entry: str(entry["id"]))
def test_every_caution_is_well_formed(entry: dict[str, object]) -> None:
    variants = entry["variants"]
    assert isinstance(variants, list)
    assert "rule_sets" not in variants[-1], "the last variant speaks wherever no other does"
    for variant in variants:
        assert set(variant) <= {"rule_sets", "en", "de", "af", "source", "checked"}
        assert set(variant.get("rule_sets", ())) <= set(allergen_rules.available())
        assert variant["checked"] in {"read", "secondary copy", "from memory"}
        assert variant["source"]
        for language in ("en", "de", "af"):
            assert len(variant[language]) > 30
            assert set(re.findall(r"\{(\w+)\}", variant[language])) == set(re.findall(r"\{(\w+)\}", variant["en"]))
            assert not re.search(r"free from|\bsafe for\b|suitable for allergy", variant[language])
    assert entry.get("scope", "page") in {"page", "site", "day"}


def test_conditions_use_words_that_exist() -> None:
    states = set(read_yaml("foods/vocabulary.yaml")["states"]) | {"dried", "uncooked", "cooked"}
    groups = set(read_yaml("foods/vocabulary.yaml")["groups"])
    allowed = {"words", "without", "kinds", "groups", "states", "knows", "lacks"}
    for entry in RAW:
        when = entry.get("when", [])
        for condition in [when] if isinstance(when, dict) else when:
            assert set(condition) <= {
                "foods", "above", "keeps", "fridge_days_above", "words",
                "not_titled", "not_tagged", "kcal_above", "kcal_to", "kcal_below",
            }, entry["id"]  # fmt: skip
            for matcher in condition.get("foods", ()):
                assert set(matcher) <= allowed, entry["id"]
                assert set(matcher.get("kinds", ())) <= set(kinds_table().answers), entry["id"]
                assert set(matcher.get("groups", ())) <= groups, entry["id"]
                assert set(matcher.get("states", ())) <= states, entry["id"]


def test_ids_are_given_once() -> None:
    ids = [rule.id for rule in caution_rules()]
    assert len(ids) == len(set(ids))


def test_no_text_is_left_with_a_gap() -> None:
    page = page_of(fridge=3.0, freezer=30.0, cautions=list(cautions.known_ids()))
    figures = {"ALC_g": fig(2), "CAFFN_mg": fig(80), "POLYL_g": fig(20)}
    for language in ("en", "de"):
        settings = Settings("Hub", "https://hub.example/", language=language)
        for caution in shown(page=page, per_portion=figures, per_100g=figures, settings=settings).values():
            assert "?" not in caution.text
            assert "{" not in caution.text


def test_files_open_with_their_grammar() -> None:
    for name in FILES:
        assert Path(content() / "cautions" / name).read_text(encoding="utf-8").startswith("#")
