"""The find page in Chromium: conditions, address, keys, narrow screens, opened from disk, without JavaScript."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect
from tests.browser.conftest import RECIPES
from tests.browser.find_page import count, opened, settled, slugs, wait
from tests.site.made_cards import made_cards

from gramwright.site import search
from gramwright.site.cards import Card
from gramwright.site.search.shown import half_up

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

CARDS = {card.slug: card for card in made_cards(RECIPES)}
OUTPUT = Path(__file__).resolve().parents[1] / "output"


def fits(card: Card, low: int, high: int) -> bool:
    known = card.energy_kcal is not None and "energy_kcal" not in card.incomplete
    return known and low <= half_up(card.energy_kcal or 0.0) <= high


def test_the_page_begins_with_every_recipe_by_name(page: Page, site_address: str) -> None:
    opened(page, site_address)
    assert count(page) == RECIPES
    assert slugs(page) == [card.slug for card in search.in_order(list(CARDS.values()))[:30]]


def test_a_row_made_by_the_script_is_the_row_that_the_page_came_with(page: Page, site_address: str) -> None:
    opened(page, site_address)
    settled(page)
    rows = "rows => rows.map(row => [row.querySelector('h3').textContent,"
    rows += " row.querySelector('.dish-energy').textContent.replace(/\\s+/g, ' ').trim(),"
    rows += " row.querySelector('.dish-more').textContent, row.querySelector('.dish-allergens').textContent,"
    rows += " row.querySelector('.dish-swaps')?.textContent ?? '',"
    rows += " row.querySelector('.dish-summary').textContent, row.querySelector('a').getAttribute('href')])"
    page.evaluate("document.getElementById('find-list').scrollIntoView()")
    before = page.eval_on_selector_all("#find-list li", rows)
    page.select_option("#find-sort", "name")
    settled(page)
    for _ in range(12):
        page.mouse.wheel(0, 700)
        page.wait_for_timeout(30)
    settled(page)
    after = page.eval_on_selector_all("#find-list li", rows)
    assert after == before


def test_numbers_choices_and_allergens_narrow_the_list(page: Page, site_address: str) -> None:
    opened(page, site_address)
    page.fill("[data-field=kcal] .find-low", "300")
    page.fill("[data-field=kcal] .find-high", "450")
    wanted = {slug for slug, card in CARDS.items() if fits(card, 300, 450)}
    assert count(page) == len(wanted)
    page.check("[data-list=without][value=milk]")
    left = {s for s in wanted if "milk" not in (*CARDS[s].contains, *CARDS[s].may_contain, *CARDS[s].unknown)}
    assert count(page) == len(left) < len(wanted)
    assert set(slugs(page)) == left or len(left) > 30
    page.check("[data-list=meals][value=dinner]")
    dinners = {slug for slug in left if "dinner" in CARDS[slug].meals}
    assert set(slugs(page)) == dinners
    assert page.inner_text("[data-would=lunch]") == str(len([s for s in left if "lunch" in CARDS[s].meals]))
    assert "kcal=300-450&meal=dinner&without=milk" in page.url


def test_what_may_contain_is_shown_only_when_asked_for_and_then_marked(page: Page, site_address: str) -> None:
    opened(page, site_address, "?without=celery")
    before = set(slugs(page))
    more = sum("celery" in c.may_contain and "celery" not in c.unknown for c in CARDS.values())
    assert str(more) in page.inner_text("#find-may-aside")
    total = count(page)
    page.click("#find-may-aside button")
    assert count(page) == total + more
    assert page.is_checked("#find-may")
    page.wait_for_url("**may=1")
    for _ in range(6):
        if page.is_visible("#find-more"):
            page.click("#find-more")
            settled(page)
    new = set(slugs(page)) - before
    seen = 0
    for slug in new:
        card = CARDS[slug]
        assert "celery" not in (*card.contains, *card.unknown)
        if "celery" in card.may_contain:
            row = page.locator(f"#find-list li:has(a[href*='/{slug}/'])")
            assert row.locator(".allergen-may mark").text_content() == "celery"
            seen += 1
    assert seen == more > 0


def test_an_address_that_leaves_out_an_unknown_allergen_shows_nothing(page: Page, site_address: str) -> None:
    opened(page, site_address, "?without=shellfish")
    assert count(page) == 0
    assert "shellfish" in page.inner_text("#find-note")
    assert slugs(page) == []


def test_without_an_index_an_address_that_asks_for_something_shows_nothing(browser: Browser, site_address: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.route("**/search/columns*", lambda route: route.abort())
    page.goto(f"{site_address}/find/index.html?without=milk")
    wait(page, "!document.getElementById('find-note').hidden")
    assert page.locator("#find-list li").count() == 0
    assert "could not be read" in page.inner_text("#find-note")
    page.goto(f"{site_address}/find/index.html")
    wait(page, "!document.getElementById('find-note').hidden")
    assert page.locator("#find-list li").count() == 30
    context.close()


def test_words_are_found_and_marked(page: Page, site_address: str) -> None:
    opened(page, site_address)
    assert not page.evaluate("Boolean(GramwrightFind.words)"), "words are loaded when first used"
    page.focus("#find-text")
    wait(page, "Boolean(GramwrightFind.words)")
    page.keyboard.type("leek")
    settled(page)
    assert 0 < count(page) < RECIPES
    for row in page.locator("#find-list li").all()[:10]:
        text = row.inner_text().lower()
        assert "leek" in text
    assert page.locator("#find-list mark").first.inner_text().lower() == "leek"
    page.fill("#find-text", "chesee")
    settled(page)
    assert count(page) == sum("cheese" in " ".join((c.title, *c.tags, *c.ingredients)).lower() for c in CARDS.values())


def test_back_leads_to_what_was_settled_before(page: Page, site_address: str) -> None:
    opened(page, site_address)
    page.fill("[data-field=protein] .find-low", "30")
    page.press("[data-field=protein] .find-low", "Enter")
    page.wait_for_url("**protein=30-")
    first = count(page)
    page.focus("#find-text")
    page.keyboard.type("soup", delay=30)
    page.press("#find-text", "Enter")
    page.wait_for_url("**q=soup**")
    page.check("[data-list=diets][value=vegan]")
    page.wait_for_url("**diet=vegan**")
    page.go_back()
    assert page.input_value("#find-text") == "soup"
    assert not page.is_checked("[data-list=diets][value=vegan]")
    page.go_back()
    assert page.input_value("#find-text") == ""
    assert count(page) == first
    page.go_back()
    assert count(page) == RECIPES
    page.go_forward()
    assert page.input_value("[data-field=protein] .find-low") == "30"
    assert count(page) == first


def test_a_shared_address_shows_the_same_list(page: Page, site_address: str) -> None:
    opened(page, site_address, "?kcal=200-500&without=nuts&sort=protein")
    mine = slugs(page)
    assert page.input_value("#find-sort") == "protein"
    assert page.is_checked("[data-list=without][value=nuts]")
    other = page.context.new_page()
    other.goto(page.url)
    wait(other, "!document.getElementById('find-all').disabled")
    assert slugs(other) == mine


def test_coming_back_from_a_recipe_finds_the_list_as_it_was(page: Page, site_address: str) -> None:
    opened(page, site_address, "?kcal=100-700")
    settled(page)
    page.click("#find-more")
    settled(page)
    before = slugs(page)
    assert len(before) == 80
    page.locator("#find-list h3 a").nth(60).click()
    page.wait_for_selector("text=A recipe")
    page.go_back()
    wait(page, "document.querySelectorAll('#find-list li').length >= 80")
    assert slugs(page) == before


def test_sliders_and_fields_say_the_same(page: Page, site_address: str) -> None:
    opened(page, site_address)
    low = page.locator("[data-field=kcal] .find-from")
    low.focus()
    for _ in range(20):
        page.keyboard.press("ArrowRight")
    assert page.input_value("[data-field=kcal] .find-low") == "200"
    assert low.get_attribute("aria-valuetext") == "200\u202fkcal"
    page.locator("[data-field=kcal] .find-to").focus()
    page.keyboard.press("ArrowLeft")
    high = page.input_value("[data-field=kcal] .find-high")
    assert high
    page.fill("[data-field=kcal] .find-low", "350")
    assert page.input_value("[data-field=kcal] .find-from") == "350"
    page.locator("[data-field=kcal] .find-to").focus()
    page.keyboard.press("Home")
    assert page.input_value("[data-field=kcal] .find-high") == "350", "the ends never pass each other"
    expected = sum(fits(card, 350, 350) for card in CARDS.values())
    assert count(page) == expected


def test_both_slider_marks_can_be_taken_when_they_meet_at_the_end(page: Page, site_address: str) -> None:
    opened(page, site_address)
    page.locator("[data-field=kcal] .find-from").focus()
    page.keyboard.press("End")
    assert int(page.input_value("[data-field=kcal] .find-low")) > 500
    box = page.locator("[data-field=kcal] .find-from").bounding_box()
    assert box
    page.mouse.move(box["x"] + box["width"] - 14, box["y"] + 26)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + 26, steps=4)
    page.mouse.up()
    assert 300 < int(page.input_value("[data-field=kcal] .find-low")) < 700
    assert page.input_value("[data-field=kcal] .find-high") == ""


def test_everything_works_by_keyboard(page: Page, site_address: str) -> None:
    opened(page, site_address)
    reached: list[str] = []
    page.focus("#find-text")
    for _ in range(70):
        page.keyboard.press("Tab")
        reached.append(
            page.evaluate("(e => e.id || e.className + ' ' + (e.value ?? e.textContent))(document.activeElement)")
        )
        assert page.evaluate("getComputedStyle(document.activeElement).visibility") == "visible"
    for part in ("find-low", "find-high", "find-from", "find-to"):
        assert any(part in name for name in reached)
    page.locator("[data-list=without][value=eggs]").focus()
    page.keyboard.press("Space")
    page.wait_for_url("**without=eggs")
    button = page.locator("#find-asked button").first
    assert "eggs" in (button.get_attribute("aria-label") or "")
    button.focus()
    page.keyboard.press("Enter")
    assert count(page) == RECIPES
    assert page.evaluate("document.activeElement.id") == "find-count"


def test_the_count_is_announced_once_it_has_settled(page: Page, site_address: str) -> None:
    opened(page, site_address)
    said = page.locator("#find-said")
    assert said.get_attribute("aria-live") == "polite"
    page.check("[data-list=diets][value=vegetarian]")
    wait(page, "document.getElementById('find-said').textContent !== ''")
    assert said.inner_text() == page.inner_text("#find-count")


def test_nothing_found_says_what_to_give_up(page: Page, site_address: str) -> None:
    opened(page, site_address, "?kcal=100-130&protein=60-&without=milk")
    assert count(page) == 0
    buttons = page.locator("#find-loosen button")
    texts = buttons.all_inner_texts()
    assert texts
    assert not any("milk" in text for text in texts), "nobody is asked to give up leaving out an allergen"
    gives = int(re.findall(r": (\d+) recipe", texts[0])[0])
    buttons.first.click()
    assert count(page) == gives > 0


def test_never_more_than_fifty_rows_are_added_at_once(page: Page, site_address: str) -> None:
    opened(page, site_address)
    page.evaluate(
        "window.most = 0; new MutationObserver(changes => { window.most = Math.max(window.most,"
        " changes.reduce((sum, change) => sum + change.addedNodes.length, 0)) })"
        ".observe(document.getElementById('find-list'), {childList: true})"
    )
    page.select_option("#find-sort", "energy")
    settled(page)
    while page.is_visible("#find-more"):
        page.click("#find-more")
        settled(page)
    assert len(slugs(page)) == RECIPES
    assert 0 < page.evaluate("window.most") <= 50


@pytest.mark.parametrize("width", [320, 360, 768, 1280])
@pytest.mark.parametrize("path", ["find/index.html", "find/energy/300-399/index.html", "find/protein/index.html"])
def test_nothing_runs_over_the_edge(page: Page, site_address: str, width: int, path: str) -> None:
    page.set_viewport_size({"width": width, "height": 780})
    page.goto(f"{site_address}/{path}")
    page.wait_for_load_state()
    if path.startswith("find/index"):
        wait(page, "!document.querySelector('.find-from').disabled")
        if page.is_visible("#find-narrow"):
            page.click("#find-narrow")
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        page.fill("[data-field=kcal] .find-low", "100")
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_the_panel_folds_on_a_phone(page: Page, site_address: str) -> None:
    page.set_viewport_size({"width": 360, "height": 780})
    opened(page, site_address)
    assert not page.is_visible("#find-panel")
    page.click("#find-narrow")
    assert page.get_attribute("#find-narrow", "aria-expanded") == "true"
    page.check("[data-list=meals][value=snack]")
    assert str(count(page)) in page.inner_text("#find-done")
    page.click("#find-done")
    assert not page.is_visible("#find-panel")
    assert page.evaluate("document.activeElement.id") == "find-count"


def test_it_works_when_opened_from_disk(page: Page, site_folder: Path) -> None:
    opened(page, f"file://{site_folder}", "?kcal=300-450")
    assert count(page) == sum(fits(card, 300, 450) for card in CARDS.values())
    page.fill("#find-text", "onion")
    wait(page, "Boolean(GramwrightFind.words)")
    settled(page)
    assert 0 < count(page) < RECIPES
    page.press("#find-text", "Enter")
    assert "q=onion" in page.url
    page.go_back()
    assert page.input_value("#find-text") == ""
    page.locator("#find-list h3 a").first.click()
    page.wait_for_selector("text=A recipe")


def test_it_asks_nobody_else_and_has_nothing_inline(page: Page, site_address: str) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    opened(page, site_address, "?q=leek")
    settled(page)
    assert all(url.startswith(site_address) for url in asked)
    assert page.locator("[style]").count() == 0
    inline = "script:not([src]):not([type='application/json']):not([type='application/ld+json'])"
    assert page.locator(inline).count() == 0


def test_without_javascript_the_lists_lead_to_every_recipe(browser: Browser, site_address: str) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 780})
    page = context.new_page()
    page.goto(f"{site_address}/find/index.html")
    assert page.locator("#find-list li").count() == 30
    links = page.locator(".find-shelves a[href*='find/energy/']")
    seen: set[str] = set()
    for href in [link.get_attribute("href") for link in links.all()]:
        assert href
        page.goto(f"{site_address}/find/{href}")
        pages = [
            page.url,
            *(f"{page.url.rsplit('/', 1)[0]}/{a.get_attribute('href')}" for a in page.locator(".pages a").all()[1:]),
        ]
        for one in pages:
            page.goto(one)
            for row in page.locator(".dish a").all():
                seen.add(str(row.get_attribute("href")).split("/")[-2])
                assert str(row.get_attribute("href")).startswith("../../../recipes/")
    assert seen == set(CARDS)
    page.goto(f"{site_address}/find/index.html")
    page.locator(".find-shelves a[href*='find/tag/']").first.click()
    page.locator(".dish a").first.click()
    page.wait_for_selector("text=A recipe")
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_pictures_to_look_at(browser: Browser, site_address: str, scheme: str, width: int) -> None:
    """Screenshots for a person; the check is that the page is painted as it should be behind them."""
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    opened(page, site_address, "?q=leek&kcal=200-700")
    settled(page)
    OUTPUT.mkdir(exist_ok=True)
    page.screenshot(path=str(OUTPUT / f"find-{scheme}-{width}.png"))
    assert page.locator("#find-list li").count() == min(30, count(page)) > 0
    context.close()


def test_the_numbers_beside_choices_say_what_they_count(page: Page, site_address: str) -> None:
    """Beside what is left out stands how many recipes are left, beside a meal how many there are of it."""
    opened(page, site_address)
    for kind, said in (("without", "recipes left without it"), ("meals", "recipes"), ("diets", "recipes")):
        assert page.locator(f"fieldset[data-list={kind}] legend .find-top").inner_text() == said
    left = int(page.inner_text("[data-would=milk]"))
    page.check("[data-list=without][value=milk]")
    assert count(page) == left < RECIPES
    expect(page.locator("[data-would=milk]")).to_have_text(str(left))
