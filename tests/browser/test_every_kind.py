"""Every kind of page of the demonstration as published: accessibility rules, pictures for a person."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.browser.axe_rules import OUTPUT, violations

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.browser, pytest.mark.long]

KINDS = frozenset(
    "band-energy band-protein band-tag corrections find food foods home labels listing method missing offline plan "
    "plan-print plan-session plans recipe".split()
)
PORRIDGE = "recipes/first-outing-porridge/index.html"


@pytest.fixture(scope="module")
def kinds(demo_site: Path) -> dict[str, Path]:
    """Kind -> the longest page of that kind; lists by energy, by protein and by tag are told apart."""
    found: dict[str, Path] = {}
    for path in sorted(demo_site.rglob("*.html")):
        head = re.search(rb'<body class="page-([a-z-]+)', path.read_bytes())
        assert head, path
        kind = head[1].decode()
        if kind == "band":
            kind += "-" + path.relative_to(demo_site).parts[1]
        if kind not in found or path.stat().st_size > found[kind].stat().st_size:
            found[kind] = path
    return found


def opened(browser: Browser, path: Path, scheme: str, width: int) -> Page:
    context = browser.new_context(
        viewport={"width": width, "height": 780 if width < 600 else 900},
        color_scheme=scheme,  # type: ignore[arg-type]  # 'light' or 'dark'
        has_touch=width < 600,
        reduced_motion="reduce",
    )
    context.set_default_timeout(15_000)
    page = context.new_page()
    page.goto(path.as_uri())
    return page


def test_every_kind_of_page_is_here(kinds: dict[str, Path]) -> None:
    assert set(kinds) == KINDS


def test_the_accessibility_rules_find_what_is_wrong(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content("<img src='x'><p style='color: #ccc; background: #fff'>pale</p>")
    assert {"image-alt", "color-contrast", "html-has-lang"} <= {found.partition(":")[0] for found in violations(page)}
    page.close()


@pytest.mark.parametrize("width", [360, 1280])
def test_the_accessibility_rules_hold_and_the_page_can_be_looked_at(
    browser: Browser, kinds: dict[str, Path], width: int
) -> None:
    """Light on a wide screen, dark on a phone; the other two for a person to look at."""
    folder = OUTPUT / "pages"
    folder.mkdir(parents=True, exist_ok=True)
    wrong: dict[str, list[str]] = {}
    for kind, path in sorted(kinds.items()):
        page = opened(browser, path, "light", width)
        page.wait_for_load_state("load")
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            page.wait_for_timeout(50)
            seen = folder / f"{kind}-{scheme}-{width}.jpeg"  # drawn in half the time that a PNG takes
            page.screenshot(path=str(seen), full_page=True, type="jpeg", quality=85)
            if scheme == ("dark" if width < 600 else "light"):
                found = violations(page)
                if found:
                    wrong[kind] = found
        page.context.close()
    assert wrong == {}


@pytest.mark.parametrize("percent", [100, 200])
def test_nothing_sticks_out_at_320_px_whatever_the_size_of_text(
    browser: Browser, kinds: dict[str, Path], percent: int
) -> None:
    """WCAG 2.2, 1.4.10 (reflow at 320 px) and 1.4.4 (text at 200 %), both at once."""
    wrong = {}
    for kind, path in sorted(kinds.items()):
        context = browser.new_context(viewport={"width": 320, "height": 800}, bypass_csp=True, reduced_motion="reduce")
        page = context.new_page()
        page.goto(path.as_uri())
        page.add_style_tag(content=f"html {{ font-size: {1.0625 * percent}% !important }}")
        page.wait_for_timeout(200)
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        if over > 0:
            wrong[kind] = over
        context.close()
    assert wrong == {}


def changed(page: Page) -> None:
    page.locator('[data-line="1.1"] .pick').click()
    page.locator('[data-line="7.0"] .pick').click()
    page.wait_for_selector("body.is-changed")
    page.locator("#method button.timer").first.click()


def weighing(page: Page) -> None:
    page.locator("[data-do=weigh]").click()
    page.locator("dialog.weigh .bowl").check()
    page.locator("dialog.weigh .weigh-rows label").first.click()


def narrowed(page: Page) -> None:
    if page.is_visible("#find-narrow"):
        page.click("#find-narrow")
    page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true; })")
    page.fill("[data-field=kcal] .find-low", "200")
    page.check("[data-list=without][value=milk]")
    page.fill("#find-text", "soup")
    page.wait_for_timeout(800)


def nothing(page: Page) -> None:
    page.fill("[data-field=kcal] .find-low", "100", force=True)
    page.fill("[data-field=kcal] .find-high", "101", force=True)
    page.wait_for_timeout(800)
    assert page.is_visible("#find-none")


STATES: dict[str, tuple[str, Callable[[Page], None]]] = {
    "recipe-changed": (PORRIDGE, changed),
    "recipe-weighing": (PORRIDGE, weighing),
    "find-narrowed": ("find/index.html", narrowed),
    "find-nothing": ("find/index.html", nothing),
}


@pytest.mark.parametrize("state", sorted(STATES))
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_accessibility_rules_hold_while_a_page_is_used(
    browser: Browser, demo_site: Path, state: str, scheme: str
) -> None:
    (OUTPUT / "pages").mkdir(parents=True, exist_ok=True)
    path, use = STATES[state]
    page = opened(browser, demo_site / path, scheme, 360)
    for _ in range(100):
        if page.locator(".cook-bar:visible, .find-from:enabled").count():
            break
        page.wait_for_timeout(50)
    if state == "find-nothing":
        page.click("#find-narrow")
    use(page)
    page.screenshot(path=str(OUTPUT / "pages" / f"{state}-{scheme}-360.png"))
    assert violations(page) == []
    page.context.close()
