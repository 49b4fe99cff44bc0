"""Shared pages: a changed recipe has only those made anew that show what changed of it."""

from __future__ import annotations

from datetime import date

import pytest
from tests.publishing.hub_make import PORRIDGE, Hub

from gramwright.publishing import shared
from gramwright.publishing.build import publish
from gramwright.site.cards import Card
from gramwright.site.pages import listing
from gramwright.site.standing import Standing
from gramwright.site.theme import Theme

TODAY = date(2026, 11, 25)


@pytest.fixture
def rendered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Paths of the shared pages that were made."""
    made: list[str] = []
    real = Theme.render

    def render(self: Theme, template: str, shell: object, **view: object) -> bytes:
        made.append(f"{template} {getattr(shell, 'title', '')}")
        return real(self, template, shell, **view)  # type: ignore[arg-type]

    monkeypatch.setattr(Theme, "render", render)
    return made


def publish_edit(hub: Hub, rendered: list[str]) -> list[str]:
    rendered.clear()
    assert not publish(hub.root, TODAY, workers=1).has_errors
    return sorted(rendered)


@pytest.fixture
def large(hub: Hub) -> Hub:
    """More than one page of recipes by name."""
    hub.edit("recipes/snacks/fruit-bowl.md", "portions: 1", "portions: 1\nsummary: With fruit.")
    for number in range(listing.PAGE_LENGTH):
        meal = "lunch" if number % 2 else "dinner"
        text = PORRIDGE.replace("Porridge", f"Porridge {number:03}").replace("[breakfast]", f"[{meal}]")
        hub.write(f"recipes/more-{number:03}.md", text)
    publish(hub.root, TODAY, workers=1)
    return hub


def test_an_edited_method_leaves_every_shared_page(large: Hub, rendered: list[str]) -> None:
    large.edit("recipes/more-000.md", "Stir for ten", "Stir for twelve")
    made = publish_edit(large, rendered)
    assert {line.partition(" ")[0] for line in made} <= {"recipe.html", "labels.html", "cook.html", "offline.html"}
    assert all("Porridge 000" in line for line in made)


def test_an_edited_summary_has_its_lists_made_and_no_other(large: Hub, rendered: list[str]) -> None:
    large.edit("recipes/more-001.md", "summary: Oats and milk.", "summary: Oats in milk.")
    made = publish_edit(large, rendered)
    lists = [line for line in made if line.startswith("listing.html")]
    assert lists == ["listing.html All recipes", "listing.html Lunch"]
    assert not [line for line in made if line.startswith("food.html")]
    assert b"Oats in milk." in (large.site / "meals/lunch/index.html").read_bytes()


def test_another_amount_has_the_pages_of_its_foods_made(large: Hub, rendered: list[str]) -> None:
    large.edit("recipes/snacks/fruit-bowl.md", "10 g, food: test nuts", "20 g, food: test nuts")
    foods = [line for line in publish_edit(large, rendered) if line.startswith("food.html")]
    assert "food.html Test nuts" in foods


def test_a_corrected_food_has_the_pages_of_foods_beside_it_made_and_no_other(large: Hub, rendered: list[str]) -> None:
    large.write("foods/more.csv", "food,name,ENERC_kJ,PROCNT_g\ntest-rice,Test rice,1500,7\n")
    publish_edit(large, rendered)
    large.edit("foods/own.csv", "nuts,dry,0,,2600,4,15", "nuts,dry,0,,2600,4,16")
    foods = [line for line in publish_edit(large, rendered) if line.startswith("food.html")]
    assert "food.html Test nuts" in foods
    assert "food.html Test rice" not in foods


def test_a_changed_theme_has_every_page_made(large: Hub, rendered: list[str]) -> None:
    before = publish_edit(large, rendered)
    large.write("theme/words/en.yaml", "recipes:\n  title: All of them\n")
    after = publish_edit(large, rendered)
    assert not before
    assert sum(line.startswith(("food.html", "listing.html", "band.html")) for line in after) > 10


def test_the_mark_of_a_cards_foods_starts_where_they_do() -> None:
    texts = [f'{{"title":{title},"uses":[["a",1.0]],"groups":[]}}' for title in ('"x"', r'"\"uses\":"', '"y"')]
    assert len({shared._use_mark(text) for text in texts}) == 1
    assert shared._use_mark(texts[0].replace("1.0", "2.0")) != shared._use_mark(texts[0])


def test_nothing_stays_where_nothing_is_known() -> None:
    cards: list[Card] = []
    assert not Standing().stays("a", cards, 1)
    first = Standing({"x": "1"})
    assert not first.stays("a", cards, 1)
    again = Standing({"x": "1"}, first.now)
    assert again.stays("a", cards, 1)
    assert again.stayed == ["a"]
    assert not Standing({"x": "1"}, first.now).stays("a", cards, 2)
