"""Pages against the HTML standard, by a parser that accepts nothing else, and against the theme's own promises."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any
from urllib.parse import unquote, urlsplit
from xml.etree.ElementTree import Element

import html5lib
import pytest
from tests.site import sample
from tests.site.site_make import HOSTILE, hostile_site, pages, plain_site

from gramwright.site.cards import Use
from gramwright.site.pages import food
from gramwright.site.theme import Theme

SITES = {"plain": plain_site, "hostile": hostile_site}


def parsed(data: bytes) -> Element:
    """The page as a tree; raises at the first thing that the HTML standard calls a parse error."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    tree: Element = parser.parse(data.decode("utf-8"))
    return tree


@cache
def html_pages(site: str) -> list[tuple[str, Element]]:
    return [(path, parsed(data)) for path, data in SITES[site]().items() if path.endswith(".html")]


@pytest.fixture(scope="module", params=sorted(SITES))
def trees(request: pytest.FixtureRequest) -> list[tuple[str, Element]]:
    return html_pages(request.param)


def elements(tree: Element) -> Iterator[Element]:
    return (element for element in tree.iter() if isinstance(element.tag, str))


def test_every_page_is_well_formed(trees: list[tuple[str, Element]]) -> None:
    assert len(trees) > 20
    for path, tree in trees:
        assert tree.tag == "html", path
        assert tree.get("lang") == "en", path
        assert len(tree.findall(".//h1")) == 1, path
        assert tree.find(".//title") is not None, path


def test_nothing_is_inline_and_nothing_comes_from_elsewhere(trees: list[tuple[str, Element]]) -> None:
    for path, tree in trees:
        for element in elements(tree):
            assert element.tag not in {"style", "img", "iframe", "object", "embed", "base"}, path
            for name in element.attrib:
                assert name != "style", f"{path}: a style attribute on {element.tag}"
                assert not name.startswith("on"), f"{path}: {name} on {element.tag}"
            if element.tag == "script":
                assert element.get("src") or element.get("type") == "application/ld+json", path
            if element.tag in {"link", "script"} and element.get("rel") != "canonical":
                address = element.get("href") or element.get("src") or ""
                assert not urlsplit(address).netloc, f"{path}: {address}"


def test_the_security_policy_allows_no_inline_code(trees: list[tuple[str, Element]]) -> None:
    for path, tree in trees:
        found = [m.get("content") or "" for m in tree.iter("meta") if m.get("http-equiv") == "Content-Security-Policy"]
        assert len(found) == 1, path
        assert "default-src 'none'" in found[0]
        assert "unsafe" not in found[0]
        # A meta policy must not name these: they are ignored there (HTML, "pragma directives").
        assert not re.search("frame-ancestors|report-uri|sandbox", found[0])


def test_links_inside_the_site_lead_somewhere() -> None:
    site = plain_site()
    others = ("find/index.html", "facts.json", "facts.csv", "card.png", "card-tall.png")  # made elsewhere
    for path, tree in html_pages("plain"):
        folder = path.rpartition("/")[0]
        ids = {element.get("id") for element in elements(tree)}
        for anchor in tree.iter("a"):
            href = anchor.get("href") or ""
            split = urlsplit(href)
            if path == "404.html" or split.scheme:
                continue
            if not split.path:
                assert split.fragment in ids, f"{path}: {href}"
                continue
            target = resolved(folder, unquote(split.path))
            if not target.endswith(others) and not target.startswith("recipes/dish-"):
                assert target in site, f"{path}: {href} -> {target}"


def resolved(folder: str, href: str) -> str:
    parts = folder.split("/") if folder else []
    for step in href.split("/"):
        if step == "..":
            parts.pop()
        else:
            parts.append(step)
    return "/".join(parts)


def test_the_page_for_a_wrong_address_works_at_any_depth() -> None:
    tree = dict(html_pages("plain"))["404.html"]
    links = [e.get("href") or "" for e in elements(tree) if e.tag in {"a", "link"}]
    inside = [href for href in links if not href.startswith(("#", "assets/galley."))]
    assert len(inside) > 6
    assert all(href.startswith("/kitchen/") for href in inside)


def test_ids_are_used_once_and_textures_exist(trees: list[tuple[str, Element]]) -> None:
    for path, tree in trees:
        ids = [element.get("id") for element in elements(tree) if element.get("id")]
        assert len(ids) == len(set(ids)), path
        for element in elements(tree):
            fill = element.get("fill") or ""
            if fill.startswith("url("):
                assert fill.removeprefix("url(#").removesuffix(")") in ids, f"{path}: {fill}"


def test_headings_go_down_one_level_at_a_time(trees: list[tuple[str, Element]]) -> None:
    for path, tree in trees:
        levels = [int(e.tag[1]) for e in elements(tree) if re.fullmatch(r"h[1-6]", e.tag)]
        assert levels[0] == 1, path
        for before, after in pairwise(levels):
            assert after <= before + 1, f"{path}: h{before} is followed by h{after}"


def test_drawings_have_words_and_tables_have_heads(trees: list[tuple[str, Element]]) -> None:
    for path, tree in trees:
        for svg in tree.iter("svg"):
            nested = svg.get("role") is None
            assert nested or (svg.get("aria-label") or "").strip(), path
        for table in tree.iter("table"):
            scopes = {th.get("scope") for th in table.iter("th")}
            assert scopes <= {"row", "col"}, path
            assert "col" in scopes, path


def test_hostile_text_stays_text() -> None:
    for path, tree in html_pages("hostile"):
        for script in tree.iter("script"):
            assert script.get("src") or script.get("type") == "application/ld+json", path
            assert "<" not in (script.text or ""), path
    page = dict(html_pages("hostile"))["recipes/barley-squash-tray/index.html"]
    heading = page.find(".//h1")
    assert heading is not None
    assert heading.text == HOSTILE


def structured(site: str) -> dict[str, Any]:
    tree = dict(html_pages(site))["recipes/barley-squash-tray/index.html"]
    scripts = [s for s in tree.iter("script") if s.get("type") == "application/ld+json"]
    assert len(scripts) == 1
    data: dict[str, Any] = json.loads(scripts[0].text or "")
    return data


def test_structured_data_survives_hostile_text() -> None:
    assert structured("hostile")["name"] == HOSTILE


def test_a_food_page_has_one_line_a_recipe_with_its_share() -> None:
    """Rows of one food add up; a swap or an optional row counts in no figure and has no share."""
    theme = Theme(sample.SETTINGS)
    first, second = sample.cards(3)[:2]
    oil = [Use("olive-oil", 5.0, 45.0), Use("olive-oil", 2.0, 18.0, through="dish-1")]
    first = replace(first, energy_kcal=630.0)
    uses = [(first, oil[0]), (second, Use("olive-oil", 4.0, 0.0, optional=True, swap=True)), (first, oil[1])]
    tree = parsed(food.render(theme, sample.OIL, uses)["foods/olive-oil/index.html"])
    lines = [" ".join("".join(item.itertext()).split()) for item in tree.findall(".//ul[@class='uses']/li")]
    assert len(lines) == 2
    assert lines[0].startswith(f"{first.title} through {second.title}")
    assert "7 g 10 %" in lines[0].replace("\u202f", " ")
    assert "%" not in lines[1]
    assert "as a swap" in lines[1]


def test_pages_are_small() -> None:
    site = plain_site()
    for path, data in site.items():
        if path.startswith("recipes/") and path.count("/") == 2:
            assert len(data) < 30_000, path


def test_same_records_give_the_same_bytes() -> None:
    assert pages(sample.SETTINGS, sample.dish()) == plain_site()


def test_unknown_allergens_are_said_and_nothing_is_free_from() -> None:
    tree = dict(html_pages("plain"))["recipes/barley-squash-tray/index.html"]
    text = " ".join("".join(tree.itertext()).split())
    assert "The records of Tideway smoked sausage (invented) leave these open" in text
    assert "free from" not in text
    strong = [("".join(e.itertext())) for e in tree.iter("strong")]
    assert {"barley", "milk", "celery", "sesame", "peanuts"} <= set(strong)


def test_a_site_without_an_address_has_relative_links_only() -> None:
    site = pages(replace(sample.SETTINGS, base_url=""), sample.dish())
    assert "sitemap.xml" not in site
    for path, data in site.items():
        if path.endswith(".html"):
            tree = parsed(data)
            assert not [link for link in tree.iter("link") if link.get("rel") == "canonical"], path
            for element in elements(tree):
                for name in ("href", "src"):
                    assert not urlsplit(element.get(name) or "").netloc, f"{path}: {element.get(name)}"
