"""What machines read. Takes cards and the paths of the pages, gives feed.xml, sitemap, robots.txt and the manifest.

Atom: RFC 4287. Sitemap: the protocol of sitemaps.org (50,000 addresses a file,
an index above). Manifest: W3C Web Application Manifest. A feed and a sitemap
need absolute addresses: without a base_url there is no sitemap, and the feed
names its entries by their place in the site.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from gramwright.site.cards import Card
from gramwright.site.theme import INDEX, Theme

FEED_LENGTH = 40
"""Entries in the feed, newest first."""
SITEMAP_LENGTH = 50_000
"""Addresses in one sitemap file (sitemaps.org, protocol)."""
CORRECTIONS = "corrections.xml"
UNDATED = "2000-01-01"
"""Stands where no page gives a date, so that the same pages give the same feed."""
_NOT_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_XML = '<?xml version="1.0" encoding="utf-8"?>\n'


def files(theme: Theme, cards: Sequence[Card], paths: Iterable[str], undated: str = UNDATED) -> dict[str, bytes]:
    """Path -> bytes. `paths` are those of all pages; `undated` is the ISO date used where no recipe has one."""
    made = {
        "feed.xml": feed(theme, cards, undated),
        "manifest.webmanifest": manifest(theme),
        "robots.txt": robots(theme),
    }
    if theme.base_url:
        pages = [path for path in paths if path == INDEX or path.endswith("/" + INDEX)]
        pages.extend(card.url for card in cards)
        made.update(sitemaps(theme, pages))
    return made


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of an Atom feed; `path` is the page it leads to, `name` what tells it from other entries there."""

    title: str
    path: str
    updated: str
    summary: str
    published: str = ""
    name: str = ""


def feed(theme: Theme, cards: Sequence[Card], undated: str = UNDATED) -> bytes:
    """An Atom feed of the newest recipes; a recipe without a date stands last, with the oldest date."""
    newest = sorted(cards, key=lambda card: card.slug)
    newest.sort(key=lambda card: _day(card.published, ""), reverse=True)
    entries = [
        Entry(
            title=card.title,
            path=card.url,
            updated=_day(card.published, undated),
            summary=card.summary or card.title,
            published=_day(card.published, undated) if card.published else "",
        )
        for card in newest[:FEED_LENGTH]
    ]
    title = theme.words("feed.title", site=theme.settings.title)
    return _atom(theme, "feed.xml", title, INDEX, entries, undated)


def corrections_feed(theme: Theme, entries: Sequence[Entry], undated: str = UNDATED) -> bytes:
    """An Atom feed of corrected figures; `entries` newest first."""
    title = theme.words("feed.corrections", site=theme.settings.title)
    return _atom(theme, CORRECTIONS, title, "corrections/index.html", entries[:FEED_LENGTH], undated)


def _atom(theme: Theme, path: str, title: str, page: str, entries: Sequence[Entry], undated: str) -> bytes:
    """A feed (RFC 4287) that lies at `path` and stands for `page`."""
    settings = theme.settings
    updated = max((entry.updated for entry in entries), default=_day("", undated))
    lines = [
        _XML,
        f'<feed xmlns="http://www.w3.org/2005/Atom" xml:lang="{escape(settings.language)}">\n',
        f"<title>{escape(title)}</title>\n",
        f"<id>{escape(_id(theme, '' if path == 'feed.xml' else path))}</id>\n",
        f"<updated>{updated}T00:00:00Z</updated>\n",
        f"<author><name>{escape(settings.author or settings.title)}</name></author>\n",
    ]
    if theme.base_url:
        own = _attribute(theme.absolute(path))
        lines.append(f'<link rel="self" type="application/atom+xml" href="{own}"/>\n')
    lines.append(f'<link rel="alternate" type="text/html" href="{_attribute(theme.absolute(page) or page)}"/>\n')
    lines += [_entry(theme, entry) for entry in entries]
    lines.append("</feed>\n")
    return "".join(lines).encode()


def _entry(theme: Theme, entry: Entry) -> str:
    href = theme.absolute(entry.path) or entry.path
    lines = [
        f"<entry><title>{escape(_clean(entry.title))}</title>",
        f"<id>{escape(_id(theme, entry.path.removesuffix(INDEX)))}{escape(_clean(entry.name))}</id>",
        f"<updated>{entry.updated}T00:00:00Z</updated>",
    ]
    if entry.published:
        lines.append(f"<published>{entry.published}T00:00:00Z</published>")
    lines.append(f'<link rel="alternate" type="text/html" href="{_attribute(href)}"/>')
    lines.append(f"<summary>{escape(_clean(entry.summary))}</summary></entry>\n")
    return "".join(lines)


def _id(theme: Theme, path: str) -> str:
    """A permanent name: the address, or a tag-like name of the site where it has none."""
    if theme.base_url:
        return f"{theme.base_url}/{path}"
    return f"urn:gramwright:{_urn(theme.settings.title)}:{path or 'feed'}"


def _urn(text: str) -> str:
    return "-".join("".join(c if c.isascii() and c.isalnum() else " " for c in text.casefold()).split()) or "hub"


def _day(text: str, otherwise: str) -> str:
    """The ISO date in a text, or `otherwise`."""
    try:
        return date.fromisoformat(text[:10]).isoformat()
    except ValueError:
        return otherwise


def _clean(text: str) -> str:
    """Without the characters that XML 1.0 does not allow."""
    return _NOT_XML.sub("", text)


def _attribute(text: str) -> str:
    return escape(text).replace('"', "&quot;")


def sitemaps(theme: Theme, paths: Iterable[str]) -> dict[str, bytes]:
    """sitemap.xml, and beyond 50,000 pages an index with numbered files."""
    addresses = sorted({theme.absolute(path) for path in paths})
    chunks = [addresses[at : at + SITEMAP_LENGTH] for at in range(0, len(addresses), SITEMAP_LENGTH)]
    if len(chunks) <= 1:
        return {"sitemap.xml": _urlset(addresses)}
    made = {f"sitemap-{number}.xml": _urlset(chunk) for number, chunk in enumerate(chunks, 1)}
    entries = "".join(f"<sitemap><loc>{escape(theme.absolute(name))}</loc></sitemap>\n" for name in made)
    namespace = "http://www.sitemaps.org/schemas/sitemap/0.9"
    made["sitemap.xml"] = f'{_XML}<sitemapindex xmlns="{namespace}">\n{entries}</sitemapindex>\n'.encode()
    return made


def _urlset(addresses: Sequence[str]) -> bytes:
    entries = "".join(f"<url><loc>{_escaped(address)}</loc></url>\n" for address in addresses)
    return f'{_XML}<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">\n{entries}</urlset>\n'.encode()


def _escaped(address: str) -> str:
    """All five entities, as the sitemap protocol asks."""
    return escape(address).replace('"', "&quot;").replace("'", "&apos;")


def robots(theme: Theme) -> bytes:
    """Everything may be read; says where the sitemap is."""
    lines = ["User-agent: *", "Allow: /"]
    if theme.base_url:
        lines.append(f"Sitemap: {theme.absolute('sitemap.xml')}")
    return ("\n".join(lines) + "\n").encode()


def manifest(theme: Theme) -> bytes:
    """The web application manifest, its paths relative to itself."""
    data = {
        "name": theme.settings.title,
        "short_name": theme.settings.title[:24],
        "description": theme.settings.description,
        "lang": theme.settings.language,
        "dir": theme.words.direction,
        "start_url": INDEX,
        "scope": "./",
        "display": "minimal-ui",
        "background_color": "#faf7f0",
        "theme_color": "#faf7f0",
        "icons": [
            {"src": theme.asset("icon.svg"), "sizes": "any", "type": "image/svg+xml"},
            {"src": theme.asset("icon-192.png"), "sizes": "192x192", "type": "image/png", "purpose": "any maskable"},
            {"src": theme.asset("icon-512.png"), "sizes": "512x512", "type": "image/png", "purpose": "any maskable"},
        ],
    }
    return (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode()


def escape(text: str) -> str:
    """A text as it stands in XML (the library's own function would load its network modules)."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
