"""Every page of the demonstration as published: what prints on one sheet, and valid HTML."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import html5lib
import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = [pytest.mark.browser, pytest.mark.long]


def test_recipes_print_on_one_sheet_in_type_that_can_be_read(browser: Browser, demo_site: Path) -> None:
    """Common practice, no source: nothing that is read while cooking is below 8.5 points."""
    pages = sorted((demo_site / "recipes").glob("*/index.html"))
    assert len(pages) > 30
    page = browser.new_page()
    page.emulate_media(media="print")
    longer = []
    for path in pages:
        page.goto(path.as_uri())
        if len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4"))) != 1:
            longer.append(path.parent.name)
        sizes = page.evaluate(
            "['.rows .what', '.rows .amount', '#method .prose', '.brief', '#allergens .allergens dd', "
            "'.listed > p:not(.fine)']"
            ".flatMap(each => [...document.querySelectorAll(each)]).map(e => parseFloat(getComputedStyle(e).fontSize))"
        )
        assert round(min(sizes) * 72 / 96, 2) >= 8.5, path.parent.name
    page.close()
    assert longer == []


def test_a_printed_choice_says_that_the_ingredient_list_is_not_of_it(browser: Browser, demo_site: Path) -> None:
    page = browser.new_page()
    page.goto((demo_site / "recipes/first-outing-porridge/index.html").as_uri())
    page.locator('[data-line="1.1"] .pick').click()
    page.wait_for_selector("body.is-changed")
    page.emulate_media(media="print")
    assert page.locator(".listed .if-changed").is_visible()
    assert not page.locator(".listed > p:not(.fine)").is_visible()
    page.close()


def test_every_page_is_valid_html(demo_site: Path) -> None:
    """By a parser that stops at the first thing that the HTML standard calls a parse error."""
    paths = sorted(demo_site.rglob("*.html"))
    assert len(paths) > 200
    for path in paths:
        tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(path.read_text(encoding="utf-8"))
        ids = [each.get("id") for each in tree.iter() if isinstance(each.tag, str) and each.get("id")]
        assert len(ids) == len(set(ids)), path
        assert tree.find(".//title").text, path
