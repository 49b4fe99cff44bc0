"""German and Afrikaans in a real browser: long words at narrow widths, a reader's choice, search and weighing in words.

Reflow at 320 px: WCAG 2.2, 1.4.10. Screenshots of the German pages go to tests/output for a person to look at.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.site.language_read import HUBS, texts

from gramwright.cli import main

pytestmark = pytest.mark.browser

OUTPUT = Path(__file__).parent.parent / "output"
KINDS = (
    "index.html",
    "recipes/index.html",
    "recipes/linsensuppe/index.html",
    "recipes/honigbrot/index.html",
    "find/index.html",
    "find/protein/index.html",
    "foods/index.html",
    "foods/brot/index.html",
    "method/index.html",
    "corrections/index.html",
    "plans/index.html",
    "meals/breakfast/index.html",
    "404.html",
)
STICKING_OUT = """() => {
  const edge = document.documentElement.clientWidth;
  const clipped = (node) => {
    for (let up = node; up && up !== document.body; up = up.parentElement) {
      const style = getComputedStyle(up);
      if (style.overflowX !== "visible" || style.clipPath !== "none" || style.position === "absolute") return true;
    }
    return false;
  };
  const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  while (words.nextNode()) {
    const range = document.createRange();
    range.selectNodeContents(words.currentNode);
    for (const box of range.getClientRects())
      if (box.right > edge + 1 && box.width > 1 && !clipped(words.currentNode.parentElement))
        found.push(words.currentNode.textContent.trim());
  }
  return found;
}"""


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    made = {}
    for language in ("de", "af"):
        hub = tmp_path_factory.mktemp("languages") / language
        shutil.copytree(HUBS / language, hub)
        assert main(["publish", str(hub), "--out", str(hub / "out")]) == 0
        made[language] = hub / "out"
    return made


@pytest.fixture
def recipe(browser: Browser, sites: dict[str, Path]) -> Iterator[Page]:
    page = browser.new_context(viewport={"width": 360, "height": 800}).new_page()
    page.goto((sites["de"] / "recipes/linsensuppe/index.html").as_uri())
    yield page
    page.context.close()


@pytest.mark.parametrize("language", ["de", "af"])
@pytest.mark.parametrize("width", [320, 360])
def test_long_words_stay_on_a_narrow_page(browser: Browser, sites: dict[str, Path], language: str, width: int) -> None:
    page = browser.new_context(viewport={"width": width, "height": 800}).new_page()
    plan = sorted(path.parent.name for path in sites[language].glob("plans/*/index.html"))[0]
    kinds = (*KINDS, *(f"plans/{plan}{each}/index.html" for each in ("", "/session", "/print")))
    for kind in kinds:
        page.goto((sites[language] / kind).as_uri())
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, (kind, width)
        assert page.evaluate(STICKING_OUT) == [], (kind, width)
    page.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_german_pages_to_look_at(browser: Browser, sites: dict[str, Path], width: int, scheme: str) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": 900},
        color_scheme=scheme,  # type: ignore[arg-type]  # one of its literals
    )
    page = context.new_page()
    OUTPUT.mkdir(exist_ok=True)
    for kind in ("recipes/linsensuppe", "find", "plans/wochenende", "method"):
        page.goto((sites["de"] / kind / "index.html").as_uri())
        taken = page.screenshot(full_page=True, path=OUTPUT / f"german-{kind.replace('/', '-')}-{scheme}-{width}.png")
        assert len(taken) > 10_000
    context.close()


def test_a_choice_is_told_in_german(recipe: Page) -> None:
    recipe.locator(".line", has_text="Haferflocken").locator(".pick").click()
    panel = recipe.locator("[data-cook=declaration]")
    expect(recipe.locator("body")).to_have_class(re.compile("is-changed"))
    expect(panel).to_contain_text("davon")
    expect(panel).to_contain_text("Brennwert")
    expect(recipe.locator("[data-cook=allergens]")).to_contain_text("Hafer")
    expect(recipe.locator("[data-cook=claims]")).to_contain_text("nötig sind")
    html = "".join(place.inner_html() for place in recipe.locator("[data-cook]").all())
    said = " ".join(text for text, lang in texts(html) if lang != "en")  # titles of documents say that they are English
    assert not re.search(r"\d\.\d|\b(the|and|of|with|is|needed|allowed|contains)\b", said)


def test_weighing_and_measures_speak_german(recipe: Page) -> None:
    recipe.get_by_role("button", name="Eine Portion mehr").click()
    expect(recipe.locator("#ingredients")).to_contain_text("EL")
    recipe.get_by_role("button", name="Abwiegen").click()
    dialog = recipe.locator("dialog.weigh")
    expect(dialog).to_contain_text("Alles in eine Schüssel")
    expect(dialog).to_contain_text("noch")
    expect(dialog).to_contain_text("5 Portionen")
    assert not re.search(r"\d\.\d|\b(the|and|all|bowl|close)\b", dialog.inner_text())


def test_search_speaks_german(browser: Browser, sites: dict[str, Path]) -> None:
    page = browser.new_context(viewport={"width": 360, "height": 800}).new_page()
    page.goto((sites["de"] / "find/index.html").as_uri())
    page.get_by_label("Wörter").fill("linsen")
    expect(page.get_by_role("status").first).to_contain_text("1 Rezept von 2")
    page.get_by_label("Wörter").fill("unauffindbar")
    expect(page.locator("body")).to_contain_text("Kein Rezept erfüllt das alles.")
    page.context.close()
