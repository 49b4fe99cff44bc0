"""Declarations by further rule sets in a browser: opened by keyboard, without a script, and never stale."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser
from tests.demo.demo_read import read_demo
from tests.site.cook_by_hand import Table

from gramwright.labelling import rulesets
from gramwright.labelling.label import label
from gramwright.model import Ingredient, Row, Scale
from gramwright.nutrition.dish import compute
from gramwright.problems import ProblemLog
from gramwright.site import words
from gramwright.site.pages import recipe
from gramwright.site.theme import Theme

pytestmark = pytest.mark.browser

PORRIDGE = "first-outing-porridge"
NUTS = ".pick input[data-at='7']"
WRITTEN = "Shown for the recipe as written only"


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration's porridge with three further rule sets, on disk with its assets."""
    root = tmp_path_factory.mktemp("others")
    demo = read_demo()
    kitchen, cooked = demo.kitchen, demo.recipes[PORRIDGE]
    theme = Theme(kitchen.settings)
    table = Table(kitchen, kitchen.rules, words.load("en", None))
    others = [
        (rules, label(cooked.dish, rules, kitchen.books, kitchen.settings, kitchen.vocabulary, log, kitchen.today))
        for rules, log in ((rulesets.load(name), ProblemLog()) for name in ("us", "anz", "codex"))
    ]
    files = dict(theme.asset_files())
    files |= recipe.render(
        theme, cooked.dish, cooked.label, known=lambda _: True, log=ProblemLog(), bench=table.bench,
        today=kitchen.today, others=others,
    )  # fmt: skip
    for path, data in files.items():
        target = root / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return root / "recipes" / PORRIDGE / "index.html"


@pytest.mark.parametrize("width", [360, 1280])
def test_opened_by_keyboard_without_a_script(browser: Browser, page_file: Path, width: int) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": width, "height": 900})
    page = context.new_page()
    page.goto(page_file.as_uri())
    table = page.locator("#by-us table")
    assert not table.is_visible()
    page.locator("#by-us summary").focus()
    page.keyboard.press("Enter")
    assert table.is_visible()
    assert "Total Carbohydrate" in table.inner_text()
    assert not page.get_by_text(WRITTEN).is_visible()
    page.locator("#by-anz summary").click()
    box = page.locator("#by-anz table").bounding_box()
    assert box is not None
    assert box["x"] + box["width"] <= width, "the table stays on the page"
    assert page.locator("#by-us summary").bounding_box()["height"] >= 44  # type: ignore[index]
    context.close()


def test_a_choice_puts_them_away_and_says_so(browser: Browser, page_file: Path) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto(page_file.as_uri())
    page.locator("#by-us summary").click()
    table, own = page.locator("#by-us table"), page.locator("#declaration > div > table.declaration")
    before = own.inner_text()
    page.locator(NUTS).check()
    page.wait_for_selector("body.is-changed")
    assert own.inner_text() != before, "the hub's own declaration follows"
    assert not table.is_visible()
    assert page.get_by_text(WRITTEN).is_visible()
    page.locator(NUTS).uncheck()
    page.wait_for_selector("body:not(.is-chosen)")
    assert table.is_visible()
    assert not page.get_by_text(WRITTEN).is_visible()
    context.close()


def test_salt_to_taste_stays_at_least_with_a_choice(browser: Browser, tmp_path: Path) -> None:
    """The porridge with salt to taste: the browser says of a choice what the page said of the recipe as written."""
    demo = read_demo()
    kitchen, written = demo.kitchen, demo.recipes[PORRIDGE].dish
    salt = kitchen.table.get("salt")
    row = Row("", None, "salt", written.page.place, "salt, to taste", food="salt")
    rows = (*written.ingredients, Ingredient(row, salt, None, Scale.TASTE, "", 0.0, 0.0, 0.0, 0.0))
    dish = compute(written.page, rows, kitchen.books, ProblemLog())
    assert dish is not None
    table = Table(kitchen, kitchen.rules, words.load("en", None))
    theme = Theme(kitchen.settings)
    files = dict(theme.asset_files()) | recipe.render(
        theme,
        dish,
        table.labelled(dish),
        known=lambda _: True,
        log=ProblemLog(),
        bench=table.bench,
        today=kitchen.today,
    )
    for path, data in files.items():
        target = tmp_path / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    page = browser.new_page()
    page.goto((tmp_path / "recipes" / PORRIDGE / "index.html").as_uri())
    note = page.get_by_text("≥ means at least: salt as recorded, without salt added to taste.")
    salted = page.locator("#declaration tr", has_text="salt")
    assert note.is_visible()
    assert "≥" in salted.inner_text()
    page.locator(NUTS).check()
    page.wait_for_selector("body.is-changed")
    assert note.is_visible()
    assert "≥" in salted.inner_text()
    page.close()
