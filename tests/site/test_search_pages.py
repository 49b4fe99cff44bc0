"""The find page and its lists as files: sizes, words, links, bands; and what a reader can leave out."""

from __future__ import annotations

import gzip
import json
import random
import re
from collections import Counter
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from tests.site.made_cards import made_cards

from gramwright.model import Settings
from gramwright.resources import themes
from gramwright.site import found_view, search
from gramwright.site.allergen_line import allergen_names, allergen_parts
from gramwright.site.pages import bands, find
from gramwright.site.pages.listing import path_name
from gramwright.site.search.shown import half_up
from gramwright.site.theme import Theme

BROWSER = themes() / "galley" / "browser"
CARDS = made_cards(260)


class Page(HTMLParser):
    """What a page's markup says: ids, links, sources, inline code."""

    def __init__(self, html: bytes) -> None:
        super().__init__()
        self.ids: Counter[str] = Counter()
        self.links: list[str] = []
        self.sources: list[str] = []
        self.inline: list[str] = []
        self.rows = 0
        self.feed(html.decode())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if "id" in given:
            self.ids[given["id"]] += 1
        if tag == "a":
            self.links.append(given.get("href", ""))
        if tag == "script":
            self.sources.append(given.get("src", ""))
            if "src" not in given and "json" not in given.get("type", ""):
                self.inline.append(tag)
        self.inline += [name for name in given if name == "style" or name.startswith("on")]
        if tag == "li" and given.get("class") == "dish":
            self.rows += 1


@pytest.fixture(scope="module")
def theme() -> Theme:
    return Theme(Settings(title="Slack Water Kitchen", base_url="https://example.org/kitchen"))


@pytest.fixture(scope="module")
def site(theme: Theme) -> dict[str, bytes]:
    files = find.index(theme, CARDS)
    return files | find.render(theme, CARDS, files) | bands.render(theme, CARDS) | theme.asset_files()


def resolved(page: str, link: str) -> str:
    """A relative link as a path of the site."""
    folder = page.split("/")[:-1]
    for part in link.split("/"):
        if part == "..":
            folder.pop()
        else:
            folder.append(part)
    return "/".join(folder)


def test_the_index_stays_small() -> None:
    """At 10,000 recipes: 200,000 bytes compressed before filters work, 480,000 in all."""
    cards = made_cards(10_000)
    files = search.build(cards, search.offered("eu", "en"))
    names = search.names(files)
    packed = {path: len(gzip.compress(data, 9)) for path, data in files.items()}
    first = packed[names.columns] + packed[names.titles]
    assert first <= 200_000
    assert packed[names.swaps] > 10_000, "the made cards have swaps"
    assert first + packed[names.words] + packed[names.swaps] <= 480_000


def test_no_recipe_is_an_object_in_the_index() -> None:
    """Ten times the recipes make the strings longer and nothing more numerous, but for choices and combinations."""

    def parts(count: int) -> int:
        files = search.build(made_cards(count), search.offered("eu", "en"))
        text = files[search.names(files).columns].decode()
        content = json.loads(text.partition(".columns=")[2].rstrip(";\n"))
        return sum(1 for _ in walk(content))

    def walk(node: object) -> list[object]:
        if isinstance(node, dict):
            return [node, *(inner for value in node.values() for inner in walk(value))]
        if isinstance(node, list):
            return [node, *(inner for value in node for inner in walk(value))]
        return [node]

    assert parts(1000) < 1.5 * parts(100)


def test_the_page_names_files_that_exist_and_has_nothing_inline(site: dict[str, bytes]) -> None:
    page = Page(site[find.PATH])
    assert page.inline == []
    assert [name for name, times in page.ids.items() if times > 1] == []
    for source in filter(None, page.sources):
        assert resolved(find.PATH, source) in site
    assert resolved(find.PATH, str(re.search(r'data-words="([^"]+)"', site[find.PATH].decode())[1])) in site  # type: ignore[index]


def test_every_link_to_a_list_leads_to_one(site: dict[str, bytes]) -> None:
    for path in [path for path in site if path.endswith(".html")]:
        for link in Page(site[path]).links:
            target = resolved(path, link.partition("#")[0]) if not link.startswith("#") else path
            if target.startswith("find/") and link:
                assert target in site, (path, link)


def test_every_word_that_the_scripts_say_is_there(theme: Theme, site: dict[str, bytes]) -> None:
    said = json.loads(re.search(r'id="find-words">(.*?)</script>', site[find.PATH].decode(), re.S)[1])["says"]  # type: ignore[index]
    code = "".join(path.read_text(encoding="utf-8") for path in sorted(BROWSER.glob("find*.js")))
    keys = set(re.findall(r'say\("([a-z_.0-9]+)"', code))
    keys |= set(re.findall(r'"((?:find|allergens|card)\.[a-z_0-9.]+)"', code))
    assert len(keys) > 25
    assert keys <= said.keys()
    for stem in re.findall(r"say\(`([a-z_.]+)\.\$\{", code):
        assert any(key.startswith(stem + ".") for key in said), stem
    for name in (*find.FIRST_FIELDS, *find.MORE_FIELDS):
        assert {f"find.units.{name}", f"find.ranges.{name}"} <= said.keys()


def test_page_and_script_know_the_same_figures_and_orders() -> None:
    core = (BROWSER / "find-core.js").read_text(encoding="utf-8")
    fields = re.search(r"const FIELDS = \{(.*?)\n  \};", core, re.S)
    sorts = re.search(r"const SORTS = \{(.*?)\n  \};", core, re.S)
    assert fields
    assert sorts
    assert sorted(re.findall(r"^    (\w+):", fields[1], re.M)) == sorted((*find.FIRST_FIELDS, *find.MORE_FIELDS))
    assert sorted(re.findall(r"^    (\w+):", sorts[1], re.M)) == sorted(find.SORTS)


def test_titles_and_tags_cannot_end_the_script_or_the_markup(theme: Theme) -> None:
    bad = '</script><img src=x onerror=alert(1)> & "quoted"'
    cards = [replace(CARDS[0], slug="bad", title=bad, summary=bad, tags=(bad,), meals=(bad,), ingredients=(bad,))]
    files = find.index(theme, cards)
    files |= find.render(theme, cards, files) | bands.render(theme, cards)
    for path, data in files.items():
        assert b"<img" not in data or path.endswith(".js"), path
    assert files[find.PATH].count(b"</script>") == len(Page(files[find.PATH]).sources)


def test_the_same_cards_give_the_same_pages_in_any_order(theme: Theme, site: dict[str, bytes]) -> None:
    cards = list(CARDS)
    random.Random(2).shuffle(cards)
    files = find.index(theme, cards)
    again = files | find.render(theme, cards, files) | bands.render(theme, cards)
    assert again == {path: site[path] for path in again}


def test_every_recipe_is_in_exactly_one_band_of_energy(theme: Theme) -> None:
    listed = bands.energy_bands(search.in_order(CARDS), theme.words)
    assert Counter(card.slug for band in listed for card in band.cards) == Counter(card.slug for card in CARDS)
    for band in listed:
        low, _, high = band.path.split("/")[2].partition("-")
        if low == "unknown":
            assert all(card.energy_kcal is None for card in band.cards)
            continue
        assert all(int(low) <= half_up(c.energy_kcal or 0.0) <= int(high or 99_999) for c in band.cards)
        complete = [half_up(c.energy_kcal or 0.0) for c in band.cards if "energy_kcal" not in c.incomplete]
        assert complete == sorted(complete)


def test_protein_in_100_kcal_leaves_out_what_is_not_known(theme: Theme) -> None:
    listed = bands.protein_band(search.in_order(CARDS), theme.words).cards
    ratios = [found_view.ratio(card) or 0.0 for card in listed]
    assert ratios == sorted(ratios, reverse=True)
    assert all(card.energy_kcal and "energy_kcal" not in card.incomplete for card in listed)
    left = {card.slug for card in CARDS} - {card.slug for card in listed}
    assert left == {
        card.slug
        for card in CARDS
        if card.protein_g is None or not card.energy_kcal or "energy_kcal" in card.incomplete
    }


def test_a_long_list_goes_on_and_a_short_one_does_not(site: dict[str, bytes]) -> None:
    first, second, third = (f"find/protein/{page}index.html" for page in ("", "2/", "3/"))
    assert Page(site[first]).rows == Page(site[second]).rows == 120
    assert 0 < Page(site[third]).rows < 120
    assert "find/protein/4/index.html" not in site
    assert all(link.startswith("../../recipes/") for link in Page(site[first]).links if "/recipes/" in link[3:])


def test_every_row_says_something_of_allergens(theme: Theme) -> None:
    names = allergen_names(theme.settings)
    for card in CARDS:
        parts = allergen_parts(card, theme.words, names)
        states = {part.state for part in parts}
        assert ("contains" in states) == bool(card.contains)
        assert ("may" in states) == bool(card.may_contain)
        assert ("unknown" in states) == bool(set(card.unknown) - set(card.contains))
        assert (states == {"none"}) == (not (card.contains or card.may_contain or card.unknown))
        assert not any("free" in part.text for part in parts)


def test_what_can_be_left_out_is_the_law_s_list_with_its_classes() -> None:
    """Regulation (EU) 1169/2011, Annex II: cereals containing gluten and nuts are classes of named members."""
    offered = {choice.id: choice for choice in search.offered("eu", "en")}
    assert set(offered["gluten"].members) == {"wheat", "spelt", "khorasan", "rye", "barley", "oats"}
    assert len(offered["nuts"].members) == 8
    assert len([choice for choice in offered.values() if not choice.members]) == 26
    american = {choice.id for choice in search.offered("us", "en")}
    assert {"wheat", "sesame", "nuts", "gluten"} <= american


def test_a_reader_without_gluten_is_safe_where_the_law_lists_wheat_alone(theme: Theme) -> None:
    """21 U.S.C. 321(qq) lists wheat and no other cereal; rye in a recipe is known of the group as a whole."""
    offered = {choice.id: choice for choice in search.offered("us", "en")}
    assert offered["gluten"].members == ("wheat",)
    assert offered["gluten"].group == "gluten cereals"
    rye = replace(CARDS[0], contains=(), may_contain=(), unknown=(), groups=(("gluten cereals", "contains"),))
    american = Theme(replace(theme.settings, rule_set="us"))
    text = find.render(american, [rye], find.index(american, [rye]))[find.PATH].decode()
    assert re.search(r'data-would="gluten">0<', text)
    assert re.search(r'data-would="wheat">1<', text)


def test_a_meal_has_one_name_in_addresses() -> None:
    for name in ("Packed lunch", "one tray", "Crème brûlée!", "  odd  ", "5_a_day"):
        assert search.key(name) == path_name(name)
