"""Allergens in Chromium: left out on the find page, on paper, without JavaScript, a swap."""

from __future__ import annotations

import functools
import http.server
import threading
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from tests.browser.find_page import opened, settled, slugs, wait
from tests.site.allergen_hub import RandomHub, Row, Thing

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Says nothing."""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A published hub with a recipe for every state of milk, one through another recipe, and one with a swap."""
    things = (
        Thing("bado", ("milk", "wheat")),
        Thing("keto", (), ("milk",)),
        Thing("mabo", checked=False),
        Thing("pito", ("eggs",)),
        Thing("vuto", ("fish",), updated="2026-10-01"),
        Thing("gido", updated="2025-11-24"),
    )
    hub = RandomHub(tmp_path_factory.mktemp("hub"), "eu", {thing.name: thing for thing in things})
    hub.recipes = {
        "has-it": [Row("bado"), Row("pito")],
        "inside-it": [Row("pito"), Row("has-it")],
        "may-have-it": [Row("keto")],
        "not-checked": [Row("mabo"), Row("pito")],
        "old-pack": [Row("gido"), Row("pito")],
        "as-recorded": [Row("pito")],
        "with-a-swap": [Row("pito", swap="vuto"), Row("bado", optional=True)],
    }
    hub.publish()
    handler = functools.partial(_Quiet, directory=str(hub.root / "published"))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_address[1]}"
        server.shutdown()
        thread.join(5)


def test_leaving_milk_out_leaves_only_what_is_recorded_without_it(page: Page, address: str) -> None:
    opened(page, address)
    assert len(slugs(page)) == 7
    page.check("[data-list=without][value=milk]")
    settled(page)
    assert set(slugs(page)) == {"as-recorded", "with-a-swap"}
    assert "leaving out milk" in page.inner_text("main")
    page.check("#find-may")
    settled(page)
    assert set(slugs(page)) == {"as-recorded", "with-a-swap", "may-have-it"}
    marked = page.locator("#find-list li:has(a[href*='/may-have-it/']) .allergen-may mark")
    assert marked.text_content() == "milk"


def test_allergens_and_the_ingredient_list_are_on_paper(page: Page, address: str) -> None:
    page.goto(f"{address}/recipes/has-it/index.html")
    page.emulate_media(media="print")
    section = page.locator("#allergens")
    assert section.is_visible()
    assert page.locator("#allergens dl.allergens strong").all_inner_texts() == ["wheat", "eggs", "milk"]
    names = page.locator(".listed strong")
    assert set(names.all_inner_texts()) == {"WHEAT", "EGGS", "MILK"}
    weights = names.evaluate_all("all => all.map(each => Number(getComputedStyle(each).fontWeight))")
    assert min(weights) >= 600, "set apart by more than colour"
    assert page.locator(".brief").is_visible()
    page.goto(f"{address}/recipes/old-pack/index.html")
    assert page.locator("#allergens dl.allergens").get_by_text("Not known").is_visible()
    assert "(allergens not known)" in page.inner_text(".listed")


def test_without_javascript_allergens_and_lists_can_be_read(browser: Browser, address: str) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740})
    try:
        page = context.new_page()
        page.goto(f"{address}/recipes/inside-it/index.html")
        assert page.locator("#allergens dl.allergens strong").all_inner_texts() == ["wheat", "eggs", "milk"]
        assert "Has-It (" in page.inner_text(".listed"), "a recipe of its own is opened"
        page.goto(f"{address}/recipes/not-checked/index.html")
        assert page.locator("#allergens").get_by_text("may or may not be in it").is_visible()
        page.goto(f"{address}/recipes/with-a-swap/index.html")
        assert "fish" in page.inner_text(".rows .swap")
        page.goto(f"{address}/find/index.html")
        rows = page.locator("li.dish:visible .dish-allergens").all_inner_texts()
        assert len(rows) == 7
        assert all(text.strip() for text in rows), "a row never says nothing of allergens"
        assert page.locator("noscript").count() or page.get_by_text("Searching needs JavaScript").is_visible()
    finally:
        context.close()


def test_the_page_s_allergens_follow_a_swap_and_the_list_says_that_it_does_not(
    context: BrowserContext, address: str
) -> None:
    page = context.new_page()
    page.goto(f"{address}/recipes/with-a-swap/index.html")
    shown = "#allergens dl.allergens"
    assert page.locator(f"{shown} strong").all_inner_texts() == ["eggs"]
    page.check("input[name='row-0'][value='1']")
    wait(page, f"document.querySelector('{shown}').textContent.includes('fish')")
    assert page.locator(f"{shown} strong").all_inner_texts() == ["fish"]
    assert page.locator(".listed .if-changed").is_visible()
    page.check("input[name='row-1']")
    wait(page, f"document.querySelector('{shown}').textContent.includes('milk')")
    assert page.locator(f"{shown} strong").all_inner_texts() == ["wheat", "fish", "milk"]
