"""One Chromium for the session, and a small site of invented recipes to look at."""

from __future__ import annotations

import functools
import http.server
import shutil
import threading
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.site.made_cards import made_cards

from gramwright.model import Settings
from gramwright.publishing.build import publish
from gramwright.site.pages import bands, find
from gramwright.site.theme import Theme

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
RECIPES = 240
DEMO = Path(__file__).resolve().parents[2] / "site_demo"


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Real Chromium. Without it these tests fail."""
    executable = shutil.which("chromium") or CHROMIUM
    if not Path(executable).exists():
        pytest.fail("Chromium is missing: make test installs it, or apt-get install chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=executable, args=ARGUMENTS)
        yield started
        started.close()


def find_site(count: int) -> dict[str, bytes]:
    """Find, its bands, the theme's files, and a bare page for every recipe."""
    theme = Theme(Settings(title="Slack Water Kitchen", base_url="https://example.org/kitchen"))
    cards = made_cards(count)
    files = find.index(theme, cards)
    files |= find.render(theme, cards, files)
    files |= bands.render(theme, cards)
    files |= theme.asset_files()
    for card in cards:
        bare = f"<!doctype html><title>{card.slug}</title><h1>A recipe</h1>"
        files[f"recipes/{card.slug}/index.html"] = bare.encode()
    return files


def write_site(files: dict[str, bytes], folder: Path) -> Path:
    for path, data in files.items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return folder


@pytest.fixture(scope="session")
def site_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small site on disk, below a path of its own."""
    return write_site(find_site(RECIPES), tmp_path_factory.mktemp("site") / "kitchen")


@pytest.fixture(scope="session")
def demo_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration, published."""
    folder = tmp_path_factory.mktemp("demo")
    result = publish(DEMO, date(2026, 6, 1), out=folder / "site", working=folder / "working")
    assert not result.has_errors
    return folder / "site"


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Says nothing."""


@pytest.fixture(scope="session")
def site_address(site_folder: Path) -> Iterator[str]:
    """The small site on the loopback address, below a sub-path."""
    handler = functools.partial(_Quiet, directory=str(site_folder.parent))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_address[1]}/kitchen"
        server.shutdown()
        thread.join(5)


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context(viewport={"width": 1280, "height": 900}, service_workers="block")
    made.set_default_timeout(10_000)
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    """A page that fails the test when a script fails or anything is refused or missing."""
    made = context.new_page()
    wrong: list[str] = []
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.on("console", lambda message: wrong.append(message.text) if message.type == "error" else None)
    made.on("response", lambda answer: wrong.append(f"missing: {answer.url}") if answer.status >= 400 else None)
    yield made
    beside = ("Failed to load resource", "favicon.ico", "manifest.webmanifest", "feed.xml")
    assert not [text for text in wrong if not any(part in text for part in beside)]
