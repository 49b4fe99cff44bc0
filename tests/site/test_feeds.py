"""Atom against RFC 4287, the sitemap against the protocol of sitemaps.org, the manifest against the W3C manifest."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from urllib.parse import urlsplit
from xml.etree import ElementTree

import pytest
from tests.site import sample
from tests.site.site_make import HOSTILE

from gramwright.site import feeds
from gramwright.site.theme import Theme

ATOM = "{http://www.w3.org/2005/Atom}"
SITEMAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
RFC_3339 = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[+-]\d\d:\d\d)")
CARDS = sample.cards()


@pytest.fixture(scope="module")
def theme() -> Theme:
    return Theme(sample.SETTINGS)


@pytest.fixture(scope="module")
def bare() -> Theme:
    return Theme(replace(sample.SETTINGS, base_url=""))


@pytest.mark.parametrize("which", ["theme", "bare"])
def test_the_feed_keeps_rfc_4287(which: str, request: pytest.FixtureRequest) -> None:
    """Sections 4.1.1 and 4.1.2: exactly one id, title, updated; an author; rel=self; dates of RFC 3339."""
    theme: Theme = request.getfixturevalue(which)
    root = ElementTree.fromstring(feeds.feed(theme, CARDS))
    assert root.tag == f"{ATOM}feed"
    entries = root.findall(f"{ATOM}entry")
    assert len(entries) == len(CARDS)
    for element in (root, *entries):
        for name in ("id", "title", "updated"):
            found = element.findall(f"{ATOM}{name}")
            assert len(found) == 1
            assert (found[0].text or "").strip()
        assert RFC_3339.fullmatch(element.findtext(f"{ATOM}updated") or "")
        assert urlsplit(element.findtext(f"{ATOM}id") or "").scheme, "an IRI (section 4.2.6)"
    assert root.find(f"{ATOM}author/{ATOM}name") is not None
    for entry in entries:
        assert [link.get("rel") for link in entry.findall(f"{ATOM}link")] == ["alternate"]
    ids = [entry.findtext(f"{ATOM}id") for entry in entries]
    assert len(set(ids)) == len(ids)
    assert root.findtext(f"{ATOM}updated") == max(e.findtext(f"{ATOM}updated") or "" for e in entries)
    own = [link for link in root.findall(f"{ATOM}link") if link.get("rel") == "self"]
    assert len(own) == (1 if theme.base_url else 0)


def test_the_newest_come_first_and_the_undated_last(theme: Theme) -> None:
    cards = [replace(CARDS[1], published=""), replace(CARDS[2], published="2026-01-02"), CARDS[3]]
    root = ElementTree.fromstring(feeds.feed(theme, cards))
    days = [entry.findtext(f"{ATOM}updated") for entry in root.findall(f"{ATOM}entry")]
    assert days == sorted(days, key=str, reverse=True)
    assert days[-1] == f"{feeds.UNDATED}T00:00:00Z"


def test_hostile_titles_stay_text(theme: Theme) -> None:
    cards = [replace(CARDS[0], title=HOSTILE + "\x00\x0b\ufffe", summary=HOSTILE)]
    root = ElementTree.fromstring(feeds.feed(theme, cards))
    assert root.findtext(f"{ATOM}entry/{ATOM}title") == HOSTILE


def test_a_hub_without_recipes_has_a_valid_feed(theme: Theme) -> None:
    root = ElementTree.fromstring(feeds.feed(theme, []))
    assert RFC_3339.fullmatch(root.findtext(f"{ATOM}updated") or "")


def test_the_sitemap_keeps_the_protocol(theme: Theme) -> None:
    """One host, absolute addresses below 2,048 characters, each once; feeds and assets are no pages."""
    paths = ["index.html", "recipes/index.html", "404.html", "feed.xml", "assets/galley.0.css"]
    paths.append("foods/it's & co/index.html")
    made = feeds.files(theme, CARDS, paths)["sitemap.xml"]
    root = ElementTree.fromstring(made)
    assert root.tag == f"{SITEMAP}urlset"
    addresses = [loc.text or "" for loc in root.findall(f"{SITEMAP}url/{SITEMAP}loc")]
    assert len(addresses) == len(CARDS) + 3
    assert len(set(addresses)) == len(addresses)
    assert {urlsplit(address).netloc for address in addresses} == {"example.org"}
    assert all(len(address) < 2048 and address.isascii() for address in addresses)
    assert "https://example.org/kitchen/" in addresses
    assert not any("index.html" in address for address in addresses)


def test_a_large_site_has_a_sitemap_index(theme: Theme, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(feeds, "SITEMAP_LENGTH", 10)
    made = feeds.sitemaps(theme, [f"recipes/r{n}/index.html" for n in range(25)])
    root = ElementTree.fromstring(made["sitemap.xml"])
    assert root.tag == f"{SITEMAP}sitemapindex"
    listed = [loc.text or "" for loc in root.findall(f"{SITEMAP}sitemap/{SITEMAP}loc")]
    assert [address.rpartition("/")[2] for address in listed] == ["sitemap-1.xml", "sitemap-2.xml", "sitemap-3.xml"]
    total = sum(len(ElementTree.fromstring(made[f"sitemap-{n}.xml"])) for n in (1, 2, 3))
    assert total == 25


def test_the_manifest_can_be_installed(theme: Theme) -> None:
    """What browsers ask for: a name, icons of 192 and 512 px, start_url, a display mode."""
    data = json.loads(feeds.manifest(theme))
    assert data["name"] == sample.SETTINGS.title
    assert {icon["sizes"] for icon in data["icons"]} >= {"192x192", "512x512"}
    assert data["display"] in {"fullscreen", "standalone", "minimal-ui"}
    assert not urlsplit(data["start_url"]).netloc
    files = theme.asset_files()
    assert all(icon["src"] in files for icon in data["icons"])


def test_robots_name_the_sitemap(theme: Theme, bare: Theme) -> None:
    assert b"Sitemap: https://example.org/kitchen/sitemap.xml" in feeds.robots(theme)
    assert b"Sitemap" not in feeds.robots(bare)
