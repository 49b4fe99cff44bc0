"""A plan's pages in Chromium: widths, the ticks that stay, the timers, the print pack on paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from tests.prep.prep_make import PLAN, with_plan
from tests.publishing.hub_make import FOODS, HUB, Hub

from gramwright.publishing.build import publish

pytestmark = pytest.mark.browser

STEPS = """
```steps
- {step: chop, hands: 10 min}
- {step: simmer, wait: 20-25 min, rings: 1}
```
"""


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    hub = Hub(tmp_path_factory.mktemp("plan") / "hub")
    hub.write("hub.yaml", HUB)
    hub.write("foods/own.csv", FOODS)
    with_plan(hub, PLAN.replace("400-3000", "700-900"))
    for name in ("stew", "soup"):
        path = hub.root / "recipes" / f"{name}.md"
        path.write_text(path.read_text(encoding="utf-8") + STEPS, encoding="utf-8")
    result = publish(hub.root, date(2026, 11, 25))
    assert not result.has_errors, result.problems
    return hub.site / "plans" / "two-days"


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 360, "height": 780})
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("width", [320, 390, 1280])
@pytest.mark.parametrize("name", ["index.html", "session/index.html", "print/index.html", "../index.html"])
def test_nothing_sticks_out_and_nothing_goes_wrong(browser: Browser, site: Path, name: str, width: int) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800})
    page = context.new_page()
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(message.text))
    page.on("request", lambda request: None if request.url.startswith("file:") else wrong.append(request.url))
    page.goto((site / name).resolve().as_uri())
    assert wrong == []
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    context.close()


def test_the_target_is_marked_where_it_lies(browser: Browser, site: Path) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto((site / "index.html").as_uri())
    person = page.locator(".plan-person", has_text="Ada").first
    edge, span = (person.locator(each).first.bounding_box() for each in (".rule-edge", ".rule-span rect"))
    assert edge is not None
    assert span is not None
    end = float((person.locator(".rule-numbers text").last.text_content() or "").replace("\u202f", ""))
    for place, kcal in ((span["x"], 700), (span["x"] + span["width"], 900)):
        assert (place - edge["x"]) / edge["width"] == pytest.approx(kcal / end, abs=0.005)
    assert person.locator(".plan-mend").count() == 1
    context.close()


def test_on_a_phone_the_last_day_says_what_it_is(page: Page, site: Path) -> None:
    """The table's head is not shown there."""
    page.goto((site / "index.html").as_uri())
    assert not page.locator(".plan-kept thead").is_visible()
    said = page.evaluate("getComputedStyle(document.querySelector('.plan-kept td:last-child'), '::before').content")
    assert "Use by" in said


def test_ticks_stay(page: Page, site: Path) -> None:
    page.goto((site / "index.html").as_uri())
    box = page.locator(".plan-aisle input").first
    label = page.locator(".plan-aisle label").first.bounding_box()
    assert label is not None
    assert label["height"] >= 44
    box.check()
    page.reload()
    assert page.locator(".plan-aisle input").first.is_checked()
    assert not page.locator(".plan-aisle input").nth(1).is_checked()


def test_a_timer_runs_and_ends(page: Page, site: Path) -> None:
    page.clock.install()
    page.goto((site / "session/index.html").as_uri())
    button = page.locator(".step-timer").first
    seconds = int(button.get_attribute("data-seconds") or 0)
    assert seconds == 25 * 60, "the high end of the waiting"
    button.click()
    page.clock.run_for(1000 * 60)
    assert button.inner_text() in ("24:00", "24:01")
    page.clock.run_for(1000 * 60 * 24 + 1500)
    assert "done" in (button.get_attribute("class") or "")
    assert "simmer" in (page.locator("[data-say]").text_content() or "").lower()


def test_the_print_pack(page: Page, site: Path) -> None:
    page.goto((site / "print/index.html").as_uri())
    printed = page.pdf(format="A4")
    assert len(re.findall(rb"/Type\s*/Page[^s]", printed)) == 3, "shopping, cooking, labels"
    labels = page.locator(".plan-label").all_inner_texts()
    assert len(labels) == 5
    assert all("Use by" in text or "use by" in text for text in labels)
    page.emulate_media(media="print")
    assert not page.locator(".step-timer").first.is_visible()
    assert not page.locator(".masthead").is_visible()
