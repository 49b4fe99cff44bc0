"""A walk by keyboard alone: from find to a recipe and through everything that can be done there, and back."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.publishing.hub_make import Hub, hub

from gramwright.publishing.build import publish

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

__all__ = ["hub"]

FOCUSED = """() => {
  const here = document.activeElement;
  if (!here || here === document.body) return null;
  const box = here.getBoundingClientRect();
  const style = getComputedStyle(here);
  const at = document.elementFromPoint(box.left + Math.min(box.width, innerWidth) / 2, box.top + box.height / 2);
  return {
    name: (here.getAttribute("aria-label") ?? here.closest("label")?.textContent ?? here.textContent).trim(),
    tag: here.localName + (here.type ? ` ${here.type}` : ""),
    inside: box.bottom > 0 && box.top < innerHeight && box.width > 0 && box.height > 0,
    seen: [here, here.labels?.[0], here.closest("fieldset, .find-range")].some((part) => part?.contains(at)),
    outlined: style.outlineStyle !== "none" || getComputedStyle(here.parentElement).outlineStyle !== "none"
      || style.boxShadow !== "none",
  };
}"""


@pytest.fixture
def folder(hub: Hub) -> Path:
    hub.edit(
        "recipes/porridge.md", "- 400 g test milk", "- {amount: 400 g, food: test milk, swaps: [300 g test apple]}"
    )
    hub.edit("recipes/porridge.md", "Stir for ten minutes", "Stir for 10 minutes")
    result = publish(hub.root, date(2026, 3, 1), out=hub.site, workers=1)
    assert not result.has_errors
    return hub.site


def walk(page: Page, most: int = 120) -> list[dict[str, object]]:
    """Everything that the tabulator reaches from where it is, up to the foot's last link."""
    found: list[dict[str, object]] = []
    for _ in range(most):
        page.keyboard.press("Tab")
        here = page.evaluate(FOCUSED)
        if here is None:
            return found
        found.append(here)
    pytest.fail("the walk does not end")


@pytest.mark.parametrize("path", ["recipes/porridge/index.html", "find/index.html"])
@pytest.mark.parametrize("width", [360, 1280])
def test_whatever_has_the_focus_is_seen(browser: Browser, folder: Path, path: str, width: int) -> None:
    """WCAG 2.2, 2.1.1, 2.4.7 and 2.4.11: reached, marked, and not hidden behind anything."""
    page = browser.new_page(viewport={"width": width, "height": 700}, reduced_motion="reduce")
    page.goto((folder / path).as_uri() + ("?take=test-apple" if path.startswith("recipes") else ""))
    page.wait_for_timeout(600)
    if path.startswith("find") and width < 600:
        page.click("#find-narrow")
        page.evaluate("document.activeElement.blur()")
    reached = walk(page)
    assert len(reached) > 15
    for here in reached:
        assert here["inside"], here
        assert here["seen"], here
        assert here["outlined"] or here["tag"] == "input range", here
    page.close()


def test_from_a_search_to_a_weighed_bowl_by_keyboard(browser: Browser, folder: Path) -> None:
    page = browser.new_page(viewport={"width": 360, "height": 740}, reduced_motion="reduce")
    page.set_default_timeout(8000)
    page.goto((folder / "find" / "index.html").as_uri())
    page.locator("#find-text").focus()
    page.keyboard.type("porr")
    page.wait_for_timeout(900)
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.closest('#find-list') !== null"):
            break
    assert page.evaluate("document.activeElement.textContent").strip() == "Porridge"
    page.keyboard.press("Enter")
    page.wait_for_selector(".cook-bar")
    page.locator('[data-step="1"]').focus()
    page.keyboard.press("Space")
    assert "3 portions" in page.locator(".stepper output").inner_text()
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowDown")
    assert page.locator(".measures select").input_value() == "g"
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.locator("dialog.weigh").is_visible()
    assert page.evaluate("document.activeElement.closest('dialog') !== null"), "the focus goes into the view"
    for _ in range(12):
        if page.evaluate("document.activeElement.matches('.weigh-rows input')"):
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Space")
    assert page.locator(".weigh-rows input").first.is_checked()
    for _ in range(12):
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.closest('dialog, body') !== null")
    page.keyboard.press("Escape")
    page.wait_for_timeout(300)  # the view gives the focus back once it has closed
    assert not page.locator("dialog.weigh").is_visible()
    assert page.evaluate("document.activeElement.dataset.do") == "weigh"
    page.locator("#method button.timer").focus()
    page.keyboard.press("Enter")
    assert page.locator("#method button.timer").get_attribute("aria-pressed") == "true"
    page.keyboard.press("Enter")
    assert page.locator(".dock-timer").count() == 0
    page.go_back()
    page.wait_for_timeout(900)
    assert page.input_value("#find-text") == "porr"
    page.close()


def test_a_slider_goes_by_arrow_keys_and_says_where_it_stands(browser: Browser, folder: Path) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto((folder / "find" / "index.html").as_uri())
    page.wait_for_timeout(600)
    slider = page.locator("[data-field=kcal] .find-from")
    field = page.locator("[data-field=kcal]")
    before = field.screenshot()
    slider.focus()
    assert field.screenshot() != before, "the mark that has the focus looks otherwise"
    page.keyboard.press("ArrowRight")
    low = int(page.input_value("[data-field=kcal] .find-low"))
    assert low > 0
    page.keyboard.press("PageUp")
    assert int(page.input_value("[data-field=kcal] .find-low")) > low
    assert (slider.get_attribute("aria-label") or "").strip()
    assert (slider.get_attribute("aria-valuetext") or slider.input_value()).strip()
    page.keyboard.press("Home")
    assert page.input_value("[data-field=kcal] .find-low") == ""
    page.close()
