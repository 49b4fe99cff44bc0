"""Every surface of a published hub says the same of allergens: pages, facts.json, JSON-LD, lists, index, cards.

Random hubs, published whole and read back, against allergens worked out by hand (allergen_hub).
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from tests.site.allergen_hub import NAMES, Finder, RandomHub, Row, Said, Site, Thing, random_hub
from tests.site.swaps_by_hand import changes, needs_swap, told_in_list

from gramwright.site import search

pytestmark = pytest.mark.long

HUBS = [("eu", 1), ("eu", 2), ("uk", 3), ("us", 4), ("anz", 5)]
DIETS = {"vegetarian": "https://schema.org/VegetarianDiet", "vegan": "https://schema.org/VeganDiet"}


@pytest.fixture(scope="module", params=HUBS, ids=lambda param: f"{param[0]}-{param[1]}")
def site(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Site:
    rules, seed = request.param
    hub = random_hub(tmp_path_factory.mktemp("hub"), seed, rules)
    hub.publish()
    return Site(hub)


@pytest.fixture(scope="module")
def finder(site: Site) -> Iterator[Finder]:
    with closing(Finder(site.folder)) as made:
        yield made


def test_pages_facts_and_cards_say_what_was_worked_out_by_hand(site: Site) -> None:
    cards = site.cards()
    seen = set()
    for recipe in site.hub.recipes:
        wanted = site.hub.states(recipe)
        in_words = Said(site.words(wanted.contains), site.words(wanted.may_contain), site.words(wanted.unknown))
        assert site.page(recipe) == in_words, recipe
        assert site.brief(recipe) == replace(in_words, unknown=len(wanted.unknown)), recipe
        facts = site.facts(recipe)["allergens"]
        assert set(facts["contains"]) == wanted.contains, recipe
        assert set(facts["may_contain"]) == wanted.may_contain, recipe
        assert set(facts["unknown"]) == wanted.unknown - wanted.may_contain, recipe
        assert set(facts["unresolved"]) == wanted.unknown, recipe
        card = cards[recipe]
        assert frozenset(card.contains) == wanted.contains, recipe
        assert frozenset(card.may_contain) == wanted.may_contain, recipe
        assert frozenset(card.unknown) == wanted.unknown, recipe
        seen |= {int(bool(wanted.contains)), 2 + bool(wanted.may_contain), 4 + bool(wanted.unknown)}
    assert seen >= {1, 3, 4, 5}, "the hub has every state"


def test_every_list_says_the_same_as_the_pages(site: Site) -> None:
    paths = [path.relative_to(site.folder).as_posix() for path in (site.folder / "find").rglob("index.html")]
    seen: set[str] = set()
    for path in paths:
        for recipe, said in site.rows(path).items():
            seen.add(recipe)
            page = site.page(recipe)
            assert (said.contains, said.may_contain) == (page.contains, page.may_contain), (path, recipe)
            unknown = page.unknown
            assert not isinstance(unknown, int)
            assert said.unknown == (len(unknown) if isinstance(said.unknown, int) else unknown), (path, recipe)
    assert "find/tag/odd/index.html" in paths
    assert seen == set(site.hub.recipes)


def test_listings_say_the_same_as_the_pages(site: Site) -> None:
    """Home, all recipes, and those of a meal."""
    for path in ("index.html", "recipes/index.html", "meals/lunch/index.html"):
        rows = site.rows(path)
        assert len(rows) == (8 if path == "index.html" else len(site.hub.recipes)), path
        for recipe, said in rows.items():
            page = site.page(recipe)
            assert (said.contains, said.may_contain) == (page.contains, page.may_contain), (path, recipe)
            assert not isinstance(page.unknown, int)
            assert said.unknown == (len(page.unknown) if isinstance(said.unknown, int) else page.unknown)


def test_label_sheets_say_the_same_as_the_pages(site: Site) -> None:
    seen = set()
    for recipe in site.hub.recipes:
        said, page = site.sheet(recipe), site.page(recipe)
        assert said is not None, recipe
        assert (said.contains, said.may_contain) == (page.contains, page.may_contain), recipe
        assert not isinstance(page.unknown, int)
        if isinstance(said.unknown, int):
            said_of = page.contains | page.may_contain
            assert said_of | frozenset(map(site.names.get, site.hub.law.all_ids)) == said_of | page.unknown, recipe
        else:
            assert said.unknown == page.unknown, recipe
        seen.add(type(said.unknown))
    assert len(seen) == 2


def test_every_surface_says_what_swaps_change_as_worked_out_by_hand(site: Site, finder: Finder) -> None:
    """facts.json, the card, the index and every list that a recipe is in; JSON-LD is of the recipe as written."""
    told, cards = finder.told(), site.cards()
    paths = [path.relative_to(site.folder).as_posix() for path in (site.folder / "find").rglob("index.html")]
    lists = {path: told_in_list(site, path) for path in [*paths, "index.html", "recipes/index.html"]}
    seen: set[str] = set()
    for recipe in site.hub.recipes:
        wanted = changes(site.hub, recipe)
        facts = site.facts(recipe)["allergens"].get("changes", {})
        assert {what: set(ids) for what, ids in facts.items()} == wanted, recipe
        assert {each.what: set(each.allergens) for each in cards[recipe].swaps.told} == wanted, recipe
        assert told[recipe] == wanted, recipe
        assert "changes" not in str(site.json_ld(recipe))
        shown = 0
        for path, rows in lists.items():
            if recipe not in rows:
                continue
            shown += 1
            assert rows[recipe].keys() == wanted.keys(), (path, recipe)
            for what, said in rows[recipe].items():
                names = site.words(frozenset(wanted[what]))
                assert said == (len(names) if isinstance(said, int) else names), (path, recipe, what)
        assert shown >= 4
        seen |= wanted.keys()
    assert {"swap_removes", "swap_adds", "optional_adds", "optional_opens"} <= seen


def test_recipes_that_need_a_swap_are_exactly_those_that_some_swap_makes_fit(site: Site, finder: Finder) -> None:
    needing = 0
    for choice in search.offered(site.hub.rules, "en"):
        ids = {choice.id, *choice.members}
        result = finder.ask(search=f"?without={choice.id}&swap=1")
        wanted = {recipe for recipe in site.hub.recipes if needs_swap(site.hub, recipe, ids, choice.group)}
        assert set(result["swapped"]) == wanted, choice.id
        assert result["swaps"] == len(wanted)
        assert not wanted & set(result["slugs"])
        needing += len(wanted)
    assert needing > 5


def test_diets_agree_and_are_never_more_than_computed(site: Site) -> None:
    cards = site.cards()
    for recipe in site.hub.recipes:
        suits = site.facts(recipe)["suits"]
        assert dict(cards[recipe].suits) == suits
        kinds = [thing.kind for thing in site.hub.foods_of(recipe)]
        assert suits["vegan"] is (True if all(kind == "plant" for kind in kinds) else None)
        data = site.json_ld(recipe)
        assert data.get("suitableForDiet", []) == [DIETS[diet] for diet in DIETS if suits[diet] is True]
        assert set(data) <= {
            "@context", "@type", "name", "url", "inLanguage", "recipeCategory", "keywords", "recipeYield",
            "recipeIngredient", "recipeInstructions", "nutrition", "suitableForDiet", "description", "image",
        }, "nothing that could say more of allergens"  # fmt: skip


def test_the_ingredient_list_sets_allergens_apart_and_names_what_is_not_known(site: Site) -> None:
    for recipe in site.hub.recipes:
        line = site.listed(recipe)
        wanted = site.hub.states(recipe)
        strong = re.findall(r"<strong>(.*?)</strong>", line)
        assert {word.upper() for word in site.words(wanted.contains)} == set(strong), recipe
        assert ("allergens not known" in line) == bool(wanted.unknown or _named_only_as_may(site.hub, recipe)), recipe
        for thing in site.hub.foods_of(recipe):
            assert f"thing {thing.name}" in line


def _named_only_as_may(hub: RandomHub, recipe: str) -> bool:
    """Whether some food alone leaves an allergen not known that another one contains."""
    single = RandomHub(hub.root, hub.rules, hub.things, {})
    for thing in hub.foods_of(recipe):
        single.recipes = {"one": [Row(thing.name)]}
        if single.states("one").unknown:
            return True
    return False


def test_leaving_out_shows_exactly_what_is_recorded_without_it(site: Site, finder: Finder) -> None:
    hub = site.hub
    for choice in search.offered(hub.rules, "en"):
        ids = {choice.id, *choice.members}
        shown, opted = finder.shown(f"?without={choice.id}"), finder.shown(f"?without={choice.id}&may=1")
        for recipe in hub.recipes:
            states = hub.states(recipe)
            whole = hub.group_unclear(recipe, choice.group) if choice.group else 0
            never = bool(ids & (states.contains | states.unknown)) or whole in (1, 3)
            may = bool(ids & states.may_contain) or whole == 2
            # A class may be open through a member that is only unknown while another may be contained.
            if not never and may:
                assert recipe not in shown, (choice.id, recipe)
            else:
                assert (recipe in shown) == (not never), (choice.id, recipe)
            if never:
                assert recipe not in opted, (choice.id, recipe)
            elif whole != 2:
                assert recipe in opted, (choice.id, recipe)
        assert shown <= opted


def test_adding_a_row_never_removes_an_allergen(tmp_path: Path) -> None:
    for seed, rules in ((11, "eu"), (12, "us")):
        hub = random_hub(tmp_path / rules, seed, rules)
        hub.publish()
        site = Site(hub)
        before = {recipe: _strengths(site, recipe) for recipe in hub.recipes}
        chance = random.Random(seed)
        for rows in hub.recipes.values():
            rows.insert(chance.randint(0, len(rows)), Row(chance.choice(NAMES)))
        hub.publish()
        moved = 0
        for recipe, old in before.items():
            new = _strengths(site, recipe)
            assert all(new[name] >= strength for name, strength in old.items()), recipe
            moved += new != old
        assert moved > 5


def _strengths(site: Site, recipe: str) -> dict[str, int]:
    said = site.facts(recipe)["allergens"]
    return {
        name: 3 if name in said["contains"] else 2 if name in said["may_contain"] else int(name in said["unknown"])
        for name in site.names
    }


@pytest.mark.parametrize("depth", [0, 1, 2, 3])
@pytest.mark.parametrize("sort", ["unchecked", "old pack"])
def test_one_unchecked_food_at_any_depth_leaves_everything_open_on_every_surface(
    tmp_path: Path, depth: int, sort: str
) -> None:
    unchecked = Thing("bado", ("milk",), ("celery",), checked=sort != "unchecked",
                      updated="2025-11-24" if sort == "old pack" else "")  # fmt: skip
    hub = RandomHub(tmp_path, "eu", {"bado": unchecked, "keto": Thing("keto", ("eggs",))})
    hub.recipes["level-a"] = [Row("keto"), Row("bado")]
    last = "level-a"
    for letter in "bcd"[:depth]:
        hub.recipes[f"level-{letter}"] = [Row("keto"), Row(last)]
        last = f"level-{letter}"
    hub.recipes["apart"] = [Row("keto")]
    hub.publish()
    site = Site(hub)
    every = set(hub.law.all_ids)
    celery = set() if sort == "unchecked" else {"celery"}
    open_ids = every - {"milk", "eggs", "celery"} | celery
    said = site.facts(last)["allergens"]
    assert (set(said["contains"]), said["may_contain"]) == ({"milk", "eggs"}, ["celery"])
    assert set(said["unknown"]) == every - {"milk", "eggs", "celery"}
    assert set(said["unresolved"]) == open_ids
    page = site.page(last)
    assert page.unknown == site.words(frozenset(open_ids))
    assert "None of the listed allergens" not in site.text(f"recipes/{last}/index.html")
    assert "(allergens not known)" in site.listed(last)
    assert site.rows("find/index.html")[last].unknown == len(open_ids)
    assert site.cards()[last].unknown == tuple(name for name in site.names if name in open_ids)
    with closing(Finder(site.folder)) as finder:
        for choice in search.offered("eu", "en"):
            assert last not in finder.shown(f"?without={choice.id}")
            kept = finder.shown(f"?without={choice.id}&may=1")
            assert (last in kept) == (choice.id == "celery" and sort == "unchecked"), choice.id
            assert ("apart" in kept) == (choice.id != "eggs")


def test_swaps_and_optional_rows_change_no_state_as_written(tmp_path: Path) -> None:
    things = {"keto": Thing("keto"), "mabo": Thing("mabo", ("milk",)), "pito": Thing("pito", checked=False)}
    things["vuto"] = Thing("vuto", ("fish",), updated="2025-11-24")
    hub = RandomHub(tmp_path, "eu", things)
    hub.recipes["plain"] = [Row("keto", swap="vuto"), Row("mabo", optional=True), Row("pito", optional=True)]
    hub.publish()
    site = Site(hub)
    said = site.facts("plain")["allergens"]
    changes = said.pop("changes")
    assert said.pop("traces_not_recorded") == ["thing-keto"]
    assert said == {"contains": [], "may_contain": [], "unknown": [], "unresolved": []}
    assert set(changes) == {"swap_adds", "swap_opens", "optional_adds", "optional_opens"}
    page = site.text("recipes/plain/index.html")
    assert "None of the listed allergens is in the ingredients as recorded." in page
    rows = re.findall(r'<div class="line.*?</div>', page, re.S)
    assert len(rows) == 4
    (swap,) = [row for row in rows if "vuto" in row]
    assert "<strong>fish</strong>" in swap
    assert "allergens not known" in swap, "the swap's pack was read too long ago"
    assert "<strong>milk</strong>" in next(row for row in rows if "mabo" in row)
    assert "allergens not known" in next(row for row in rows if "pito" in row)
    assert "allergens not known" not in next(row for row in rows if "keto" in row)
    changes = re.findall(r"<(?:table|ul|dl)[^>]*(?:cook-changes|changes)[^>]*>.*?</(?:table|ul|dl)>", page, re.S)
    assert any("fish" in text and "milk" in text for text in changes), "said without a script"


ABSENCE = re.compile(
    r"free from|\bfree of\b|\bsafe\b|suitable for|\w-free\b|does not contain|contains no\b|\bno (?:milk|eggs|nuts)\b",
    re.I,
)


def test_no_page_claims_an_absence(site: Site) -> None:
    """Absence is only ever 'none of the listed allergens in the ingredients as recorded'."""
    allowed = ("Halal, kosher, gluten-free and diabetic are never worked out", "USDA FSIS, safe minimum internal temp")
    for path in site.folder.rglob("*.html"):
        text = re.sub(r"<script.*?</script>|<[^>]+>", " ", path.read_text(encoding="utf-8"), flags=re.S)
        for phrase in allowed:
            text = text.replace(phrase, "")
        found = ABSENCE.search(text)
        assert found is None, (path, text[max(0, found.start() - 60) : found.end() + 60])


def test_every_row_is_marked_with_what_its_foods_say(site: Site) -> None:
    """The working list: a food's row, or a recipe's with everything in it; what one says does not mark another."""
    hub = site.hub
    for recipe, rows in hub.recipes.items():
        page = site.text(f"recipes/{recipe}/index.html")
        lines = [text for at, text in re.findall(r'<div class="line" data-line="(\d+)\.0">(.*?)</div>', page, re.S)]
        assert len(lines) == len(rows)
        for row, line in zip(rows, lines, strict=True):
            alone = RandomHub(hub.root, hub.rules, hub.things, {**hub.recipes, "one": [Row(row.what)]}).states("one")
            marked = set(re.findall(r"<strong>(.*?)</strong>", line))
            assert marked >= site.words(alone.contains), (recipe, row)
            if not row.optional:
                assert marked <= site.words(alone.contains | alone.may_contain), (recipe, row)
            if alone.unknown - alone.may_contain - hub.states(recipe).contains - hub.states(recipe).may_contain:
                assert "allergens not known" in line, (recipe, row)
