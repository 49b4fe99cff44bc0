"""Languages: every words file whole, and a hub in each of them published without an English word.

What a language says is its own author's; here it is held to be complete, to fill the same slots, and to be used
everywhere. Plural categories: Unicode CLDR plural rules, cardinal numbers, for en, de and af.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from tests.site.language_read import HUBS, texts

from gramwright.cli import main
from gramwright.labelling import allergen_rules, rulesets
from gramwright.labelling.caution_rules import caution_rules
from gramwright.labelling.sentences import available, sentences
from gramwright.labelling.shipped_data import read_yaml
from gramwright.resources import themes
from gramwright.site import assets, plurals, words

SECOND = ("de", "af")
FORMS = {"en": {"one", "other"}, "de": {"one", "other"}, "af": {"one", "other"}}
SLOT = re.compile(r"\{(\w+)\}")

ENGLISH = set(
    """the and with are from which that this known unknown contains recipe recipes food foods energy fibre sugars fat
    weight minutes days fridge freezer oven measured cooked least needed allowed portions recorded none listed below
    above choose page figures made keeps author day added what how where your have does every each""".split()
)
"""Words that neither German nor Afrikaans has ('of', 'is', 'in', 'week', 'was' they do)."""


def flat(language: str) -> dict[str, Any]:
    path = themes() / "galley" / "words" / f"{language}.yaml"
    found: dict[str, Any] = {}
    words._flatten(assets.load_yaml(path), "", found, path)
    return found


def slots(text: str | Mapping[str, str]) -> set[str]:
    return set(SLOT.findall(text if isinstance(text, str) else " ".join(text.values())))


def test_the_theme_speaks_three_languages_and_the_law_room_the_same() -> None:
    assert words.available(None) == {"en", *SECOND}
    assert set(available()) == {"en", *SECOND}
    for language, forms in FORMS.items():
        assert {plurals.category(language, number) for number in range(200)} == set(forms)


@pytest.mark.parametrize("language", SECOND)
def test_a_words_file_has_exactly_the_keys_slots_and_forms_it_needs(language: str) -> None:
    english, own = flat("en"), flat(language)
    assert own.keys() == english.keys()
    for key, text in english.items():
        assert isinstance(own[key], str) == isinstance(text, str), key
        assert slots(own[key]) == slots(text), key
        if not isinstance(text, str):
            assert set(own[key]) == FORMS[language], key
            assert all(own[key].values()), key
        elif text:
            assert own[key], key


@pytest.mark.parametrize("language", SECOND)
def test_a_words_file_is_translated(language: str) -> None:
    """No whole sentence is left as the English says it."""
    english, own = flat("en"), flat(language)
    said = {key: re.findall(r"[^\W\d_]{3,}", SLOT.sub("", str(text))) for key, text in english.items()}
    same = {key for key, text in english.items() if own[key] == text and len(said[key]) > 2}
    assert same == set()


@pytest.mark.parametrize("language", SECOND)
def test_sentences_have_the_same_keys_and_slots(language: str) -> None:
    def whole(node: Any, prefix: str = "") -> Iterator[tuple[str, str]]:
        for key, value in node.items():
            if isinstance(value, dict):
                yield from whole(value, f"{prefix}{key}.")
            else:
                yield f"{prefix}{key}", str(value)

    tables = ("claims.", "nutrients.", "cautions.", "texts.")
    english = dict(whole(read_yaml("labelling/sentences/en.yaml")))
    own = dict(whole(read_yaml(f"labelling/sentences/{language}.yaml")))
    assert {key for key in own if not key.startswith(tables)} == english.keys()
    for key, text in english.items():
        assert slots(own[key]) == slots(text), key
    for text in (each for rules in rulesets.available() for each in _told(rules, "en")):
        assert text in sentences(language).texts, text


def _told(rule_set: str, language: str) -> list[str]:
    """Everything of a rule set that a page says in words: what sources give, how energy is worked out, its notes."""
    rules = rulesets.load(rule_set, language)
    return [*(source.what for source in rules.sources), rules.energy.method, *read_notes(rule_set)]


def read_notes(rule_set: str) -> list[str]:
    return list(read_yaml(f"labelling/{rule_set}.yaml").get("notes", ()))


@pytest.mark.parametrize("language", SECOND)
@pytest.mark.parametrize("rule_set", rulesets.available())
def test_every_claim_has_a_name_and_can_be_asked_for_by_it(rule_set: str, language: str) -> None:
    rules, english = rulesets.load(rule_set, language), rulesets.load(rule_set)
    assert rules.claims.keys() == english.claims.keys()
    for claim in rules.claims.values():
        assert claim.shown != claim.name
        assert "{" not in claim.shown
        assert rules.claim_names[claim.shown.lower().replace("-", " ")] == claim.name
    assert rules.reference == english.reference


@pytest.mark.parametrize("language", SECOND)
def test_shipped_texts_are_there_in_every_language(language: str) -> None:
    for rule in caution_rules():
        assert all(variant.texts.get(language) for variant in rule.variants), rule.id
        if rule.scope == "page":
            assert sentences(language).cautions.get(rule.id), rule.id
    for rule_set in allergen_rules.available():
        law = allergen_rules.load(rule_set)
        assert all(entry.names.get(language) for entry in law.order)
        for key in ("title", "law", "checked", "naming", "shares"):
            assert law.text(key, language) != law.text(key, "en"), (rule_set, key)
    for exception in allergen_rules.exceptions().values():
        assert exception.texts.get(language)
    assert all(aisle.get(language) for aisle in read_yaml("prep/aisles.yaml")["aisles"])


# German names of Article 30 and Annex XV and of Annex II of Regulation (EU) No 1169/2011, German version; from memory.
DE_LINES = {
    "energy": "Brennwert",
    "fat": "Fett",
    "saturates": "gesättigte Fettsäuren",
    "carbohydrate": "Kohlenhydrate",
    "sugars": "Zucker",
    "fibre": "Ballaststoffe",
    "protein": "Eiweiß",
    "salt": "Salz",
    "polyols": "mehrwertige Alkohole",
    "starch": "Stärke",
}


def test_the_german_names_of_the_declaration() -> None:
    german = words.load("de", None)
    assert {key: german(f"lines.{key}") for key in DE_LINES} == DE_LINES
    assert german("declaration.of_which") == "davon"


def test_numbers_dates_and_nouns() -> None:
    german, afrikaans, english = (words.load(language, None) for language in ("de", "af", "en"))
    assert german.number(1654.25, 1) == afrikaans.number(1654.25, 1) == "1\u202f654,3"
    assert english.number(1654.25, 1) == "1\u202f654.3"
    assert [each.date("2026-05-01") for each in (german, afrikaans, english)] == [
        "01.05.2026",
        "2026-05-01",
        "2026-05-01",
    ]
    assert german.date("unknown") == "unknown"
    assert german.inside("Mittagessen") == "Mittagessen"
    assert afrikaans.inside("Middagete") == "middagete"
    assert german("find.count", n=1) == "1 Rezept"
    assert german("find.count", n=0) == "0 Rezepte"
    assert afrikaans("recipe.portions", n=1.5) == "1,5 porsies"


@pytest.mark.parametrize(
    ("caution", "name", "kind", "state"),
    [
        ("dried-beans", "kidneybohnen, getrocknet", "plant", "dry"),
        ("dried-beans", "nierbone, droog", "plant", "dried"),
        ("rice", "basmatireis, roh", "plant", "dry"),
        ("rice", "bruinrys", "plant", "raw"),
        ("mercury-fish", "schwertfisch, roh", "fish", "raw"),
        ("liquorice", "lakritze", "plant", "ready"),
        ("liver-pregnancy", "leberwurst", "pork", "ready"),
        ("liver-pregnancy", "lewer van lam", "lamb", "raw"),
        ("polyols-amount-unknown", "birkenzucker", "synthetic", "ready"),
        ("caffeine-amount-unknown", "kaffee, gebrüht", "plant", "ready"),
        ("raw-egg", "ei, roh", "egg", "raw"),
    ],
)
def test_cautions_know_foods_by_their_german_and_afrikaans_names(
    caution: str, name: str, kind: str, state: str
) -> None:
    rule = next(rule for rule in caution_rules() if rule.id == caution)
    matchers = [matcher for condition in rule.when for matcher in condition.foods]
    assert any(matcher.fits(name, frozenset({kind}), "", state, frozenset()) for matcher in matchers)


# ---------------------------------------------------------------- a hub in each language


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    made = {}
    for language in SECOND:
        hub = tmp_path_factory.mktemp("hubs") / language
        shutil.copytree(HUBS / language, hub)
        assert main(["publish", str(hub), "--out", str(hub / "out")]) == 0
        made[language] = hub / "out"
    return made


def pages(folder: Path) -> list[Path]:
    found = sorted(folder.rglob("*.html"))
    assert len(found) > 25
    return found


@pytest.mark.parametrize("language", SECOND)
def test_every_page_says_its_language(published: dict[str, Path], language: str) -> None:
    for page in pages(published[language]):
        assert f'<html lang="{language}"' in page.read_text(), page
    assert f'xml:lang="{language}"' in (published[language] / "feed.xml").read_text()
    assert json.loads((published[language] / "manifest.webmanifest").read_text())["lang"] == language


def cites() -> list[str]:
    """What is cited by the title that its publisher gave it."""
    every = [rulesets.load(rules) for rules in rulesets.available()]
    found = {source.cite for rules in every for source in rules.sources} | {
        part for rules in every for part in (rules.law, rules.law.partition(",")[0])
    }
    found |= {variant.cited for rule in caution_rules() for variant in rule.variants}
    return sorted({part for cite in found for part in (cite, cite.partition(" (")[0])}, key=len, reverse=True)


def foreign(text: str) -> set[str]:
    for cite in cites():
        text = text.replace(cite, "")
    return set(re.findall(r"[^\W\d_]+", text.lower())) & ENGLISH


@pytest.mark.parametrize("language", SECOND)
def test_no_page_has_an_english_word(published: dict[str, Path], language: str) -> None:
    """What is cited in English says so by its lang attribute, or is a title."""
    spoken = 0
    for page in pages(published[language]):
        for text, lang in texts(page.read_text()):
            if lang == language:
                spoken += 1
                assert not foreign(text), (page, text)
    assert spoken > 3000


@pytest.mark.parametrize("language", SECOND)
def test_no_word_of_a_script_is_english(published: dict[str, Path], language: str) -> None:
    """The scripts take their words from the files beside the page: what they say, the law's names, cautions, claims."""
    assets_folder = published[language] / "assets"
    data = {name: _data(next(assets_folder.glob(f"{name}.*.js"))) for name in ("cook-words", "cook-rules")}
    said = _strings(data["cook-words"]["texts"])
    rules = data["cook-rules"]
    said += _strings(rules["say"]["rows"])
    said += [rules["say"]["of"], *rules["about"], *(name for _, name, _ in rules["allergens"])]
    said += [each[key] for each in rules["cautions"] for key in ("name", "text")]
    said += [claim["shown"] for claim in rules["claims"]]
    said += [text for claim in rules["claims"] for case in claim["cases"] for c in case[0] for text in c[-3:]]
    assert len(said) > 500
    for text in said:
        assert not foreign(SLOT.sub("", text)), text
    assert not any(each["lang"] for each in rules["cautions"])
    assert rules["say"]["lang"] == ""


def _data(path: Path) -> Any:
    return json.loads(path.read_text().partition(" = ")[2].rstrip(";\n"))


def _strings(node: Any) -> list[str]:
    if isinstance(node, str):
        return [node]
    return [text for value in node.values() for text in _strings(value)]


@pytest.mark.parametrize("language", SECOND)
def test_numbers_have_a_decimal_comma(published: dict[str, Path], language: str) -> None:
    commas = 0
    for page in pages(published[language]):
        for text, lang in texts(page.read_text()):
            if lang != language:
                continue
            for cite in cites():
                text = text.replace(cite, "")
            text = re.sub(r"\d\d\.\d\d\.\d{4}", "", text)
            assert not re.search(r"\d\.\d", text), (page, text)
            commas += len(re.findall(r"\d,\d", text))
    assert commas > 100


@pytest.mark.parametrize("language", SECOND)
def test_files_beside_the_pages(published: dict[str, Path], language: str) -> None:
    """The feeds, the shopping list as text, and the calendar."""
    out = published[language]
    for path in (out / "feed.xml", out / "corrections.xml", *out.rglob("plans/*/*.txt")):
        text = re.sub(r"<[^>]*>", " ", path.read_text())
        text = re.sub(r"https?://\S+", "", text)
        assert not foreign(text), path
    assert words.load(language, None)("feed.title", site="").strip(": ") in (out / "feed.xml").read_text()


def test_what_a_reader_is_told_in_german(published: dict[str, Path]) -> None:
    page = (published["de"] / "recipes/linsensuppe/index.html").read_text()
    said = " ".join(text for text, _ in texts(page))
    for text in (
        "hoher Ballaststoffgehalt",
        "3,4 g Ballaststoffe je 100 kcal; nötig sind 3 g",
        "nach diesen Zahlen etwa 2,5 g je Portion",
        "hält es 3 Tage im Kühlschrank",
        "Schwefeldioxid und Sulfite",
        "davon gesättigte Fettsäuren",
        "8 bis 10 Minuten",
    ):
        assert text in said.replace("\u202f", " "), text
    assert 'datetime="PT8M"' in page
    assert "rohes Ei: diesen Hinweis" in (published["de"] / "recipes/honigbrot/index.html").read_text()


# ---------------------------------------------------------------- a language that nobody has written yet


def test_where_a_language_is_missing_english_stands_in_and_says_so(tmp_path: Path) -> None:
    hub = tmp_path / "hub"
    shutil.copytree(HUBS / "de", hub)
    settings = (hub / "hub.yaml").read_text().replace("language: de", "language: nl")
    (hub / "hub.yaml").write_text(settings)
    (hub / "theme/words").mkdir(parents=True)
    (hub / "theme/words/nl.yaml").write_text("language: Nederlands\n")
    recipe = hub / "recipes/linsensuppe.md"
    recipe.write_text(recipe.read_text().replace("hoher Ballaststoffgehalt", "high fibre"))
    assert main(["publish", str(hub), "--out", str(hub / "out")]) == 0
    page = (hub / "out/recipes/linsensuppe/index.html").read_text()
    assert '<html lang="nl"' in page
    told = dict(texts(page))
    assert told["high fibre"] == "en"
    assert next(lang for text, lang in told.items() if text.startswith("Made with alcohol")) == "en"
    rules = _data(next((hub / "out/assets").glob("cook-rules.*.js")))
    assert {each["lang"] for each in rules["cautions"]} == {"en"}
    assert rules["say"]["lang"] == "en"
