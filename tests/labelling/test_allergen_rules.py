"""The lists of the laws, held against the laws. Each check names its source."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from tests.labelling.allergen_make import SETTINGS, TODAY, food, row_of, said

from gramwright.labelling import allergen_rules, allergens
from gramwright.labelling.shipped_data import in_language, read_yaml
from gramwright.model import Presence
from gramwright.reading import vocabulary

NUTS_OF_ANNEX_II = ("almond", "hazelnut", "walnut", "cashew", "pecan", "brazil nut", "pistachio", "macadamia")

ANNEX_II = {
    1: ("wheat", "spelt", "khorasan", "rye", "barley", "oats"),
    2: ("crustaceans",),
    3: ("eggs",),
    4: ("fish",),
    5: ("peanuts",),
    6: ("soybeans",),
    7: ("milk",),
    8: NUTS_OF_ANNEX_II,
    9: ("celery",),
    10: ("mustard",),
    11: ("sesame",),
    12: ("sulphites",),
    13: ("lupin",),
    14: ("molluscs",),
}
"""Regulation (EU) No 1169/2011, Annex II: the fourteen entries in order; 1 and 8 name their members."""

ANNEX_II_EXCEPTIONS = {
    "1(a)": {"wheat-glucose-syrup"},
    "1(b)": {"wheat-maltodextrin"},
    "1(c)": {"barley-glucose-syrup"},
    "1(d)": {"cereal-distillate"},
    "4(a)": {"fish-gelatine-carrier"},
    "4(b)": {"fish-fining"},
    "6(a)": {"soybean-oil-refined"},
    "6(b)": {"soy-tocopherols"},
    "6(c)": {"soy-phytosterols"},
    "6(d)": {"soy-stanol-ester"},
    "7(a)": {"whey-distillate"},
    "7(b)": {"lactitol"},
    "8": {"nut-distillate"},
}
"""Regulation (EU) No 1169/2011, Annex II: every exception by its letter; entries 2, 3, 5 and 9 to 14 have none."""

US_MAJOR = {"milk", "eggs", "fish", "crustaceans", "wheat", "peanuts", "soybeans", "sesame"}
"""21 U.S.C. 321(qq)(1) without the tree nuts, with sesame (Public Law 117-11, section 2)."""

US_TREE_NUTS = {"almond", "brazil nut", "cashew", "hazelnut", "macadamia", "pecan", "pine nut", "pistachio", "walnut"}
"""FDA, Questions and Answers Regarding Food Allergens, edition 5 (2025), Table 1; walnuts as one (secondary copy)."""

ANZ_NAMES = {
    "wheat": "wheat",
    "barley": "barley",
    "oats": "oats",
    "rye": "rye",
    "almond": "almond",
    "brazil nut": "Brazil nut",
    "cashew": "cashew",
    "hazelnut": "hazelnut",
    "macadamia": "macadamia",
    "pecan": "pecan",
    "pine nut": "pine nut",
    "pistachio": "pistachio",
    "walnut": "walnut",
    "crustaceans": "crustacean",
    "eggs": "egg",
    "fish": "fish",
    "lupin": "lupin",
    "milk": "milk",
    "molluscs": "mollusc",
    "peanuts": "peanut",
    "sesame": "sesame",
    "soybeans": "soy",
    "sulphites": "sulphites",
}
"""Food Standards Code, Schedule 9, section S9-3, names for the statement of ingredients (partly from memory)."""

CODEX_OLDER = {
    "wheat",
    "rye",
    "barley",
    "oats",
    "spelt",
    "crustaceans",
    "eggs",
    "fish",
    "peanuts",
    "soybeans",
    "milk",
    "sulphites",
}
"""CXS 1-1985, section 4.2.1.4, before the revision; 'tree nuts' apart."""

ZA_COMMON = {
    "eggs",
    "milk",
    "crustaceans",
    "molluscs",
    "fish",
    "peanuts",
    "soybeans",
    "wheat",
    "rye",
    "barley",
    "oats",
}
"""R146 of 1 March 2010, definition of common allergens; 'tree nuts' apart (a consultancy's summary)."""


def ids(rules: str) -> tuple[str, ...]:
    return tuple(entry.id for entry in allergen_rules.load(rules).listed)


# ---------------------------------------------------------------- European Union and United Kingdom


@pytest.mark.parametrize("rules", ["eu", "uk"])
def test_annex_ii_in_its_order(rules: str) -> None:
    assert ids(rules) == tuple(name for entry in ANNEX_II.values() for name in entry)


def test_annex_ii_entries_have_their_numbers() -> None:
    numbers = {entry["id"]: entry["entry"] for entry in read_yaml("allergens/rules/eu.yaml")["allergens"]}
    assert numbers == {name: number for number, names in ANNEX_II.items() for name in names}


def test_annex_ii_closes_its_list_of_nuts() -> None:
    """Pine nuts, chestnuts and coconut are not on it."""
    listed = set(ids("eu"))
    assert "pine nut" not in listed
    assert "coconut" not in listed
    found = allergens.findings([row_of(food("pine kernels", said(["pine nut", "coconut"])))], "eu", SETTINGS, TODAY)
    assert found.listed(Presence.CONTAINS) == ()


def test_cereals_and_nuts_are_named_themselves() -> None:
    """Regulation (EU) No 1169/2011, Annex II, 1 and 8; FSAI, food allergens: 'wheat', not 'gluten'."""
    loaf = row_of(food("loaf", said(["wheat", "rye", "walnut"])))
    found = allergens.findings([loaf], "eu", SETTINGS, TODAY)
    assert [found.words[name] for name in found.listed(Presence.CONTAINS)] == ["wheat", "rye", "walnuts"]


@pytest.mark.parametrize("rules", ["eu", "uk"])
def test_every_exception_of_annex_ii_and_no_other(rules: str) -> None:
    found: dict[str, set[str]] = {}
    for exception in allergen_rules.exceptions().values():
        if rules in exception.laws:
            letter = re.search(r"Annex II, (\S+)$", exception.laws[rules])
            assert letter is not None
            found.setdefault(letter[1], set()).add(exception.id)
    assert found == ANNEX_II_EXCEPTIONS


def test_an_exception_is_about_its_entry() -> None:
    for letter, names in ANNEX_II_EXCEPTIONS.items():
        entry = ANNEX_II[int(letter.split("(")[0])]
        for name in names:
            assert allergen_rules.exceptions()[name].allergens <= set(entry)
    assert allergen_rules.exceptions()["cereal-distillate"].allergens == set(ANNEX_II[1])
    assert allergen_rules.exceptions()["nut-distillate"].allergens == set(ANNEX_II[8])


@pytest.mark.parametrize("name", sorted(name for names in ANNEX_II_EXCEPTIONS.values() for name in names))
def test_each_exception_takes_off_what_it_is_about(name: str) -> None:
    exception = allergen_rules.exceptions()[name]
    found = allergens.findings([row_of(food("thing", said(exceptions=[name])))], "eu", SETTINGS, TODAY)
    assert set(found.states.values()) == {Presence.NOT_RECORDED}
    assert found.excepted[0].allergens == tuple(sorted(exception.allergens))
    assert found.excepted[0].text == exception.text("en")


# ---------------------------------------------------------------- United States


def test_us_major_food_allergens() -> None:
    assert set(ids("us")) == US_MAJOR | US_TREE_NUTS


def test_us_leaves_out_what_european_law_lists() -> None:
    """21 U.S.C. 321(qq) has no molluscs, mustard, celery, lupin, sulphites, and of the gluten cereals only wheat."""
    outside = {"molluscs", "mustard", "celery", "lupin", "sulphites", "rye", "barley", "oats", "coconut"}
    assert not outside & set(ids("us"))


def test_us_names_are_the_statutes() -> None:
    """21 U.S.C. 321(qq)(1): milk, egg, fish, Crustacean shellfish, wheat, peanuts, soybeans, sesame."""
    rules = allergen_rules.load("us").by_id
    names = [rules[each].name("en") for each in ("milk", "eggs", "fish", "crustaceans", "wheat", "peanuts", "soybeans")]
    assert names == ["milk", "egg", "fish", "crustacean shellfish", "wheat", "peanuts", "soybeans"]


def test_us_nuts_are_named_by_kind() -> None:
    """21 U.S.C. 343(w)(2): in the case of a tree nut, the name of the specific type of nut."""
    listed = {entry.id: entry for entry in allergen_rules.load("us").listed}
    assert {each for each, entry in listed.items() if entry.law_class == "tree nuts"} == US_TREE_NUTS


def test_highly_refined_oils_are_off_the_us_list() -> None:
    """21 U.S.C. 321(qq)(2)(A)."""
    oils = {name for name, each in allergen_rules.exceptions().items() if "us" in each.laws}
    assert oils == {"soybean-oil-refined", "peanut-oil-highly-refined"}


# ---------------------------------------------------------------- Australia and New Zealand, South Africa, Codex


def test_schedule_9_names() -> None:
    rules = allergen_rules.load("anz")
    assert {entry.id: entry.name("en") for entry in rules.listed} == ANZ_NAMES


@pytest.mark.parametrize(
    ("cereal", "summary"),
    [("wheat", ("wheat", "gluten")), ("barley", ("gluten",)), ("oats", ("gluten",)), ("rye", ("gluten",))],
)
def test_schedule_9_summary_names_of_cereals(cereal: str, summary: tuple[str, ...]) -> None:
    """Food Standards Code, Schedule 9, section S9-3: wheat -> wheat and gluten; barley, oats, rye -> gluten."""
    found = allergens.findings([row_of(food("meal", said([cereal])))], "anz", SETTINGS, TODAY)
    assert allergens.summary(found, "anz") == summary


def test_south_africas_common_allergens() -> None:
    assert set(ids("za")) - US_TREE_NUTS == ZA_COMMON
    assert "sesame" not in ids("za")


def test_codex() -> None:
    assert set(ids("codex")) - US_TREE_NUTS == CODEX_OLDER | {"sesame"}
    assert set(NUTS_OF_ANNEX_II) <= set(ids("codex"))


def test_the_same_food_has_different_words_under_each_law() -> None:
    tahini_prawns = [row_of(food("prawns in sesame", said(["crustaceans", "sesame", "soybeans", "molluscs"])))]
    words = {
        rules: [found.words[each] for each in found.listed(Presence.CONTAINS)]
        for rules in ("eu", "us", "anz", "za", "codex")
        for found in (allergens.findings(tahini_prawns, rules, SETTINGS, TODAY),)
    }
    assert words == {
        "eu": ["crustaceans", "soybeans", "sesame seeds", "molluscs"],
        "us": ["crustacean shellfish", "soybeans", "sesame"],
        "anz": ["crustacean", "mollusc", "sesame", "soy"],
        "za": ["crustaceans", "molluscs", "soybeans"],
        "codex": ["crustacea", "soybeans", "sesame"],
    }


# ---------------------------------------------------------------- the data itself


@pytest.mark.parametrize("rules", allergen_rules.available())
def test_every_list_is_well_formed(rules: str) -> None:
    loaded = allergen_rules.load(rules)
    words = vocabulary.load()
    covered = [member for entry in loaded.listed for member in entry.covers]
    assert len(covered) == len(set(covered))
    assert set(covered) <= set(words.allergens)
    assert {entry.id for entry in loaded.generic} <= set(words.generics)
    assert not any(entry.generic for entry in loaded.listed)
    assert all(entry.id in entry.covers for entry in loaded.listed)
    for entry in loaded.order:
        assert set(entry.names) == {"en", "de", "af"}
        assert all(entry.names.values())
    for text in (loaded.title, loaded.law, loaded.checked, loaded.naming, loaded.shares_law):
        assert text
    assert set(loaded.entry_of.values()) == loaded.all_ids | {entry.id for entry in loaded.generic}


@pytest.mark.parametrize("rules", allergen_rules.available())
def test_a_generic_name_stands_for_the_groups_members_that_the_law_lists(rules: str) -> None:
    loaded = allergen_rules.load(rules)
    group = allergen_rules.vocabulary().group
    for generic in loaded.generic:
        of = allergen_rules.vocabulary().generic[generic.id]
        assert generic.generic
        assert generic.covers == {each for entry in loaded.listed for each in entry.covers if group[each] == of}
        assert generic.covers


def test_every_exception_is_well_formed() -> None:
    known = set(vocabulary.load().allergens)
    for exception in allergen_rules.exceptions().values():
        assert exception.allergens
        assert exception.allergens <= known
        assert exception.laws.keys() <= set(allergen_rules.available())
        assert set(exception.texts) == {"en", "de", "af"}
        assert exception.checked in {"read", "secondary copy", "from memory"}


def test_the_uk_follows_the_eu_and_says_so_in_its_own_words() -> None:
    uk, eu = allergen_rules.load("uk"), allergen_rules.load("eu")
    assert uk.listed == eu.listed
    assert uk.title != eu.title
    assert "UK" in uk.law
    assert uk.id == "uk"


def test_shares_are_wanted_by_all_but_the_us() -> None:
    assert {rules for rules in allergen_rules.available() if not allergen_rules.load(rules).shares} == {"us"}


def test_what_counts_as_naming_an_allergen() -> None:
    refers = allergen_rules.vocabulary().refers
    assert refers["eggs"].search("Egg white, raw")
    assert refers["eggs"].search("three eggs")
    assert not refers["eggs"].search("Eggplant")
    assert not refers["wheat"].search("Buckwheat flour")
    assert refers["wheat"].search("Bulgur WHEAT")
    assert refers["soybeans"].search("soy sauce")
    assert refers["molluscs"].search("mollusc")
    assert refers["brazil nut"].search("Brazil nuts")
    assert not refers["milk"].search("Whey powder")
    assert not refers["peanuts"].search("Groundnut oil")
    assert not refers["celery"].search("Celeriac")
    assert refers["nuts"].search("mixed nuts")
    assert not refers["nuts"].search("nutmeg")


def test_texts_fall_back_to_english() -> None:
    texts = {"en": "milk", "de": "Milch"}
    assert [in_language(texts, each) for each in ("en", "de", "de-CH", "af")] == ["milk", "Milch", "Milch", "milk"]


# ---------------------------------------------------------------- what is said of a law


def test_a_law_is_told_of_in_a_language_and_in_english_where_it_has_none() -> None:
    eu, uk, za = (allergen_rules.load(name) for name in ("eu", "uk", "za"))
    for key in ("title", "law", "checked", "naming", "shares"):
        texts = {language: eu.text(key, language) for language in ("en", "de", "af")}
        assert len(set(texts.values())) == 3, key
        assert eu.text(key, "de-AT") == texts["de"]
        assert eu.text(key, "fr") == eu.text(key, "fr-CA") == texts["en"]
        assert all(text == " ".join(text.split()) and " " in text for text in texts.values()), "lines are joined"
    assert (eu.text("title", "en"), eu.text("law", "en")) == (eu.title, eu.law)
    assert eu.text("shares", "en") == eu.shares_law
    assert za.text("law", "en") == za.law != eu.law
    # A law that follows another says what differs itself, and the rest as the other does.
    assert uk.text("law", "de") != eu.text("law", "de")
    assert uk.text("naming", "de") == eu.text("naming", "de")
    assert uk.text("naming", "af") == eu.text("naming", "af")


def test_what_a_language_leaves_out_of_a_law_is_said_in_english() -> None:
    eu = allergen_rules.load("eu")
    gappy = replace(eu, said={"en": {"law": "The law", "title": "the list"}, "de": {"law": "Das Gesetz"}})
    assert gappy.text("law", "de") == "Das Gesetz"
    assert gappy.text("title", "de") == "the list"
