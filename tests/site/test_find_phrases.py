"""What readers type, read into conditions by the browser's code run by Node.

The sentences are what a hungry reader might write (common practice, no source). The conversion of kilojoules is
1 kcal = 4.184 kJ (FAO Food and Nutrition Paper 77, chapter 3).
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import pytest
from tests.site.node_asked import NodeAsked

from gramwright.resources import themes
from gramwright.site import search, words
from gramwright.site.search.fold import language

BROWSER = themes() / "galley" / "browser"
MEALS = ("breakfast", "lunch", "dinner", "snack", "soup")
DIETS = ("vegetarian", "vegan", "no pork")


class Reader(NodeAsked):
    """The browser's reading in one language at a time."""

    def __init__(self) -> None:
        super().__init__("phrases_runner.cjs", [BROWSER / "find-fold.js", BROWSER / "find-phrases.js"])

    def open(self, code: str, rule_set: str = "eu") -> None:
        said = words.load(code, None)
        texts = {key: text for key, text in said.texts.items() if isinstance(text, str)}
        allergens = [
            (a.id, said.get(f"find.classes.{a.id}", a.id) if a.members else a.name)
            for a in search.offered(rule_set, code)
        ]
        diets = [(diet, said.get(f"suits.{diet}", diet)) for diet in DIETS]
        endings = language(code).endings
        self.ask(says=texts, offered={"endings": endings, "allergens": allergens, "meals": MEALS, "diets": diets})

    def read(self, text: str, *, typing: bool = False) -> tuple[str, str]:
        """The conditions as a short text, and the words that are left."""
        got = self.ask(text=text, typing=typing)
        return " ".join(sorted(map(_short, got["conditions"]))), got["rest"]


def _short(one: dict[str, Any]) -> str:
    if one["kind"] == "range":
        return f"{one['name']}={'-'.join('' if end is None else f'{end:g}' for end in one['range'])}"
    if one["kind"] == "meals":
        return "meal=" + "+".join(one["chosen"])
    return f"{one['kind']}={one['name']}"


@pytest.fixture(scope="module")
def reader() -> Iterator[Reader]:
    made = Reader()
    yield made
    made.close()


@pytest.mark.parametrize(
    ("text", "conditions", "rest"),
    [
        ("lunch under 450 kcal, 30 g protein, no milk", "kcal=-450 meal=lunch protein=30- without=milk", ""),
        ("no milk, under 450 kcal", "kcal=-450 without=milk", ""),
        ("Lunch with at least 30g of protein and no eggs", "meal=lunch protein=30- without=eggs", ""),
        ("barley soup under 450kcal", "kcal=-450", "barley soup"),
        ("300-450 kcal", "kcal=300-450", ""),
        ("from 300 to 450 kcal", "kcal=300-450", ""),
        ("between 450 and 300 calories", "kcal=300-450", ""),
        ("over 300 kcal under 450 kcal", "kcal=-450 kcal=300-", ""),
        ("kcal < 450", "kcal=-450", ""),
        ("450 kcal or less", "kcal=-450", ""),
        ("no more than 450 kcal", "kcal=-450", ""),
        ("max. 450 kcal a portion", "kcal=-450", ""),
        ("under 2000 kJ", "kcal=-478", ""),
        ("over 2000 kJ", "kcal=479-", ""),
        ("under 1,500 kJ", "kcal=-358", ""),
        ("protein over 30 g", "protein=30-", ""),
        ("protein: 30 g, fibre 8.5 g", "fibre=8.5- protein=30-", ""),
        ("30+ g protein", "protein=30-", ""),
        ("less than 10 g fat and 1,5 g salt", "fat=-10 salt=-1.5", ""),
        ("10 g protein in 100 kcal", "ratio=10-", ""),
        ("under 20 min", "total=-20", ""),
        ("20-minute lunch", "meal=lunch total=-20", ""),
        ("10 min work", "hands_on=-10", ""),
        ("under 1 h 30 min", "total=-90", ""),
        ("ginger cake under 1.5 hours", "total=-90", "ginger cake"),
        ("without milk or eggs", "without=eggs without=milk", ""),
        ("no milk, eggs or fish", "without=eggs without=fish without=milk", ""),
        ("no milk, eggs, lunch", "meal=lunch without=eggs without=milk", ""),
        ("no milk/eggs", "without=eggs without=milk", ""),
        ("no dairy", "without=milk", ""),
        ("no nuts", "without=nuts without=peanuts", ""),
        ("without tree nuts", "without=nuts", ""),
        ("no brazil nuts", "without=brazil nut", ""),
        ("no shellfish", "without=crustaceans without=molluscs", ""),
        ("no sesame seeds", "without=sesame", ""),
        ("milk-free, gluten free", "without=gluten without=milk", ""),
        ("nut-free snacks", "meal=snack without=nuts without=peanuts", ""),
        ("leave out soya", "without=soybeans", ""),
        ("no milk lunch", "meal=lunch without=milk", ""),
        ("soup with no milk and barley flakes", "without=milk", "soup with no barley flakes"),
        ("vegan dinner under 500 kcal", "diet=vegan kcal=-500 meal=dinner", ""),
        ("vegan", "diet=vegan", ""),
        ("no pork", "diet=no pork", ""),
        ("lunch or dinner, no fish", "meal=lunch+dinner without=fish", ""),
        ("lunch box, no fish", "without=fish", "lunch box"),
    ],
)
def test_what_is_understood(reader: Reader, text: str, conditions: str, rest: str) -> None:
    reader.open("en")
    assert reader.read(text) == (conditions, rest)
    assert reader.read(reader.read(text)[1])[0] == "", "what is left says nothing more when it is read again"


@pytest.mark.parametrize(
    "text",
    [
        "milk",
        "barley squash",
        "lunch",
        "chicken soup",
        "no onion",
        "no milk chocolate",
        "without egg noodles",
        "no fish sauce",
        "not gluten free",
        "no 450 kcal",
        "under 450",
        "energy under 450",
        "30 g",
        "30 g chicken",
        "60 g carbs",
        "30 g protein per 100 g",
        "1 200 kJ",
        "2 eggs",
        "no breakfast",
        "no",
        "without",
        "",
        ", ;",
    ],
)
def test_what_stays_words_as_it_was_typed(reader: Reader, text: str) -> None:
    reader.open("en")
    assert reader.read(text) == ("", text)


@pytest.mark.parametrize(
    ("text", "left_out", "rest"),
    [
        ("no milk or onion", "without=milk", "no onion"),
        ("no onion or milk", "without=milk", "no onion"),
        ("without milk, onion and eggs", "without=eggs without=milk", "without onion"),
        ("no milk, no onion", "without=milk", "no onion"),
        ("no milk, onion", "without=milk", "onion"),
    ],
)
def test_what_cannot_be_left_out_keeps_its_no(reader: Reader, text: str, left_out: str, rest: str) -> None:
    """The page says of words with a "no" that they leave nothing out."""
    reader.open("en")
    assert reader.read(text) == (left_out, rest)


def test_only_what_the_rule_set_lists_is_left_out(reader: Reader) -> None:
    """FALCPA and the FASTER Act list neither celery nor molluscs: "shellfish" would promise more than is known."""
    reader.open("en", "us")
    assert reader.read("no milk") == ("without=milk", "")
    for text in ("no celery", "no molluscs", "no shellfish", "no sulphites"):
        assert reader.read(text) == ("", text)
    reader.open("en", "eu")
    assert reader.read("no celery")[0] == "without=celery"


@pytest.mark.parametrize(
    ("code", "text", "conditions", "rest"),
    [
        ("de", "Mittagessen unter 450 kcal, 30 g Eiweiß", "kcal=-450 meal=lunch protein=30-", ""),
        ("de", "ohne Milch und Eier, höchstens 20 Minuten", "total=-20 without=eggs without=milk", ""),
        ("de", "hochstens 2,5 g Salz", "salt=-2.5", ""),
        ("de", "unter 1.500 kJ", "kcal=-358", ""),
        ("de", "zwischen 300 und 450 kcal", "kcal=300-450", ""),
        ("de", "milchfrei und nussfrei", "without=milk without=nuts without=peanuts", ""),
        ("de", "keine Haselnüsse", "without=hazelnut", ""),
        ("de", "keine Zwiebeln", "", "keine Zwiebeln"),
        ("de", "ohne Milchschokolade", "", "ohne Milchschokolade"),
        ("de", "vegetarisches Abendessen", "diet=vegetarian meal=dinner", ""),
        ("af", "middagete onder 450 kcal, 30 g proteïen", "kcal=-450 meal=lunch protein=30-", ""),
        ("af", "geen melk nie, 20 min", "total=-20 without=milk", ""),
        ("af", "sonder eiers of vis, minder as 1 uur", "total=-60 without=eggs without=fish", ""),
        ("af", "glutenvry, minstens 8,5 g vesel", "fibre=8.5- without=gluten", ""),
        ("af", "nie meer as 450 kcal nie", "kcal=-450", ""),
        ("af", "geen ui", "", "geen ui"),
        ("af", "geen neute nie", "without=nuts without=peanuts", ""),
    ],
)
def test_every_language_is_understood(reader: Reader, code: str, text: str, conditions: str, rest: str) -> None:
    reader.open(code)
    assert reader.read(text) == (conditions, rest)


@pytest.mark.parametrize(
    ("typed", "conditions", "rest", "held"),
    [
        ("soup und", "", "soup", "und"),
        ("soup under", "", "soup", "under"),
        ("soup under 4", "", "soup", "under 4"),
        ("soup under 450 k", "", "soup", "under 450 k"),
        ("soup under 450 kcal", "kcal=-450", "soup", ""),
        ("30 g prot", "", "", "30 g prot"),
        ("30 g chi", "", "30 g chi", ""),
        ("no", "", "", "no"),
        ("no m", "", "", "no m"),
        ("no mu", "", "", "no mu"),
        ("noo", "", "noo", ""),
        ("no onion", "", "no onion", ""),
        ("no milk o", "without=milk", "", "o"),
        ("no milk or eg", "without=milk", "", "eg"),
        ("no milk choc", "without=milk", "", "choc"),
        ("no milk chocolate ", "", "no milk chocolate ", ""),
        ("protein", "", "protein", ""),
        ("barley", "", "barley", ""),
    ],
)
def test_an_unfinished_end_waits(reader: Reader, typed: str, conditions: str, rest: str, held: str) -> None:
    """While a phrase is on its way it is neither searched as words nor taken for a condition."""
    reader.open("en")
    got = reader.ask(text=typed, typing=True)
    assert (*reader.read(typed, typing=True), got["held"]) == (conditions, rest, held)


def test_figures_that_are_not_understood_are_told(reader: Reader) -> None:
    reader.open("en")
    for text, unread in (("60 g carbs", True), ("under 450", True), ("2 eggs", False), ("under 450 kcal", False)):
        assert reader.ask(text=text)["unread"] is unread, text


def test_no_text_is_too_odd_to_be_read(reader: Reader) -> None:
    """Any order of phrases, pieces of them and signs gives conditions once, and words that give no further ones."""
    pieces = "no without milk eggs nuts , or and with under over 450 kcal 30 g protein".split()
    pieces += "free - / lunch vegan onion min <".split()
    chance = random.Random(5)
    reader.open("en")
    for _ in range(1500):
        text = " ".join(chance.choices(pieces, k=chance.randint(1, 9)))
        for typing in (False, True):
            got = reader.ask(text=text, typing=typing)
            names = [(one["kind"], one["name"]) for one in got["conditions"] if one["kind"] != "range"]
            assert len(names) == len(set(names)), text
            assert set(got["rest"].replace(",", " ").split()) <= set(text.split()) - {","}, text
        left = reader.ask(text=text)["rest"]
        again = reader.ask(text=left)
        assert again["conditions"] == [], f"{text!r} left {left!r}"
