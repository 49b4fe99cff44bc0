"""The preview in Chromium: a save reaches the open page by itself, what is wrong stands on it with file and line."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from tests.browser.find_page import wait
from tests.publishing.hub_make import Hub, hub

from gramwright.publishing.preview import Preview

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

__all__ = ["hub"]
pytestmark = pytest.mark.browser


@pytest.fixture
def preview(hub: Hub) -> Iterator[Preview]:
    with Preview(hub.root, 0) as running:
        yield running


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context()
    yield context.new_page()
    context.close()


def test_a_save_reaches_the_open_page(hub: Hub, preview: Preview, page: Page) -> None:
    page.goto(f"{preview.address}recipes/porridge/")
    hub.edit("recipes/porridge.md", "Stir for ten minutes", "Stir for twelve minutes")
    page.get_by_text("Stir for twelve minutes").wait_for()


def test_a_list_that_is_open_follows(hub: Hub, preview: Preview, page: Page) -> None:
    page.goto(f"{preview.address}recipes/")
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Oat porridge")
    page.get_by_text("Oat porridge").first.wait_for()


def test_a_page_is_loaded_once_for_a_save(hub: Hub, preview: Preview, page: Page) -> None:
    """Once when it was saved, not again when the rest is built."""
    loads: list[str] = []
    page.on("load", lambda _: loads.append(page.url))
    page.goto(f"{preview.address}recipes/porridge/")
    hub.edit("recipes/porridge.md", "Stir for ten minutes", "Stir for twelve minutes")
    page.get_by_text("Stir for twelve minutes").wait_for()
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Oat porridge")
    page.get_by_role("heading", name="Oat porridge").wait_for()
    wait(page, "fetch('/recipes/').then(r => r.text()).then(t => t.includes('Oat porridge'))")
    page.wait_for_timeout(500)
    assert len(loads) == 3


def test_what_is_wrong_stands_on_the_page_and_goes_when_it_is_mended(hub: Hub, preview: Preview, page: Page) -> None:
    page.goto(f"{preview.address}recipes/porridge/")
    hub.edit("recipes/porridge.md", "80 g test oats", "80 g test oast")
    shown = page.locator(".preview-problems")
    shown.get_by_text("recipes/porridge.md:13").wait_for()
    assert "test oast" in shown.inner_text()
    assert page.locator("h1").inner_text() == "Porridge"
    hub.edit("recipes/porridge.md", "80 g test oast", "90 g test oats")
    shown.wait_for(state="detached")
    page.get_by_text("90").first.wait_for()
