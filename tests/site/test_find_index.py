"""The packed index comes back as it went in, run by Node: titles, figures, words; damaged it shows nothing."""

from __future__ import annotations

import random
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from tests.site.find_asked import SCRIPTS, Finder
from tests.site.find_by_hand import FIELDS, shown
from tests.site.made_cards import ALLERGENS, made_cards

from gramwright.site import search
from gramwright.site.search.fold import language, words

pytestmark = pytest.mark.long


def test_titles_and_slugs_come_back(finder: Finder) -> None:
    assert finder.ask(recipes=True) == [{"title": " ".join(c.title.split()), "slug": c.slug} for c in finder.cards]


@pytest.mark.parametrize("name", FIELDS)
def test_figures_come_back_as_shown(finder: Finder, name: str) -> None:
    per = 100 if name == "salt" else 1 if name in ("kcal", "hands_on", "total") else 10
    column = finder.ask(column=name)
    wanted = [shown(card, name) for card in finder.cards]
    assert column["values"] == [-1 if value is None else value * per for value in wanted]
    assert column["least"] == [FIELDS[name] in card.incomplete for card in finder.cards]


def test_the_same_words_are_folded_alike(finder: Finder) -> None:
    stem = language("en").stem
    texts = {text for card in finder.cards for text in (card.title, *card.ingredients)}
    for text in [*sorted(texts)[::7], "Straße Œuf ŁÓDŹ İzmir ΣΊΣΥΦΟΣ", "ﬁg ½ ² Ⅷ", "पनीर टिक्का", "👩‍🍳 soup"]:
        folded = list(words(text))
        assert finder.ask(fold=text) == {"words": folded, "stems": [stem(word) for word in folded]}


def test_the_same_cards_give_the_same_bytes_in_any_order() -> None:
    cards = made_cards(120)
    files = search.build(cards, ALLERGENS)
    random.Random(3).shuffle(cards)
    assert search.build(cards, ALLERGENS) == files


def test_a_name_changes_with_the_content_and_only_then() -> None:
    cards = made_cards(40)
    files = search.build(cards, ALLERGENS)
    changed = [replace(cards[0], summary="Something else."), *cards[1:]]
    other = search.build(changed, ALLERGENS)
    names, other_names = search.names(files), search.names(other)
    assert names.columns == other_names.columns
    assert names.words == other_names.words
    assert {p for p in files if "lines" in p}.isdisjoint(p for p in other if "lines" in p)


def test_no_recipes_and_one_recipe_work(tmp_path: Path) -> None:
    for cards in ([], made_cards(1)):
        small = Finder(cards, tmp_path)
        try:
            result = small.ask(search="?sort=protein", drawn=["kcal"])
            assert result["total"] == len(cards)
            assert small.ask(search="?q=soup&kcal=0-9999")["total"] <= len(cards)
        finally:
            small.close()


def test_damaged_columns_show_nothing(tmp_path: Path) -> None:
    """A column that lost a digit throws before anything can be asked."""
    cards = made_cards(50)
    files = search.build(cards, ALLERGENS)
    name = search.names(files).columns
    text = files[name].decode()
    at = text.index('"kcal":') + 9
    (tmp_path / "columns.js").write_text(text[:at] + text[at + 1 :], encoding="utf-8")
    code = "find.unpacked.open(find.columns)"
    node = shutil.which("node")
    assert node
    script = tmp_path / "try.cjs"
    script.write_text(
        "const {readFileSync}=require('fs');const {runInThisContext}=require('vm');"
        "for(const f of process.argv.slice(2))runInThisContext(readFileSync(f,'utf8'));"
        f"const find=globalThis.GramwrightFind;{code}",
        encoding="utf-8",
    )
    command = [node, str(script), *map(str, SCRIPTS), str(tmp_path / "columns.js")]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode != 0
    assert "the index is damaged" in ran.stderr
