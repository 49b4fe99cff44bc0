"""A recipe's page in a real browser: portions, choices, weighing, timers, copying, printing; on a phone, from disk."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from tests.browser.find_page import wait
from tests.demo.demo_read import Demo, read_demo
from tests.site.cook_by_hand import Table

from gramwright.labelling import rulesets
from gramwright.problems import ProblemLog
from gramwright.site import facts_csv, words
from gramwright.site.pages import recipe
from gramwright.site.theme import Theme

pytestmark = pytest.mark.browser

PORRIDGE = "first-outing-porridge"
PLACES = ("panel", "brief", "declaration", "allergens", "claims", "doubts", "cautions")
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


@pytest.fixture(scope="module")
def demo() -> Demo:
    return read_demo()


@pytest.fixture(scope="module")
def folder(demo: Demo, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration's recipe pages with their assets, on disk."""
    root = tmp_path_factory.mktemp("recipes")
    kitchen = demo.kitchen
    theme = Theme(kitchen.settings)
    table = Table(kitchen, kitchen.rules, words.load("en", None))
    files = dict(theme.asset_files())
    for slug, cooked in demo.recipes.items():
        files |= recipe.render(
            theme,
            cooked.dish,
            cooked.label,
            known=lambda _: True,
            log=ProblemLog(),
            bench=table.bench,
            today=kitchen.today,
        )
        files[f"recipes/{slug}/facts.csv"] = facts_csv.encode(cooked.dish, cooked.label)
    for path, data in files.items():
        target = root / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return root


class Opened:
    """A page from disk, and what went wrong in it."""

    def __init__(self, browser: Browser, folder: Path, slug: str, query: str = "", **context: Any) -> None:
        self.context = browser.new_context(**{**PHONE, "permissions": ["clipboard-read", "clipboard-write"], **context})
        self.context.set_default_timeout(8000)
        self.page: Page = self.context.new_page()
        self.wrong: list[str] = []
        self.page.on("pageerror", lambda error: self.wrong.append(str(error)))
        self.page.on("console", lambda message: self.wrong.append(message.text))
        self.page.on("requestfailed", lambda request: self.wrong.append(f"failed: {request.url}"))
        self.page.goto((folder / "recipes" / slug / "index.html").as_uri() + query)

    def done(self) -> None:
        wrong = [text for text in self.wrong if "manifest" not in text and "favicon" not in text]
        self.context.close()
        assert wrong == []


def text_of(page: Page, selector: str) -> str:
    return re.sub(r"\s+", " ", page.locator(selector).first.inner_text()).strip()


def pick(page: Page, line: str) -> None:
    page.locator(f'[data-line="{line}"] .pick').click()


def test_the_script_draws_the_page_as_it_came(browser: Browser, folder: Path, demo: Demo) -> None:
    """Every place that follows a choice, drawn for the recipe as written, is the markup that the page came with.

    But for what is said of a claim's likely range, which the script does not know and leaves out.
    """
    normal = """html => {
      const box = document.createElement("template"); box.innerHTML = html;
      for (const node of box.content.querySelectorAll("[data-own]")) node.removeAttribute("data-own");
      for (const node of box.content.querySelectorAll("dd.doubt")) node.remove();
      return box.innerHTML.replace(/>\\s+</g, "><").replace(/\\s+/g, " ").replace(/(?<=>) | (?=<)/g, "").trim();
    }"""
    seen = 0
    for slug, cooked in demo.recipes.items():
        if not any(item.swaps or item.row.optional for item in cooked.dish.ingredients):
            continue
        made = Opened(browser, folder, slug)
        page = made.page
        before = {
            name: page.evaluate(f"({normal})(document.querySelector('[data-cook={name}]').innerHTML)")
            for name in PLACES
        }
        page.evaluate("""async () => {
          for (const src of document.querySelector(".cook-bar").dataset.more.split(" ")) {
            const script = document.createElement("script"); script.src = src;
            await new Promise((loaded) => { script.onload = loaded; document.head.append(script); });
          }
          const page = JSON.parse(document.getElementById("cook-data").textContent);
          GramwrightCook.show.render(page, {}, true);
        }""")
        for name in PLACES:
            after = page.evaluate(f"({normal})(document.querySelector('[data-cook={name}]').innerHTML)")
            assert after == before[name], f"{slug}: {name}"
        made.done()
        seen += 1
    assert seen >= 10


def test_a_swap_and_a_topping_change_the_page_at_once(browser: Browser, folder: Path, demo: Demo) -> None:
    made = Opened(browser, folder, PORRIDGE)
    page = made.page
    height = page.evaluate("document.querySelector('#ingredients').getBoundingClientRect().height")
    pick(page, "1.2")
    pick(page, "7.0")
    page.wait_for_selector("body.is-changed")
    table = Table(demo.kitchen, rulesets.load("eu"), words.load("en", None))
    wanted, _ = table.by_hand(demo.recipes[PORRIDGE].dish, {1: 2, 7: 0})
    assert text_of(page, ".energy-figure") == wanted["panel"]["energy"]
    assert f"{wanted['panel']['energy']} kcal a portion" in text_of(page, ".dock-said").replace("\u202f", " ")
    assert wanted["panel"]["energy"] in page.locator(".dock [role=status]").inner_text()
    said = text_of(page, "#allergens")
    assert "soybeans in Millrace soya drink" in said
    for line in wanted["contains"]:
        assert f"{line[0]} in {line[1]}" in said
    assert page.evaluate("document.querySelector('#ingredients').getBoundingClientRect().height") == height
    page.wait_for_url("**take=millrace-soya-drink+pumpkin-seeds")
    page.locator(".dock .key").click()
    page.wait_for_selector("body:not(.is-changed)")
    assert text_of(page, ".energy-figure") == "367"
    assert page.url.endswith("index.html")
    made.done()


def test_a_shared_link_shows_the_choice_and_back_leads_to_it(browser: Browser, folder: Path) -> None:
    made = Opened(browser, folder, PORRIDGE, "?portions=6&in=g&take=millrace-oat-drink")
    page = made.page
    page.wait_for_selector("body.is-changed")
    assert page.locator('[data-line="1.1"] input').is_checked()
    assert text_of(page, ".stepper output") == "6 portions"
    assert text_of(page, '[data-line="0.0"] .amount-text') == "300 g"
    figure = text_of(page, ".energy-figure")
    page.goto("about:blank")
    page.go_back()
    page.wait_for_selector("body.is-changed")
    assert text_of(page, ".energy-figure") == figure
    page.goto(page.url.partition("?")[0] + "?portions=-3&in=furlongs&take=no-such-food")
    assert text_of(page, ".stepper output") == "4 portions"
    assert page.evaluate("document.body.className.includes('is-c')") is False
    made.done()


def test_nothing_about_allergens_is_shown_of_another_choice(browser: Browser, folder: Path) -> None:
    """Where the figures of a choice cannot be loaded, the allergens as written disappear with them."""
    made = Opened(browser, folder, PORRIDGE)
    page = made.page
    page.evaluate("document.querySelector('.cook-bar').dataset.more = 'nowhere.js'")
    pick(page, "1.1")
    page.wait_for_selector(".dock-said:has-text('could not be loaded')")
    for place in (".brief", "[data-cook=allergens]", "[data-cook=claims]", ".listed"):
        assert page.locator(place).first.evaluate("e => getComputedStyle(e).visibility") == "hidden"
    page.locator(".dock .key").click()
    assert page.locator(".brief").evaluate("e => getComputedStyle(e).visibility") == "visible"
    made.context.close()


def test_portions_and_measures(browser: Browser, folder: Path) -> None:
    made = Opened(browser, folder, PORRIDGE)
    page = made.page
    for _ in range(2):
        page.locator('[data-step="1"]').click()
    amounts = {line: text_of(page, f'[data-line="{line}"] .amount-text') for line in ("0.0", "1.0", "3.0", "5.0")}
    assert amounts == {"0.0": "300 g", "1.0": "900 mL", "3.0": "1/4 tsp + 1/8 tsp", "5.0": "3 medium"}
    assert "portions=6" in page.url
    page.locator(".measures select").select_option("us")
    assert "cup" in text_of(page, '[data-line="1.0"] .amount-text')
    page.locator(".measures select").select_option("g")
    assert text_of(page, '[data-line="3.0"] .amount-text') == "2.3 g"
    made.done()


def test_weighing_is_large_and_counts_up(browser: Browser, folder: Path) -> None:
    made = Opened(browser, folder, PORRIDGE, "?take=millrace-oat-drink")
    page = made.page
    page.locator("[data-do=weigh]").click()
    dialog = page.locator("dialog.weigh")
    assert "oat drink" in dialog.inner_text()
    assert "semi-skimmed" not in dialog.inner_text()
    boxes = dialog.locator(".weigh-rows label")
    assert all(box.bounding_box()["height"] >= 60 for box in boxes.all())  # type: ignore[index]
    dialog.locator(".bowl").check()
    totals = [
        int(re.sub(r"\D", "", each))
        for each in dialog.locator("section").first.locator(".weigh-total").all_inner_texts()
    ]
    assert totals[:3] == [200, 820, 1420]
    boxes.nth(0).click()
    assert "6 to go" in dialog.locator("[role=status]").first.inner_text()
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.dataset.do") == "weigh"
    page.locator("[data-do=weigh]").click()
    assert page.locator("dialog.weigh .weigh-rows input").nth(0).is_checked()
    made.done()


def test_a_timer_runs_rings_and_stops(browser: Browser, folder: Path) -> None:
    made = Opened(browser, folder, PORRIDGE)
    page = made.page
    page.clock.install()
    page.reload()
    button = page.locator("#method button.timer").first
    assert button.inner_text() == "5 minutes"
    button.click()
    assert button.get_attribute("aria-pressed") == "true"
    page.clock.run_for(61_000)
    assert page.locator(".dock-timer b").inner_text() in ("3:59", "3:58")
    assert page.title().startswith("3:5")
    page.clock.run_for(240_000)
    page.wait_for_selector(".dock-timer.rings")
    assert "Time is up" in page.locator(".dock [role=status]").inner_text()
    assert "Time is up" in page.title()
    page.locator(".dock-timer button").click()
    assert page.title().startswith("First-outing porridge")
    assert page.locator(".dock-timer").count() == 0
    made.done()


def test_copy_as_text_holds_what_was_chosen(browser: Browser, folder: Path) -> None:
    made = Opened(browser, folder, PORRIDGE, "?portions=2&take=pumpkin-seeds")
    page = made.page
    page.wait_for_selector("body.is-changed")
    page.locator("[data-do=copy]").click()
    wait(page, "document.querySelector('.dock [role=status]').textContent.includes('Copied')")
    text = page.evaluate("navigator.clipboard.readText()")
    for part in ("First-outing porridge", "2 portions", "100 g rolled oats", "20 g pumpkin seeds"):
        assert part in text
    for part in ("1. Put the oats", "426 kcal", "Allergens"):
        assert part in text
    made.done()


def test_everything_by_keyboard(browser: Browser, folder: Path) -> None:
    made = Opened(browser, folder, PORRIDGE, viewport={"width": 1200, "height": 900}, is_mobile=False)
    page = made.page
    page.locator('[data-step="-1"]').focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert text_of(page, ".stepper output") == "5 portions"
    page.locator('[data-line="1.0"] input').focus()
    page.keyboard.press("ArrowDown")
    page.wait_for_selector("body.is-changed")
    assert page.locator('[data-line="1.1"] input').is_checked()
    page.locator('[data-line="7.0"] input').focus()
    page.keyboard.press("Space")
    page.wait_for_url("**pumpkin-seeds*")
    made.done()


def test_main_controls_are_large_enough_to_touch(browser: Browser, folder: Path) -> None:
    """WCAG 2.2, 2.5.5 (44 px)."""
    made = Opened(browser, folder, PORRIDGE, "?take=millrace-oat-drink", viewport={"width": 320, "height": 700})
    page = made.page
    page.wait_for_selector("body.is-changed")
    for control in page.locator(".key:visible, .measures select, .pick").all():
        box = control.bounding_box()
        assert box is not None
        assert min(box["height"], box["width"]) >= 43.9, control.inner_text()
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    made.done()


def test_without_a_script_every_change_stands_in_a_table(browser: Browser, folder: Path) -> None:
    made = Opened(browser, folder, PORRIDGE, java_script_enabled=False)
    page = made.page
    table = page.locator("table.changes")
    assert table.is_visible()
    assert "600 mL oat drink in place of semi-skimmed milk" in table.inner_text()
    assert "426 kcal" in table.inner_text()
    assert not page.locator(".cook-bar").is_visible()
    assert not page.locator(".pick input").first.is_visible()
    assert page.locator("#method time.timer").first.get_attribute("datetime") == "PT5M"
    made.context.close()


@pytest.mark.parametrize("slug", [PORRIDGE, "boathouse-frittata", "leek-butter-bean-soup"])
def test_a_recipe_prints_on_one_page(browser: Browser, folder: Path, slug: str, tmp_path: Path) -> None:
    made = Opened(browser, folder, slug, is_mobile=False, has_touch=False)
    made.page.pdf(path=str(tmp_path / "recipe.pdf"), format="A4", prefer_css_page_size=False)
    data = (tmp_path / "recipe.pdf").read_bytes()
    assert len(re.findall(rb"/Type\s*/Page\b", data)) == 1
    made.done()
