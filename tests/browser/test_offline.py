"""Reading without a network in Chromium: what is saved says so, and a new publication is seen as soon as it can be."""

from __future__ import annotations

import functools
import http.server
import re
import threading
import time
from collections.abc import Callable, Iterator
from datetime import date
from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from tests.browser.axe_rules import OUTPUT, violations
from tests.publishing.hub_make import Hub, hub

from gramwright.publishing.build import publish

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser

__all__ = ["hub"]

DAY = date(2026, 3, 1)
PORRIDGE = "recipes/porridge/index.html"
BOWL = "recipes/fruit-bowl/index.html"
FIND = "find/index.html"


class Server:
    """The published site below a sub-path, on one port, to be stopped and started again."""

    def __init__(self, folder: Path) -> None:
        self.asked: list[str] = []
        self.status: HTTPStatus | None = None
        """What is answered in place of everything."""
        self.port = 0
        self._folder = folder
        self._running: http.server.ThreadingHTTPServer | None = None

    def start(self) -> None:
        outer = self

        class Handler(http.server.SimpleHTTPRequestHandler):
            def do_GET(self) -> None:
                outer.asked.append(self.path)
                if outer.status is not None:
                    self.send_error(outer.status)
                else:
                    super().do_GET()

            def end_headers(self) -> None:
                if self.path.endswith(".html"):  # a host that lets pages be kept for an hour, as many do
                    self.send_header("Cache-Control", "max-age=3600")
                super().end_headers()

            def log_message(self, format: str, *args: object) -> None:
                """Says nothing."""

        handler = functools.partial(Handler, directory=str(self._folder))
        self._running = http.server.ThreadingHTTPServer(("127.0.0.1", self.port), handler)
        self.port = self._running.server_address[1]
        threading.Thread(target=self._running.serve_forever, daemon=True).start()

    def stop(self) -> None:
        if self._running is not None:
            self._running.shutdown()
            self._running.server_close()
            self._running = None

    def url(self, path: str) -> str:
        return f"http://127.0.0.1:{self.port}/clubs/kitchen/{path}"


class Site:
    """A hub, its published site and the server."""

    def __init__(self, hub: Hub, folder: Path) -> None:
        self.hub = hub
        self.out = folder / "clubs" / "kitchen"
        self.server = Server(folder)

    def publish(self) -> str:
        """Publishes; gives the publication's id."""
        result = publish(self.hub.root, DAY, out=self.out, workers=1)
        assert not result.has_errors
        found = re.search(r'"publication":"([0-9a-f]+)"', self.worker())
        assert found
        return found[1]

    def worker(self) -> str:
        return (self.out / "service-worker.js").read_text(encoding="utf-8")

    def oats_with_celery(self) -> str:
        """A correction of what oats contain, published."""
        self.hub.edit("foods/own.csv", "made up for a test,1", "made up anew,1")
        self.hub.edit("foods/own.csv", ",oats,,yes,plant,made up anew", ",oats;celery,,yes,plant,made up anew")
        return self.publish()


@pytest.fixture
def site(hub: Hub, tmp_path: Path) -> Iterator[Site]:
    made = Site(hub, tmp_path / "served")
    hub.edit("recipes/porridge.md", "Stir for ten minutes", "Stir for 10 minutes")
    made.publish()
    made.server.start()
    yield made
    made.server.stop()


@pytest.fixture
def reader(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport={"width": 360, "height": 780}, service_workers="allow")
    context.set_default_timeout(15_000)
    yield context
    context.close()


def until(page: Page, holds: Callable[[], Any], what: str) -> None:
    end = time.monotonic() + 20
    while not holds():
        assert time.monotonic() < end, f"never came: {what}"
        page.wait_for_timeout(60)


KEPT = """async () => {
  const found = {};
  for (const name of await caches.keys()) {
    const keys = await (await caches.open(name)).keys();
    found[name] = keys.map(request => request.url);
  }
  return found;
}"""


def kept(page: Page) -> dict[str, list[str]]:
    found: dict[str, list[str]] = page.evaluate(KEPT)
    return found


def opened(site: Site, reader: BrowserContext, *paths: str) -> Page:
    """A page of the site with its worker at work, after the paths were visited and saved."""
    page = reader.new_page()
    page.goto(site.server.url(paths[0]))
    page.evaluate("navigator.serviceWorker.ready.then(() => 0)")
    until(page, lambda: page.evaluate("navigator.serviceWorker.controller !== null"), "a worker")
    for path in paths[1:]:
        page.goto(site.server.url(path))
    keys = {site.server.url(path.removesuffix("index.html")) for path in paths}
    until(page, lambda: keys <= {url for urls in kept(page).values() for url in urls}, f"{paths} saved")
    return page


def notice(page: Page) -> str:
    found = page.locator(".saved-copy")
    return " ".join(found.inner_text().split()) if found.count() else ""


def id_at_work(page: Page) -> set[str]:
    return {name.rsplit(" ", 1)[1] for name in kept(page)}


def test_a_visited_recipe_is_read_without_a_network_and_says_what_it_is(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, "index.html", PORRIDGE)
    assert notice(page) == ""
    said = page.inner_text("#allergens")
    reader.set_offline(True)
    page.goto(site.server.url(PORRIDGE) + "?portions=6")
    text = notice(page)
    today = page.evaluate("new Intl.DateTimeFormat('en-GB', {dateStyle: 'long'}).format(new Date())")
    (number,) = id_at_work(page)
    assert f"Saved copy of {today}" in text
    assert "allergens and figures may have changed since" in text
    assert number in text
    assert page.inner_text("#allergens") == said
    assert page.inner_text(".energy-figure") != ""
    top = page.locator(".saved-copy").bounding_box()
    page.mouse.wheel(0, 2500)
    page.wait_for_timeout(200)
    now = page.locator(".saved-copy").bounding_box()
    assert top is not None
    assert now is not None
    assert 0 <= now["y"] <= top["y"], "it stays in sight"
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_saved_copies_keep_the_accessibility_rules(site: Site, reader: BrowserContext, scheme: str) -> None:
    page = opened(site, reader, PORRIDGE)
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]  # 'light' or 'dark'
    reader.set_offline(True)
    (OUTPUT / "pages").mkdir(parents=True, exist_ok=True)
    for path, name in ((PORRIDGE, "saved-copy"), (BOWL, "not-saved")):
        page.goto(site.server.url(path))
        page.screenshot(path=str(OUTPUT / "pages" / f"{name}-{scheme}-360.png"))
        assert violations(page) == [], name


def test_the_notice_is_on_paper(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, PORRIDGE)
    reader.set_offline(True)
    page.reload()
    page.emulate_media(media="print")
    assert page.locator(".saved-copy strong").is_visible()


def test_a_new_allergen_is_shown_at_once_and_the_old_never_again(site: Site, reader: BrowserContext) -> None:
    """The host lets pages be kept for an hour: they are asked for anew all the same."""
    page = opened(site, reader, "index.html", BOWL, PORRIDGE)
    (before,) = id_at_work(page)
    site.server.stop()
    page.reload()
    assert before in notice(page)
    assert "celery" not in page.inner_text("#allergens")
    after = site.oats_with_celery()
    assert after != before
    site.server.start()
    page.goto(site.server.url(PORRIDGE))
    assert "celery" in page.inner_text("#allergens")
    assert notice(page) == ""
    until(page, lambda: id_at_work(page) == {after}, "the old publication's copies are gone")
    site.server.stop()
    for path in (PORRIDGE, BOWL):  # the bowl was not opened again: it was saved anew with the publication
        page.goto(site.server.url(path))
        assert after in notice(page)
        assert "celery" in page.inner_text("#allergens"), path


def test_a_saved_copy_gives_way_by_itself_when_the_network_answers(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, PORRIDGE)
    reader.set_offline(True)
    page.reload()
    assert notice(page)
    site.oats_with_celery()
    reader.set_offline(False)
    until(page, lambda: "celery" in page.inner_text("#allergens"), "the page as it is now")
    assert notice(page) == ""


def test_nobody_who_cooks_loses_a_running_timer(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, PORRIDGE)
    reader.set_offline(True)
    page.reload()
    page.locator("#method button.timer").first.click()
    site.oats_with_celery()
    reader.set_offline(False)
    until(page, lambda: "answers again" in notice(page), "word that the network answers")
    assert page.locator(".dock-timer").count() == 1
    page.locator(".saved-copy a").click()
    until(page, lambda: "celery" in page.inner_text("#allergens"), "the page as it is now")


def test_an_open_page_says_when_it_was_published_anew(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, "index.html", PORRIDGE)
    other = reader.new_page()
    other.goto(site.server.url(BOWL))
    site.oats_with_celery()
    other.goto(site.server.url("index.html"))
    until(page, lambda: "published anew" in notice(page), "word of the new publication")
    assert notice(other) == "", "a page that reads as before says nothing"
    page.locator(".saved-copy a").click()
    until(page, lambda: "celery" in page.inner_text("#allergens"), "the page as it is now")


def test_find_is_kept_with_the_index_of_its_publication(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, "index.html", FIND)

    def index() -> set[str]:
        """The index's files that are saved, but for the summaries."""
        saved = {url.partition("/kitchen/")[2] for urls in kept(page).values() for url in urls if "/search/" in url}
        return {name for name in saved if "/lines-" not in name}

    def named() -> set[str]:
        """Those that the published page names."""
        return set(re.findall(r"search/[a-z]+\.[0-9a-f]+\.js", (site.out / FIND).read_text(encoding="utf-8")))

    assert {name.partition(".")[0] for name in named()} >= {"search/columns", "search/titles", "search/words"}
    until(page, lambda: index() == named(), "the index, words and all, though no word was looked for")
    reader.set_offline(True)
    page.goto(site.server.url(FIND) + "?without=milk")
    assert "Saved copy" in notice(page)
    until(page, lambda: page.inner_text("#find-count").startswith("0"), "an answer of the index")
    page.goto(site.server.url(FIND) + "?q=oats")
    until(page, lambda: "2" in page.inner_text("#find-count"), "an answer of the words")
    reader.set_offline(False)
    site.hub.edit("recipes/porridge.md", "title: Porridge", "title: River porridge")
    after = site.publish()
    page.goto(site.server.url("index.html"))
    until(page, lambda: id_at_work(page) == {after}, "the new publication")
    reader.set_offline(True)
    page.goto(site.server.url(FIND) + "?q=river")
    until(page, lambda: re.match("[1-9]", page.inner_text("#find-count")), "an answer of the new index")
    assert index() == named()


def test_what_is_not_saved_says_so_and_lists_what_is(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, "index.html", PORRIDGE)
    reader.set_offline(True)
    page.goto(site.server.url(BOWL))
    assert page.inner_text("h1") == "Not saved on this device"
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(250, 247, 240)", "it has its style"
    page.locator(".saved-pages a", has_text="Porridge").click()
    assert "Saved copy" in notice(page)
    assert page.inner_text("h1") == "Porridge"
    page.goto(site.server.url(BOWL))
    reader.set_offline(False)
    until(page, lambda: page.inner_text("h1") == "Fruit bowl", "the page that was wanted")


def test_a_recipe_that_was_taken_down_is_not_kept(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, "index.html", BOWL, PORRIDGE)
    (site.hub.root / "recipes/snacks/fruit-bowl.md").unlink()
    after = site.publish()
    page.goto(site.server.url(BOWL))
    until(page, lambda: id_at_work(page) == {after}, "the new publication")
    reader.set_offline(True)
    page.goto(site.server.url(BOWL))
    assert page.inner_text("h1") == "Not saved on this device"
    assert page.locator(".saved-pages a", has_text="Fruit bowl").count() == 0


def test_a_gateway_s_error_is_no_answer_of_the_site(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, PORRIDGE)
    site.server.status = HTTPStatus.BAD_GATEWAY
    page.reload()
    assert "Saved copy" in notice(page)
    site.server.status = HTTPStatus.INTERNAL_SERVER_ERROR
    answer = page.reload()
    assert answer is not None
    assert answer.status == 500


def test_figures_to_download_are_never_saved_and_pictures_of_cards_neither(site: Site, reader: BrowserContext) -> None:
    page = opened(site, reader, PORRIDGE)
    facts = site.server.url("recipes/porridge/facts.json")
    assert page.evaluate("url => fetch(url).then(answer => answer.ok)", facts)
    reader.set_offline(True)
    assert page.evaluate("url => fetch(url).then(() => 'came', () => 'none')", facts) == "none", (
        "not from elsewhere either"
    )
    assert not [url for urls in kept(page).values() for url in urls if url.endswith((".json", ".csv", "card.png"))]


def test_a_bounded_number_of_pages_is_kept(site: Site, reader: BrowserContext) -> None:
    for number in range(14):
        source = (site.hub.root / "recipes/porridge.md").read_text(encoding="utf-8")
        site.hub.write(f"recipes/more-{number}.md", source.replace("title: Porridge", f"title: More {number}"))
    site.publish()
    worker = site.out / "service-worker.js"
    text = site.worker()
    assert "MOST_PAGES = 80" in text
    worker.unlink()
    worker.write_text(text.replace("MOST_PAGES = 80", "MOST_PAGES = 5"), encoding="utf-8")
    page = opened(site, reader, "index.html")
    for number in range(14):
        page.goto(site.server.url(f"recipes/more-{number}/index.html"))

    def pages() -> set[str]:
        return {url.split("/")[-2] for name, urls in kept(page).items() if " pages " in name for url in urls}

    wanted = {"kitchen", "offline", *(f"more-{number}" for number in range(9, 14))}
    until(page, lambda: pages() == wanted, "the last five and the two that every device keeps")


def test_nothing_of_a_neighbour_is_touched(site: Site, reader: BrowserContext) -> None:
    """Another hub below the same host, and a page beside this one: each has its own copies."""
    other = reader.new_page()
    other.goto(site.server.url("../"))
    other.evaluate("caches.open('gramwright somewhere else pages 1').then(() => 0)")
    page = opened(site, reader, PORRIDGE)
    site.oats_with_celery()
    page.goto(site.server.url("index.html"))
    until(page, lambda: len(kept(page)) == 3, "one publication's caches and the neighbour's")
    assert "gramwright somewhere else pages 1" in kept(page)
    assert other.evaluate("navigator.serviceWorker.controller === null")


def test_opened_from_disk_nothing_is_signed_up_and_nothing_breaks(site: Site, reader: BrowserContext) -> None:
    page = reader.new_page()
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(message.text))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.goto((site.out / PORRIDGE).as_uri())
    page.wait_for_timeout(300)
    assert wrong == []
    assert reader.service_workers == []


def test_the_policy_is_kept_and_the_worker_is_a_plain_file(site: Site, reader: BrowserContext) -> None:
    page = reader.new_page()
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(message.text))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.goto(site.server.url(PORRIDGE))
    page.evaluate("navigator.serviceWorker.ready.then(() => 0)")
    page.reload()
    page.wait_for_timeout(300)
    assert wrong == []
    assert page.evaluate("navigator.serviceWorker.controller.scriptURL") == site.server.url("service-worker.js")
    scope = page.evaluate("navigator.serviceWorker.ready.then(ready => ready.scope)")
    assert scope == site.server.url("")


def test_it_can_be_installed(site: Site, reader: BrowserContext) -> None:
    """Chromium's own judgement of the manifest, icons and worker (DevTools protocol, Page domain)."""
    page = opened(site, reader, "index.html")
    session = reader.new_cdp_session(page)
    session.send("Page.enable")
    manifest = session.send("Page.getAppManifest")
    assert manifest["url"] == site.server.url("manifest.webmanifest")
    assert manifest["errors"] == []
    found = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
    # A private window is the only thing that may stand in the way: the tests' windows are private.
    assert {error["errorId"] for error in found} <= {"in-incognito"}
