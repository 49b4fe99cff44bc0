"""Time charts in Chromium: bars where they belong, text that can be read, the same list on every page, light and dark.

Contrast by WCAG 2.2: 1.4.3 (text 4.5 : 1), 1.4.11 (graphics 3 : 1); relative luminance as defined there.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from gramwright.publishing.build import publish

pytestmark = pytest.mark.browser

DEMO = Path(__file__).resolve().parents[2] / "site_demo"
PLAN = "plans/regatta-week/index.html"
SESSION = "plans/regatta-week/session/index.html"
PACK = "plans/regatta-week/print/index.html"
RECIPE = "recipes/long-row-pasta-bake/index.html"
CHARTS = (PLAN, PACK, RECIPE)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo hub, without share cards."""
    root = tmp_path_factory.mktemp("schedule") / "hub"
    shutil.copytree(DEMO, root, ignore=shutil.ignore_patterns("published", ".gramwright"))
    settings = root / "hub.yaml"
    settings.write_text(settings.read_text(encoding="utf-8") + "share_cards: no\n", encoding="utf-8")
    result = publish(root, date(2026, 11, 25))
    assert not result.has_errors, result.problems
    return root / "published"


def opened(browser: Browser, site: Path, path: str, width: int, scheme: str = "light") -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme="dark" if scheme == "dark" else "light"
    )
    page = context.new_page()
    page.goto((site / path).as_uri())
    yield page
    context.close()


LANES = """() => [...document.querySelectorAll(".schedule-strip")].map((strip) => {
  const box = (node) => { const b = node.getBoundingClientRect(); return [b.left, b.right, b.top, b.bottom]; };
  return {strip: box(strip), bars: [...strip.querySelectorAll("rect")].map(box),
          label: strip.getAttribute("aria-label"),
          titles: [...strip.querySelectorAll("rect title")].map((t) => t.textContent)};
})"""


@pytest.mark.parametrize("width", [320, 360, 1280])
@pytest.mark.parametrize("path", CHARTS)
def test_bars_lie_inside_their_lane_and_beside_one_another(browser: Browser, site: Path, path: str, width: int) -> None:
    for page in opened(browser, site, path, width):
        lanes: list[dict[str, Any]] = page.evaluate(LANES)
        assert len(lanes) >= 5
        for lane in lanes:
            left, right, top, bottom = lane["strip"]
            assert right <= width
            assert lane["bars"]
            ordered = sorted(lane["bars"])
            for bar in ordered:
                assert bar[0] >= left - 0.6
                assert bar[1] <= right + 0.6
                assert bar[2] >= top - 0.6
                assert bar[3] <= bottom + 0.6
                assert bar[1] - bar[0] >= 1, "a bar that cannot be seen"
            for one, after in pairwise(ordered):
                assert after[0] >= one[1] - 0.6, lane["label"]


@pytest.mark.parametrize("width", [320, 360, 1280])
@pytest.mark.parametrize("path", CHARTS)
def test_the_axis_can_be_read(browser: Browser, site: Path, path: str, width: int) -> None:
    for page in opened(browser, site, path, width):
        texts: list[list[Any]] = page.evaluate(
            """() => [...document.querySelectorAll(".schedule-axis")].map((axis) => [...axis.querySelectorAll("text")]
              .filter((t) => getComputedStyle(t).display !== "none")
              .map((t) => [t.getBoundingClientRect().left, t.getBoundingClientRect().right, t.textContent,
                           parseFloat(getComputedStyle(t).fontSize)]))"""
        )
        for axis in texts:
            assert len(axis) >= 3
            for one, after in pairwise(axis):
                assert one[1] + 4 <= after[0], f"{one[2]} runs into {after[2]}"
            assert axis[0][2] == "0:00"
            assert axis[-1][1] <= width
            assert all(text[3] >= 12 for text in axis), "text of less than 12 px"
        sizes = page.evaluate(
            """() => [...document.querySelectorAll(".schedule-name, .schedule-how, .schedule-dishes li")]
              .map((node) => parseFloat(getComputedStyle(node).fontSize))"""
        )
        assert min(sizes) >= 13


@pytest.mark.parametrize("path", CHARTS)
def test_a_chart_is_said_as_well_as_drawn(browser: Browser, site: Path, path: str) -> None:
    """Each lane has a name with every bar's times and task; the list beneath says the same as text."""
    for page in opened(browser, site, path, 1280):
        lanes: list[dict[str, Any]] = page.evaluate(LANES)
        lines = " ".join(page.locator(".schedule-lines").all_inner_texts()).casefold()
        for lane in lanes:
            name, _, rest = lane["label"].partition(": ")
            assert name
            assert len(lane["titles"]) == len(lane["bars"])
            for title in lane["titles"]:
                assert title in rest
                assert re.match(r"\d+:\d\d–\d+:\d\d \S", title)
                task = re.sub(r"^\S+ | \([^()]*\)$", "", title).casefold()
                assert task in lines
        assert page.locator(".schedule-strip:not([role=img])").count() == 0


CONTRAST = """(selector) => {
  const rgb = (text) => (text.match(/[\\d.]+/g) || []).map(Number);
  const light = (c) => { const l = c.slice(0, 3).map((v) => { v /= 255;
    return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * l[0] + 0.7152 * l[1] + 0.0722 * l[2]; };
  const behind = (node) => { for (let n = node; n; n = n.parentElement) {
    const c = rgb(getComputedStyle(n).backgroundColor); if (c.length === 3 || c[3] > 0) return c; }
    return [255, 255, 255]; };
  return [...document.querySelectorAll(selector)].map((node) => {
    const style = getComputedStyle(node);
    const ink = rgb(node instanceof SVGElement ? style.fill : style.color);
    const ground = behind(node.closest("pattern") ? document.querySelector(".schedule") : node);
    const [a, b] = [light(ink), light(ground)];
    return [(Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), node.textContent || node.getAttribute("class")];
  });
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", [PLAN, RECIPE, SESSION])
def test_contrast(browser: Browser, site: Path, path: str, scheme: str) -> None:
    for page in opened(browser, site, path, 1280, scheme):
        words = page.evaluate(
            CONTRAST, ".schedule-how, .schedule-at, .schedule-at .soft, .schedule-said b, .schedule-name"
        )
        words += page.evaluate(CONTRAST, ".schedule-axis text, .step-timer, .schedule-dishes li")
        assert words
        assert min(words)[0] >= 4.5, min(words)
        if path == SESSION:
            continue
        fills = page.evaluate(CONTRAST, "pattern rect[class^=dish-tint]")
        assert fills
        assert min(fills)[0] >= 3, min(fills)


def said(page: Page) -> list[tuple[str, str]]:
    what = page.locator(".schedule-lines b").all_inner_texts()
    how = [text.replace("\n", " ") for text in page.locator(".schedule-lines .schedule-said").all_inner_texts()]
    return list(zip(what, how, strict=True))


def test_every_page_of_a_plan_shows_the_same_list(browser: Browser, site: Path) -> None:
    lists = []
    for path in (PLAN, PACK, SESSION):
        for page in opened(browser, site, path, 1280):
            lists.append(said(page))
    assert len(lists[0]) > 20
    assert lists[0] == lists[1] == lists[2]


def test_timers_of_the_session(browser: Browser, site: Path) -> None:
    """Two run at once, one is stopped, the other rings; what is ticked off stays so."""
    context = browser.new_context(viewport={"width": 360, "height": 780})
    page = context.new_page()
    page.clock.install()
    page.goto((site / SESSION).as_uri())
    timers = page.locator(".step-timer")
    assert timers.count() >= 8
    first, second = timers.nth(0), timers.nth(1)
    for button in (first, second):
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= 44
        assert box["x"] + box["width"] <= 360
        assert re.fullmatch(r"\S+ \d+:\d\d", button.inner_text())
    before = second.inner_text()
    first.click()
    second.click()
    page.clock.run_for(61_000)
    assert "runs" in (first.get_attribute("class") or "")
    assert second.inner_text() != before
    second.click()
    assert second.inner_text() == before, "stopped, and set back"
    page.clock.run_for(1000 * int(first.get_attribute("data-seconds") or 0))
    assert "done" in (first.get_attribute("class") or "")
    assert (first.get_attribute("data-name") or "?") in (page.locator("[data-say]").text_content() or "")
    boxes = page.locator(".schedule-work input")
    target = page.locator("label.schedule-what").first.bounding_box()
    assert target is not None
    assert target["height"] >= 44
    boxes.nth(2).check()
    page.reload()
    assert [boxes.nth(at).is_checked() for at in range(4)] == [False, False, True, False]
    context.close()


def test_without_scripts_the_session_is_a_list_without_dead_buttons(browser: Browser, site: Path) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 780})
    page = context.new_page()
    page.goto((site / SESSION).as_uri())
    assert page.locator(".schedule-lines b").count() > 20
    assert page.locator(".step-timer:visible").count() == 0
    context.close()


def test_on_paper(browser: Browser, site: Path) -> None:
    """Charts keep their ink and stay on one sheet each; nothing to press is printed."""
    for page in opened(browser, site, PACK, 794):
        page.emulate_media(media="print")
        assert page.locator(".step-timer:visible").count() == 0
        assert page.locator(".schedule-work .box").count() == page.locator(".schedule-lines b").count()
        kept = page.evaluate(
            """() => [...document.querySelectorAll(".schedule-strip rect, .schedule-how .swatch rect")]
              .map((bar) => getComputedStyle(bar).printColorAdjust)"""
        )
        assert set(kept) == {"exact"}
        assert page.evaluate("getComputedStyle(document.querySelector('.schedule')).breakInside") == "avoid"
        printed = page.pdf(format="A4")
        assert 3 <= len(re.findall(rb"/Type\s*/Page[^s]", printed)) <= 8


def test_a_recipe_without_steps_has_no_timeline(browser: Browser, site: Path) -> None:
    for page in opened(browser, site, "recipes/cider-mussels/index.html", 360):
        assert page.locator(".timeline, .schedule").count() == 0
    for page in opened(browser, site, RECIPE, 360):
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        assert page.locator(".timeline h2").count() == 1
        page.emulate_media(media="print")
        assert not page.locator(".timeline").is_visible(), "a recipe is printed on one page"
