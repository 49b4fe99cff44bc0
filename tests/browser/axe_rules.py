"""Accessibility rules over a page as it stands: axe-core's, all of them (WCAG 2.2 A and AA, good practice)."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

OUTPUT = Path(__file__).resolve().parents[1] / "output"
_RULES = OUTPUT / "axe-core" / "package" / "axe.min.js"
_RUN = """async () => {
  const found = await axe.run(document, { resultTypes: ["violations"] });
  return found.violations.map(({ id, help, nodes }) => `${id}: ${help}: `
    + nodes.slice(0, 4).map(({ target, any }) => `${target} ${any.map(({ message }) => message)}`).join(" | "));
}"""


@cache
def _rules() -> str:
    if not _RULES.is_file():
        pytest.fail("the accessibility rules are missing: sh .ci/axe fetches them, and make test does so by itself")
    return _RULES.read_text(encoding="utf-8")


def violations(page: Page) -> list[str]:
    """What is found: rule, what it asks for, where."""
    page.evaluate(f"{_rules()}; 0")
    found: list[str] = page.evaluate(_RUN)
    return found
