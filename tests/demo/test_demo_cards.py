"""The demo hub's share cards and labels: within their bytes, and every recipe's label fits on some sheet."""

from __future__ import annotations

import pytest
from tests.demo.demo_read import Demo

from gramwright.site.pages import labels
from gramwright.site.pictures import share_card
from gramwright.site.pictures.easel import Easel
from gramwright.site.theme import Theme


@pytest.mark.parametrize("shape", [share_card.WIDE, share_card.TALL])
def test_cards_have_at_most_20_kb(demo: Demo, shape: str) -> None:
    easel = Easel(demo.kitchen.hub.root)
    theme = Theme(demo.kitchen.settings, demo.kitchen.hub.root)
    sizes = {}
    for slug, cooked in demo.recipes.items():
        face = share_card.face(easel, cooked.dish, cooked.label, theme.words, theme.settings.title)
        assert face.title == cooked.page.title, "the packaged fonts can write it"
        sizes[slug] = len(share_card.paint(easel, face, shape))
    assert max(sizes.values()) <= 20_000, max(sizes, key=lambda slug: sizes[slug])


def test_every_label_fits_on_a_sheet(demo: Demo) -> None:
    theme = Theme(demo.kitchen.settings, demo.kitchen.hub.root)
    for slug, cooked in demo.recipes.items():
        view = labels.view(theme, cooked.dish, cooked.label)
        assert {"a4-8", "letter-10"} <= {sheet.id for sheet in view.sheets}, slug
        assert [sheet.chosen for sheet in view.sheets].count(True) == 1, slug
