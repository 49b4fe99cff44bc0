"""What swaps change, as a reader of the find page sees it in Chromium."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.browser.conftest import RECIPES
from tests.browser.find_page import count, opened, settled, slugs, wait
from tests.site.made_cards import ALLERGENS, made_cards

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

CARDS = {card.slug: card for card in made_cards(RECIPES)}
HERE = "Boolean(GramwrightFind.swaps)"


def needing(*left_out: str) -> set[str]:
    """Recipes that are left out as written, and not with their swaps."""
    ids = set(left_out).union(*(choice.members for choice in ALLERGENS if choice.id in left_out))
    groups = {choice.group for choice in ALLERGENS if choice.id in left_out} - {""}
    return {
        slug
        for slug, card in CARDS.items()
        if (
            ids & {*card.contains, *card.may_contain, *card.unknown}
            or any(group in groups and state != "not_recorded" for group, state in card.groups)
        )
        and card.swaps.without(ids)
    }


def marked(page: Page) -> list[str]:
    """The recipes listed that say that they need a swap."""
    settled(page)
    links = page.eval_on_selector_all(
        "#find-list li:has(.dish-only) h3 a", "links => links.map(link => link.getAttribute('href'))"
    )
    return [str(link).split("/")[-2] for link in links]


@pytest.mark.parametrize("left_out", [("milk",), ("nuts",), ("milk", "eggs")])
def test_recipes_that_need_a_swap_are_shown_only_when_asked_for_and_then_last_and_marked(
    page: Page, site_address: str, left_out: tuple[str, ...]
) -> None:
    opened(page, site_address, "?kcal=0-9999&" + "&".join(f"without={name}" for name in left_out))
    wait(page, HERE)
    settled(page)
    wanted = needing(*left_out)
    wanted &= {s for s, c in CARDS.items() if c.energy_kcal is not None and "energy_kcal" not in c.incomplete}
    before, total = slugs(page), count(page)
    assert not wanted & set(before)
    assert marked(page) == []
    assert page.is_visible("#find-swap-aside")
    assert page.inner_text("#find-swap-aside span").startswith(str(len(wanted)))
    page.click("#find-swap-aside button")
    assert page.is_checked("#find-swap")
    page.wait_for_url("**swap=1")
    assert count(page) == total, "the count is of those found as written"
    assert page.is_hidden("#find-swap-aside button")
    while page.is_visible("#find-more"):
        page.click("#find-more")
        settled(page)
    listed = slugs(page)
    assert set(listed[total:]) == set(marked(page)) == wanted
    assert listed[: len(before)] == before
    first = page.locator(f"#find-list li:has(a[href*='/{listed[total]}/'])")
    assert "Only with a swap, not as written" in (first.text_content() or "")
    assert first.locator(".dish-allergens mark").count() > 0 or "not known" in (first.text_content() or "")
    page.uncheck("#find-swap")
    assert slugs(page)[: len(before)] == before
    assert "swap=1" not in page.url


def test_a_row_says_what_a_swap_changes_and_marks_what_is_left_out(page: Page, site_address: str) -> None:
    slug = next(
        s
        for s, c in CARDS.items()
        if any(t.what == "swap_adds" and "sesame" in t.allergens for t in c.swaps.told)
        and not {"sesame"} & {*c.contains, *c.may_contain, *c.unknown}
    )
    title = CARDS[slug].title
    opened(page, site_address, f"?without=sesame&q={title}")
    wait(page, HERE)
    settled(page)
    row = page.locator(f"#find-list li:has(a[href*='/{slug}/'])")
    assert "a swap adds" in (row.locator(".dish-swaps").text_content() or "")
    assert row.locator(".dish-swaps .allergen-swap_adds mark").text_content() == "sesame seeds"
    assert row.locator(".dish-only").count() == 0


def test_when_only_swaps_help_the_page_says_so(page: Page, site_address: str) -> None:
    slug = sorted(needing("milk"))[0]
    card = CARDS[slug]
    kcal = round(card.energy_kcal or 0)
    opened(page, site_address, f"?without=milk&kcal={kcal}-{kcal}&q={card.title}&swap=1")
    wait(page, HERE)
    settled(page)
    assert count(page) == 0
    assert slugs(page) == [slug]
    assert page.is_hidden("#find-none")


def test_when_the_file_does_not_come_every_recipe_is_as_written(browser: Browser, site_address: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.route("**/search/swaps*", lambda route: route.abort())
    page.goto(f"{site_address}/find/index.html?without=milk&swap=1")
    wait(page, "!document.getElementById('find-note').hidden")
    assert "could not be loaded" in page.inner_text("#find-note")
    assert marked(page) == []
    for slug in slugs(page):
        card = CARDS[slug]
        assert "milk" not in (*card.contains, *card.may_contain, *card.unknown)
    page.goto(f"{site_address}/find/index.html?without=milk")
    settled(page)
    assert page.is_hidden("#find-note")
    context.close()


def test_a_damaged_file_changes_nothing(browser: Browser, site_address: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.route(
        "**/search/swaps*",
        lambda route: route.fulfill(
            content_type="text/javascript",
            body='GramwrightFind.swaps={names:["milk"],whats:[],said:["","",""],told:"",tells:["",""],'
            'frees:"AB",fixed:["",""],rows:"A",choices:"",ways:["",""]};',
        ),
    )
    page.goto(f"{site_address}/find/index.html?without=milk&swap=1")
    wait(page, "!document.getElementById('find-note').hidden")
    assert marked(page) == []
    assert slugs(page)
    context.close()


def test_without_javascript_lists_say_what_swaps_change(browser: Browser, site_address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{site_address}/find/protein/index.html")
    said = page.locator(".dish-swaps").all_text_contents()
    assert said
    assert all(text.startswith(("a swap ", "swaps together", "an optional", "not known with")) for text in said)
    context.close()


def test_printed_the_list_says_what_was_asked_for_and_what_a_swap_changes(page: Page, site_address: str) -> None:
    opened(page, site_address, "?without=milk&swap=1&kcal=0-9999")
    wait(page, HERE)
    settled(page)
    page.emulate_media(media="print")
    assert page.is_hidden("#find-form")
    assert page.is_hidden("#find-sort")
    assert page.is_visible("#find-asked")
    assert "leaving out milk" in page.inner_text("#find-asked")
    assert page.is_visible("#find-swap-aside span")
    assert page.is_visible(".dish-allergens >> nth=0")
    box = page.locator("#find-list").bounding_box()
    assert box
    assert box["width"] > 1000, "the list has the whole page"
    while page.locator("#find-list li:has(.dish-only)").count() == 0:
        page.emulate_media(media="screen")
        page.click("#find-more")
        settled(page)
    page.emulate_media(media="print")
    assert page.locator(".dish-only").first.is_visible()
