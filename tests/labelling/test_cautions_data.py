"""The shipped cautions as data: whole, well formed, in words and kinds that exist."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.labelling.allergen_make import page_of
from tests.labelling.caution_make import fig, shown

from gramwright.labelling import allergen_rules, cautions
from gramwright.labelling.caution_rules import caution_rules
from gramwright.labelling.kinds import kinds_table
from gramwright.labelling.shipped_data import read_yaml
from gramwright.model import Settings
from gramwright.resources import content

FILES = sorted(path.name for path in (content() / "cautions").glob("*.yaml"))
CONCERNS = ("illness", "people", "keeping")
RAW = [entry for name in FILES for entry in read_yaml(f"cautions/{name}")["cautions"]]


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
    assert ("concern" in entry) == (entry.get("scope", "page") == "page")


def test_a_page_shows_cautions_by_concern_and_then_as_the_files_have_them() -> None:
    by_concern = {concern: [e["id"] for e in RAW if e.get("concern") == concern] for concern in CONCERNS}
    assert all(by_concern.values())
    assert list(cautions.known_ids()) == [name for concern in CONCERNS for name in by_concern[concern]]


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
