"""Conditions typed as words on the find page: the controls move, and nothing looks applied that is not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect
from tests.browser.conftest import RECIPES
from tests.browser.find_page import count, opened, settled, slugs, wait
from tests.site.made_cards import made_cards

if TYPE_CHECKING:
    from playwright.sync_api import Page

CARDS = {card.slug: card for card in made_cards(RECIPES)}
SENTENCE = "lunch under 450 kcal, 20 g protein, no milk"
BY_HAND = "?kcal=-450&protein=20-&meal=lunch&without=milk"


def type_in(page: Page, text: str) -> None:
    page.focus("#find-text")
    page.keyboard.type(text)
    settled(page)


def test_a_sentence_moves_the_controls_as_a_hand_would(page: Page, site_address: str) -> None:
    opened(page, site_address, BY_HAND)
    by_hand = slugs(page)
    assert by_hand
    opened(page, site_address)
    type_in(page, SENTENCE)
    assert page.input_value("[data-field=kcal] .find-high") == "450"
    assert page.input_value("[data-field=kcal] .find-to") == "450"
    assert page.input_value("[data-field=protein] .find-low") == "20"
    assert page.is_checked("[data-list=meals][value=lunch]")
    assert page.is_checked("[data-list=without][value=milk]")
    assert page.input_value("#find-text") == SENTENCE, "the text stays while it is typed"
    assert slugs(page) == by_hand
    page.press("#find-text", "Enter")
    expect(page.locator("#find-text")).to_have_value("")
    page.wait_for_url("**/find/index.html" + BY_HAND)
    assert slugs(page) == by_hand
    for slug in by_hand:
        card = CARDS[slug]
        assert "lunch" in card.meals
        assert not {"milk"} & {*card.contains, *card.may_contain, *card.unknown}


def test_one_tap_takes_it_back(page: Page, site_address: str) -> None:
    opened(page, site_address)
    type_in(page, "leek, no milk")
    milk = page.get_by_role("button", name="leaving out milk: take away")
    milk.click()
    assert not page.is_checked("[data-list=without][value=milk]")
    page.wait_for_url("**/find/index.html?q=leek")
    assert page.input_value("#find-text") == "leek"


def test_letters_taken_away_take_their_condition_away(page: Page, site_address: str) -> None:
    opened(page, site_address, "?kcal=200-600")
    type_in(page, "under 450 kcal")
    assert page.input_value("[data-field=kcal] .find-high") == "450"
    assert page.input_value("[data-field=kcal] .find-low") == "200"
    for _ in range(len("kcal")):
        page.keyboard.press("Backspace")
    assert page.input_value("[data-field=kcal] .find-high") == "600"
    page.fill("#find-text", "")
    page.wait_for_url("**/find/index.html?kcal=200-600")


def test_what_was_typed_stays_when_a_control_is_moved(page: Page, site_address: str) -> None:
    opened(page, site_address)
    type_in(page, "no milk under 500 kcal leek")
    page.check("[data-list=meals][value=lunch]")
    page.wait_for_url("**/find/index.html?q=leek&kcal=-500&meal=lunch&without=milk")
    assert page.input_value("#find-text") == "leek"


def test_back_leads_to_what_was_there_before_the_sentence(page: Page, site_address: str) -> None:
    opened(page, site_address, "?meal=dinner")
    before = slugs(page)
    page.focus("#find-text")
    page.keyboard.type("no fish, at least 20 g protein", delay=20)
    page.press("#find-text", "Enter")
    page.wait_for_url("**/find/index.html?protein=20-&meal=dinner&without=fish")
    page.go_back()
    page.wait_for_url("**/find/index.html?meal=dinner")
    assert page.input_value("#find-text") == ""
    assert not page.is_checked("[data-list=without][value=fish]")
    assert slugs(page) == before
    page.go_forward()
    page.wait_for_url("**/find/index.html?protein=20-&meal=dinner&without=fish")
    assert page.is_checked("[data-list=without][value=fish]")


@pytest.mark.parametrize("text", ["no onion", "no milk chocolate", "without barley soup"])
def test_a_no_that_is_not_applied_says_so(page: Page, site_address: str, text: str) -> None:
    """Words cannot leave out: that is said, nothing is ticked, and giving up a word of it is never advised."""
    opened(page, site_address)
    type_in(page, text)
    page.press("#find-text", "Enter")
    settled(page)
    expect(page.locator("#find-note")).to_contain_text("Only listed allergens can be left out")
    assert page.locator("[data-list=without]:checked").count() == 0
    assert page.input_value("#find-text") == text
    assert not page.locator("#find-loosen button").all_inner_texts()
    assert "leaving out" not in page.inner_text("#find-asked")


def test_a_mixed_list_applies_what_it_can_and_says_what_it_cannot(page: Page, site_address: str) -> None:
    opened(page, site_address, "?q=no+milk+or+onion")
    expect(page.locator("#find-note")).to_contain_text("Only listed allergens can be left out")
    assert page.locator("[data-list=without]:checked").evaluate_all("all => all.map(one => one.value)") == ["milk"]
    assert page.input_value("#find-text") == "no onion"


def test_an_address_with_a_sentence_is_understood(page: Page, site_address: str) -> None:
    opened(page, site_address, BY_HAND)
    by_hand = slugs(page)
    opened(page, site_address, "?q=" + SENTENCE.replace(" ", "+"))
    assert slugs(page) == by_hand
    opened(page, site_address, "?q=milk")
    expect(page.locator("#find-note")).to_be_hidden()
    assert page.locator("[data-list=without]:checked").count() == 0, "a name alone stays a word"
    assert 0 < count(page) < RECIPES


def test_an_unfinished_figure_waits_and_is_then_words(page: Page, site_address: str) -> None:
    opened(page, site_address)
    page.focus("#find-text")
    wait(page, "Boolean(GramwrightFind.words)")
    page.keyboard.type("under 4")
    assert count(page) == RECIPES
    expect(page.locator("#find-note")).to_contain_text("Searched as words")
    page.keyboard.type("50 kcal")
    expect(page.locator("#find-note")).to_be_hidden()
    assert page.input_value("[data-field=kcal] .find-high") == "450"


def test_what_was_understood_is_announced(page: Page, site_address: str) -> None:
    opened(page, site_address)
    assert page.get_attribute("#find-text", "aria-describedby") == "find-typed"
    page.focus("#find-text")
    page.keyboard.type("no eggs, under 20 min")
    page.press("#find-text", "Enter")
    said = page.locator("#find-said")
    expect(said).to_contain_text("Understood: at most 20 min in all, leaving out eggs.")
    expect(said).to_contain_text(page.inner_text("#find-count"))
    assert page.evaluate("document.activeElement.id") == "find-text", "typing goes on where it was"
