"""Pages in a real browser, opened from disk: widths from 320 px, light and dark, print, keyboard."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from tests.site.site_make import hostile_site, plain_site

pytestmark = pytest.mark.browser

KINDS = (
    "index.html",
    "recipes/index.html",
    "recipes/barley-squash-tray/index.html",
    "foods/index.html",
    "foods/chickpeas-canned-drained/index.html",
    "foods/oddity/index.html",
    "method/index.html",
    "corrections/index.html",
    "meals/lunch/index.html",
)
RECIPE = "recipes/barley-squash-tray/index.html"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("site")
    for name, site in (("plain", plain_site()), ("hostile", hostile_site())):
        for path, data in site.items():
            target = root / name / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
    return root


def opened(browser: Browser, path: Path, **context: object) -> tuple[Page, list[str]]:
    """A page, and everything that went wrong while it loaded."""
    page = browser.new_context(**context).new_page()  # type: ignore[arg-type]  # context options by name
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(message.text))
    page.on("requestfailed", lambda request: wrong.append(f"failed: {request.url}"))
    page.on("request", lambda request: None if request.url.startswith("file:") else wrong.append(request.url))
    page.on("dialog", lambda dialog: wrong.append(f"a dialog said {dialog.message}"))
    page.goto(path.as_uri())
    return page, wrong


@pytest.mark.parametrize("width", [320, 360, 768, 1280])
def test_nothing_sticks_out_and_nothing_goes_wrong(browser: Browser, folder: Path, width: int) -> None:
    """WCAG 2.2, 1.4.10 (reflow at 320 px); the security policy is kept; nothing is asked of the network."""
    for kind in KINDS:
        page, wrong = opened(browser, folder / "plain" / kind, viewport={"width": width, "height": 800})
        assert wrong == [], kind
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, f"{kind} at {width} px"
        page.context.close()


def test_hostile_records_run_nothing(browser: Browser, folder: Path) -> None:
    for kind in (RECIPE, "index.html", "foods/index.html", "method/index.html"):
        page, wrong = opened(browser, folder / "hostile" / kind, viewport={"width": 360, "height": 800})
        assert wrong == [], kind
        page.context.close()


def test_text_keeps_its_distance_with_wide_spacing(browser: Browser, folder: Path) -> None:
    """WCAG 2.2, 1.4.12: line height 1.5, letters 0.12 em, words 0.16 em, paragraphs 2 em."""
    page, _ = opened(browser, folder / "plain" / RECIPE, viewport={"width": 360, "height": 800}, bypass_csp=True)
    page.add_style_tag(
        content="* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important }"
        "p { margin-bottom: 2em !important }"
    )
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    page.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_schemes_differ(browser: Browser, folder: Path, scheme: str) -> None:
    page, _ = opened(browser, folder / "plain" / RECIPE, color_scheme=scheme)
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert ground == {"light": "rgb(250, 247, 240)", "dark": "rgb(18, 25, 28)"}[scheme]
    page.context.close()


def test_a_recipe_prints_on_one_page(browser: Browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "plain" / RECIPE)
    for paper in ("A4", "Letter"):
        printed = page.pdf(format=paper)
        assert len(re.findall(rb"/Type\s*/Page[^s]", printed)) == 1, paper
    page.context.close()


def test_the_keyboard_reaches_the_text_first(browser: Browser, folder: Path) -> None:
    page, _ = opened(browser, folder / "plain" / RECIPE)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    box = page.locator(".skip").bounding_box()
    assert box is not None
    assert box["y"] >= 0, "it is seen when it has the focus"
    page.keyboard.press("Enter")
    assert page.url.endswith("#text")
    page.context.close()


def test_main_controls_are_large_enough(browser: Browser, folder: Path) -> None:
    """WCAG 2.2, 2.5.8: 24 px at least; the main ways through the site have 44 px."""
    page, _ = opened(browser, folder / "plain" / "index.html", viewport={"width": 360, "height": 800})
    for selector, least in ((".masthead-nav a", 44), (".home-find a", 44), (".meals a", 44), (".foot a", 24)):
        for box in (found.bounding_box() for found in page.locator(selector).all()):
            assert box is not None
            assert box["height"] >= least, selector
    page.context.close()


def test_the_rule_is_drawn_to_scale(browser: Browser, folder: Path) -> None:
    """The portion ends where its energy lies between the numbered ticks."""
    page, _ = opened(browser, folder / "plain" / RECIPE, viewport={"width": 1280, "height": 900})
    last = page.locator(".rule-pieces rect").last.bounding_box()
    edge = page.locator(".rule-edge").first.bounding_box()
    assert last is not None
    assert edge is not None
    energy = float(page.locator(".energy-figure").inner_text())
    end = float(page.locator(".rule-numbers text").last.text_content() or "")
    assert (last["x"] + last["width"] - edge["x"]) / edge["width"] == pytest.approx(energy / end, abs=0.004)
    page.context.close()
