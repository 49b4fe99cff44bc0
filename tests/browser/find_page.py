"""The find page as its tests use it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page


def wait(page: Page, condition: str) -> None:
    """Waits until an expression holds. (Playwright's own way needs eval, which the page's policy refuses.)"""
    for _ in range(200):
        if page.evaluate(condition):
            return
        page.wait_for_timeout(50)
    pytest.fail(f"never came: {condition}")


def opened(page: Page, address: str, query: str = "") -> Page:
    """The find page, ready."""
    page.goto(f"{address}/find/index.html{query}")
    wait(page, "!document.getElementById('find-all').disabled")
    wait(page, "!document.querySelector('.find-from').disabled")
    return page


def slugs(page: Page) -> list[str]:
    """The recipes listed, after the list has been painted whole."""
    settled(page)
    links = page.eval_on_selector_all("#find-list h3 a", "links => links.map(link => link.getAttribute('href'))")
    return [str(link).split("/")[-2] for link in links]


def settled(page: Page) -> None:
    page.evaluate("new Promise(done => requestIdleCallback(() => requestIdleCallback(() => setTimeout(done, 50))))")


def count(page: Page) -> int:
    found = re.match(r"\d+", page.inner_text("#find-count").replace("\u202f", ""))
    assert found
    return int(found[0])
