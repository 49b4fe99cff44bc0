"""Cautions of keeping, of days and of every site; and what the author adds or silences."""

from __future__ import annotations

import pytest
from tests.labelling.allergen_make import SETTINGS, dish_of, food, page_of, row_of
from tests.labelling.caution_make import fig, shown

from gramwright.labelling import cautions
from gramwright.model import Food, RecipePage, Settings
from gramwright.problems import Place, ProblemLog, Severity

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
