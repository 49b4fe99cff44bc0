"""What a recipe page carries: the data block, the table of single changes, times in the method, facts as CSV."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace

import pytest
from markupsafe import Markup
from tests.demo.demo_read import Demo
from tests.site.cook_by_hand import Table

from gramwright.labelling import rulesets
from gramwright.model import Presence
from gramwright.nutrition.profiles import ProfileShelf
from gramwright.nutrition.variants import options, variant, written
from gramwright.resources import themes
from gramwright.site import facts_csv, words
from gramwright.site.assets import bundles
from gramwright.site.cook.timers import Timers

MOST_DATA = 12_000
MOST_SCRIPT = 30_000


@pytest.fixture(scope="module")
def table(demo: Demo) -> Table:
    return Table(demo.kitchen, rulesets.load("eu"), words.load("en", None))


def test_data_blocks_and_scripts_are_small(demo: Demo, table: Table) -> None:
    for cooked in demo.recipes.values():
        carried = table.bench.carry(cooked.dish, cooked.label, table.words)
        assert len(carried.data.encode()) < MOST_DATA
        assert ("o" in json.loads(carried.data)) is carried.choice
    assert len(bundles(None)["cook.js"].data) < MOST_SCRIPT


def test_nothing_in_a_data_block_ends_its_element(demo: Demo, table: Table) -> None:
    cooked = demo.recipes["first-outing-porridge"]
    rows = [
        replace(item, food=replace(item.food, name="</script><!--", id="<b>")) if item.food else item
        for item in cooked.dish.ingredients
    ]
    dish = replace(cooked.dish, ingredients=tuple(rows))
    assert "<" not in table.bench.carry(dish, cooked.label, table.words).data


def test_the_table_of_changes_is_the_engines(demo: Demo, table: Table) -> None:
    """Every line against the label of that variant."""
    lines = 0
    for cooked in demo.recipes.values():
        found = table.bench.carry(cooked.dish, cooked.label, table.words).changes
        wanted = []
        for at, item in enumerate(cooked.dish.ingredients):
            for option in options(item):
                if option not in (-1, written(item)):
                    wanted.append(table.labelled(variant(cooked.dish, {at: option}, demo.kitchen.books)))
        assert len(found) == len(wanted)
        for line, label in zip(found, wanted, strict=True):
            energy = label.per_portion["ENERC_kcal"]
            assert line.energy.endswith(table.words.number(energy.amount))
            assert line.energy.startswith("at least") is (energy.coverage < 1)
            assert line.protein.endswith(table.words.grams(label.per_portion["PROCNT_g"].amount))
            before, after = cooked.label.allergens, label.allergens
            gained = [
                after.words[name]
                for name, state in after.states.items()
                if state is Presence.CONTAINS and before.states.get(name) is not Presence.CONTAINS
            ]
            assert all(any(word in text for text in line.allergens) for word in gained)
            lines += 1
    assert lines >= 15


def test_a_shelf_gives_every_tag_a_place_of_its_own(demo: Demo) -> None:
    """Asked for a combination before any food: a tag that is weighed and required is one tag."""
    books = demo.kitchen.books
    shelf = ProfileShelf(books.looseness, books.plausible)
    shelf.mix({"PROCNT_g": 4, "FAT_g": 9}, ("PROCNT_g", "FAT_g"))
    assert len(set(shelf.places.values())) == len(shelf.places)


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("fry for 8 minutes.", ["PT8M"]),
        ("bake for 18 to 22 minutes, then rest 5 min", ["PT18M", "PT5M"]),
        ("2–3 hours; 20 seconds a side; 1.5 h", ["PT2H", "PT20S", "PT1.5H"]),
        ("a 10-minute rest", ["PT10M"]),
        ("200 g at 180 °C, 3 mint leaves, 5 minuscule dots, 90 hours", []),
        ('<a href="x">5 minutes</a> <code>7 minutes</code> 9 minutes', ["PT9M"]),
    ],
)
def test_times_in_the_method(text: str, times: list[str]) -> None:
    made = Timers(words.load("en", None)).marked(Markup(text))
    assert [piece.partition('"')[0] for piece in made.split('datetime="')[1:]] == times
    assert made.replace("</time>", "").count("<time") == len(times)
    assert re.sub(r"</?time[^>]*>", "", made) == text


def test_facts_as_a_table_are_facts_json(demo: Demo) -> None:
    for cooked in demo.recipes.values():
        rows = list(csv.DictReader(io.StringIO(facts_csv.encode(cooked.dish, cooked.label).decode(), newline="")))
        figures = cooked.label.per_portion
        assert {row["component"] for row in rows} == set(figures)
        for row in rows:
            assert float(row["per_portion"]) == figures[row["component"]].amount
            assert float(row["per_100g"]) == cooked.label.per_100g[row["component"]].amount
        declared = {line.tag: line.per_portion for line in cooked.label.lines}
        assert all(row["declared_per_portion"] == declared.get(row["component"], "") for row in rows)


def test_the_browsers_code_is_classic_scripts() -> None:
    """No import, no export: the pages work from disk, where browsers refuse modules."""
    for path in (themes() / "galley" / "browser").glob("cook*.js"):
        text = path.read_text(encoding="utf-8")
        assert text.count('"use strict";') == 1
        assert not any(line.startswith(("import ", "export ")) for line in text.splitlines())
