"""Reading without a network. Takes a theme and a publication's id, gives the worker; and the script that signs it up.

The worker (`themes/galley/offline/worker.js`) lies at the site's top, so that
it holds for the whole site and nothing beside it, below any path. It is the
one file that names the publication: an edited recipe changes its own page and
this file, no other page. `offline/page.js` is on every page.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from gramwright.site import assets
from gramwright.site.words import Words

if TYPE_CHECKING:
    from gramwright.site.theme import Theme

WORKER = "service-worker.js"
PAGE = "offline/index.html"
"""What the worker shows in place of a page that is not saved."""
SCRIPT = "offline.js"
"""The asset that every page loads."""
ID_LENGTH = 12
_WORKER_SAYS = ("copy", "changed", "publication", "again")
_PAGE_SAYS = ("newer", "back", "load")


def script(words: Words, hub_root: Path | None) -> bytes:
    """The bytes of the script that every page loads; raises Trouble 'theme-file'."""
    code = assets.find("offline/page.js", hub_root).read_bytes().rstrip()
    return code + b"(" + _json(_said(words, _PAGE_SAYS)) + b");\n"


def worker(theme: Theme, publication: str, hub_root: Path) -> bytes:
    """The worker of one publication, `publication` being the digest of everything else that is published."""
    hub = {
        "publication": publication[:ID_LENGTH],
        "language": _dated(theme.settings.language),
        "first": ["index.html", PAGE],
        "offline": PAGE,
        "says": _said(theme.words, _WORKER_SAYS),
    }
    code = assets.find("offline/worker.js", hub_root).read_bytes()
    return b"const HUB = " + _json(hub) + b";\n" + code


def _dated(language: str) -> str:
    """The language that dates are written in: plain English puts the day first, with 24 hours."""
    return "en-GB" if language == "en" else language


def _said(words: Words, keys: tuple[str, ...]) -> dict[str, str]:
    """The texts as they are written; their slots are filled in the browser."""
    return {key: words(f"offline.{key}") for key in keys}


def _json(data: object) -> bytes:
    return json.dumps(data, ensure_ascii=True, separators=(",", ":")).encode()
