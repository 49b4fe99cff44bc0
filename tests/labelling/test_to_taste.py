"""Salt to taste counts as nothing: salt and sodium are then "at least", in every rule set, and nothing else changes."""

from __future__ import annotations

import csv
import io

import pytest
from tests.labelling.label_make import dish, food, inner_row, label_of, row

from gramwright.labelling import rulesets
from gramwright.labelling.claim_rows import salts
from gramwright.model import Dish, Ingredient, Scale
from gramwright.site import facts_csv, structured
from gramwright.site.cards import card
from gramwright.site.facts import facts

WHOLE = {
    "PROCNT_g": 10.0, "FAT_g": 5.0, "FASAT_g": 1.0, "CHOAVL_g": 40.0, "CHOCDF_g": 44.0, "SUGAR_g": 2.0,
    "FIBTG_g": 4.0, "NA_mg": 320.0, "CLD_mg": 10.0,
}  # fmt: skip
STEW = food("stew", WHOLE)
NOTHING = dict.fromkeys(WHOLE, 0.0)
SALT = food("salt", {**NOTHING, "NA_mg": 38758.0}, group="salt")
"""Table salt: USDA SR28, NDB 02047."""
PEPPER = food("pepper", {**NOTHING, "NA_mg": 20.0}, group="herbs-and-spices")
"""Black pepper: USDA SR28, NDB 02030."""


def taste(item: object, *, optional: bool = False) -> Ingredient:
    return row(item, 0.0, scale=Scale.TASTE, optional=optional)  # type: ignore[arg-type]


def seasoned(*rows: Ingredient) -> Dish:
    return dish([row(STEW, 100), *rows])


@pytest.mark.parametrize(("rule_set", "key"), [("eu", "salt"), ("uk", "salt"), ("us", "sodium"), ("anz", "sodium"),
                                               ("za", "total_sodium"), ("codex", "sodium")])  # fmt: skip
def test_salt_to_taste_makes_salt_at_least(rule_set: str, key: str) -> None:
    plain, _ = label_of(seasoned(), rulesets.load(rule_set))
    salted, _ = label_of(seasoned(taste(SALT)), rulesets.load(rule_set))
    assert {line.key for line in salted.lines if line.at_least} == {
        key, *(line.key for line in plain.lines if line.at_least)
    }  # fmt: skip
    texts = [
        {line.key: (line.per_portion, line.per_100g, line.share) for line in each.lines} for each in (plain, salted)
    ]
    assert texts[0] == texts[1], "the figures stay as recorded"
    assert salted.per_portion["NA_mg"].coverage == 1.0
    assert salted.to_taste == {"NA_mg", "SALT_g", "CLD_mg"}
    assert not plain.to_taste


def test_what_is_as_good_as_salt() -> None:
    """Soy sauce (USDA SR28, NDB 16123: 5493 mg sodium) and stock cubes salt a dish, pepper and miso paste do not."""
    assert salts(food("soy sauce", {"NA_mg": 5493.0}, group="sauces-and-dips"))
    assert salts(food("stock cube", {"NA_mg": 24000.0}, group="stocks"))
    assert salts(food("some salt", {}, group="salt")), "salt whose sodium nobody wrote down is salt"
    assert not salts(PEPPER)
    assert not salts(food("salt substitute", {"NA_mg": 0.0, "K_mg": 50000.0}, group="salt"))
    assert not salts(food("herb", {}, group="herbs-and-spices"))


def test_pepper_and_a_topping_nobody_took_change_nothing() -> None:
    for extra in (taste(PEPPER), taste(SALT, optional=True), row(SALT, 1.0)):
        label, _ = label_of(seasoned(extra))
        assert not label.to_taste
        assert not any(line.at_least for line in label.lines)


def test_salt_to_taste_in_a_recipe_inside() -> None:
    label, _ = label_of(dish([inner_row(seasoned(taste(SALT)), 50.0), row(STEW, 50)]))
    assert [line.key for line in label.lines if line.at_least] == ["salt"]


def test_what_others_read() -> None:
    """facts.json names the figures, cards call salt at least; schema.org's sodiumContent, which cannot, is left out."""
    plain, salted = seasoned(), seasoned(taste(SALT))
    labels = [label_of(each)[0] for each in (plain, salted)]
    data = [facts(each, label) for each, label in zip((plain, salted), labels, strict=True)]
    assert data[1]["to_taste"] == ["NA_mg", "SALT_g", "CLD_mg"]
    assert "to_taste" not in data[0]
    assert data[0]["declared"] == data[1]["declared"]
    assert [card(each, label).incomplete for each, label in zip((plain, salted), labels, strict=True)] == [
        (),
        ("salt_g",),
    ]
    assert "sodiumContent" in structured.nutrition(plain, labels[0])
    assert "sodiumContent" not in structured.nutrition(salted, labels[1])


def test_a_spreadsheet_marks_what_is_at_least() -> None:
    """facts.csv, like facts.json: salt to taste and whatever a row's value is missing of, and nothing else."""
    gappy = food("gappy", {tag: 1.0 for tag in NOTHING if tag != "FIBTG_g"})
    for found, least in (
        (seasoned(), set()),
        (seasoned(taste(SALT)), {"NA_mg", "SALT_g", "CLD_mg"}),
        (seasoned(row(gappy, 10)), {"ENERC_kJ", "ENERC_kcal", "FIBTG_g"}),
    ):
        label, _ = label_of(found)
        lines = list(csv.DictReader(io.StringIO(facts_csv.encode(found, label).decode())))
        assert {line["at_least"] for line in lines} <= {"yes", ""}
        assert {line["component"] for line in lines if line["at_least"]} == least
        assert {tag for tag, known in facts(found, label)["coverage"].items() if known < 1} | label.to_taste == least
