"""Recipes that only a swap makes fit, by the browser's finding code run by Node, against every way of swapping tried.

They are never among those found; they are counted, and stand after the others where the reader asks for them.
"""

from __future__ import annotations

import json
import random
import shutil
import subprocess
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from tests.site.find_asked import SCRIPTS, Finder, address, random_asked
from tests.site.find_by_hand import Asked, failures
from tests.site.made_cards import ALLERGENS, made_cards

from gramwright.labelling.allergen_swaps import NO_SWAPS, Swaps, Told
from gramwright.site import search
from gramwright.site.cards import Card

pytestmark = pytest.mark.long


def some_way_without(card: Card, names: tuple[str, ...]) -> bool:
    """Whether some choice of its rows has nothing of what is left out."""
    ids = set(names)
    for choice in ALLERGENS:
        if choice.id in names:
            ids.update(choice.members)
    ways = product(*card.swaps.rows)
    return card.swaps.frees and any(ids.isdisjoint({*card.swaps.fixed, *(n for w in way for n in w)}) for way in ways)


def by_hand(finder: Finder, asked: Asked) -> list[str]:
    """Slugs of the recipes that only fail by what is left out, and of which a swap makes one without it."""
    failed = failures(finder.cards, finder.by_hand, asked, ALLERGENS)
    return [
        card.slug
        for card, fails in zip(finder.cards, failed, strict=True)
        if fails and all(kind == "without" for kind, _ in fails) and some_way_without(card, asked.without)
    ]


def test_what_swaps_change_comes_back(finder: Finder) -> None:
    assert finder.ask(told=True) == [
        [[told.what, list(told.allergens)] for told in card.swaps.told] for card in finder.cards
    ]
    assert sum(card.swaps != NO_SWAPS for card in finder.cards) > 50


def test_recipes_that_need_a_swap_are_counted_and_come_last(finder: Finder) -> None:
    rng = random.Random(8)
    seen = 0
    for _ in range(800):
        without = tuple(rng.sample([choice.id for choice in ALLERGENS], rng.choice((1, 1, 1, 2, 3))))
        asked = replace(random_asked(rng, finder), without=without)
        if rng.random() < 0.6:
            asked = replace(asked, text="", ranges={}, diets=(), tags=())
        wanted = by_hand(finder, asked)
        plain = finder.ask(search=address(asked))
        assert plain["swaps"] == len(wanted), asked
        assert plain["swapped"] == []
        shown = finder.ask(search=address(asked) + "&swap=1")
        assert shown["slugs"] == plain["slugs"]
        assert shown["total"] == plain["total"]
        assert sorted(shown["swapped"]) == sorted(wanted), asked
        assert not set(shown["swapped"]) & set(shown["slugs"])
        assert shown["counts"] == plain["counts"]
        seen += len(wanted)
    assert seen > 300


def test_they_keep_the_order_asked_for(finder: Finder) -> None:
    found = finder.ask(search="?without=milk&swap=1&sort=energy_high")["swapped"]
    energies = {card.slug: card.energy_kcal or 0.0 for card in finder.cards}
    assert len(found) > 3
    assert [round(energies[slug]) for slug in found] == sorted((round(energies[s]) for s in found), reverse=True)


def test_nothing_left_out_needs_no_swap(finder: Finder) -> None:
    result = finder.ask(search="?swap=1&kcal=100-400")
    assert (result["swaps"], result["swapped"]) == (0, [])
    assert result["again"] == "?kcal=100-400"


def test_an_allergen_that_the_index_does_not_know_is_removed_by_no_swap(finder: Finder) -> None:
    for without in ("without=shellfish", "without=milk&without=shellfish", "without=__proto__"):
        result = finder.ask(search=f"?{without}&swap=1")
        assert (result["total"], result["swaps"], result["swapped"]) == (0, 0, [])


def test_until_it_is_known_what_swaps_change_every_recipe_is_taken_as_written(finder: Finder) -> None:
    written = finder.ask(search="?without=milk&swap=1", written=True)
    known = finder.ask(search="?without=milk&swap=1")
    assert (written["swaps"], written["swapped"]) == (0, [])
    assert written["slugs"] == known["slugs"]
    assert known["swaps"] > 0


def test_both_together_or_not_at_all(tmp_path: Path) -> None:
    """A swap that takes milk away and brings soybeans does not help a reader who leaves out both."""
    card = replace(made_cards(1)[0], contains=("milk",), may_contain=(), unknown=(), groups=())
    one = replace(card, slug="one", swaps=Swaps((), (), ((("milk",), ("soybeans",)),), frees=True))
    nuts = replace(card, slug="nuts", contains=("almond",), groups=(("nuts", "contains"),))
    nuts = replace(nuts, swaps=Swaps((Told("swap_removes", ("almond",)),), ("nuts", "walnut"), (), frees=True))
    finder = Finder([one, nuts], tmp_path)
    try:
        asked = {
            "without=milk": ["one"],
            "without=milk&without=soybeans": [],
            "without=almond": ["nuts"],
            "without=nuts": [],
            "without=almond&without=walnut": [],
        }
        for query, wanted in asked.items():
            assert finder.ask(search=f"?{query}&swap=1")["swapped"] == wanted, query
    finally:
        finder.close()


@pytest.mark.parametrize("part", ["tells", "fixed", "rows", "choices", "ways"])
def test_a_damaged_file_is_refused(tmp_path: Path, part: str) -> None:
    """A stream that lost a number throws: then every recipe is taken as written."""
    files = search.build(made_cards(120), ALLERGENS)
    names = search.names(files)
    content = json.loads(files[names.swaps].decode().partition(".swaps=")[2].rstrip(";\n"))
    stream = content[part] if isinstance(content[part], str) else content[part][0]
    cut = stream[:-1] if ord(stream[-2]) < ord("a") else stream[:-2]
    content[part] = cut if isinstance(content[part], str) else [cut, content[part][1]]
    (tmp_path / "columns.js").write_bytes(files[names.columns])
    (tmp_path / "swaps.js").write_text(f"GramwrightFind.swaps={json.dumps(content)}", encoding="utf-8")
    script = tmp_path / "try.cjs"
    script.write_text(
        "const {readFileSync}=require('fs');const {runInThisContext}=require('vm');"
        "for(const f of process.argv.slice(2))runInThisContext(readFileSync(f,'utf8'));"
        "const find=globalThis.GramwrightFind;find.swapped.open(find.swaps, find.unpacked.open(find.columns))",
        encoding="utf-8",
    )
    node = shutil.which("node")
    assert node
    command = [node, str(script), *map(str, SCRIPTS), str(tmp_path / "columns.js"), str(tmp_path / "swaps.js")]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode != 0
    assert "the index is damaged" in ran.stderr
