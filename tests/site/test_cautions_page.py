"""Cautions on a published page: of the recipe as written, of what only a choice brings, silenced with the reason."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from gramwright.publishing.build import publish

RECIPE = """---
title: Quay porridge
portions: 2
{head}---
```ingredients
- 80 g oats, rolled, dry
{rows}```

1. Stir.
"""


def cautions(root: Path, rows: str, head: str = "", rules: str = "eu") -> list[tuple[bool, str]]:
    """Each caution of the page: whether it stays whatever a reader chooses, and its text."""
    (root / "recipes").mkdir(parents=True)
    (root / "hub.yaml").write_text(
        f"title: Quay\nbase_url: ''\nrule_set: {rules}\nshare_cards: false\n", encoding="utf-8"
    )
    (root / "recipes" / "one.md").write_text(RECIPE.format(head=head, rows=rows), encoding="utf-8")
    result = publish(root, date(2026, 11, 25), workers=1)
    assert not result.has_errors, result.problems
    page = (root / "published" / "recipes" / "one" / "index.html").read_text(encoding="utf-8")
    block = re.search(r'<ul class="cautions".*?</ul>', page, re.S)
    found = re.findall(r"<li( data-own)?[^>]*>(.*?)</li>", block[0] if block else "", re.S)
    return [(bool(own), " ".join(re.sub(r"<[^>]+>", " ", text).split())) for own, text in found]


@pytest.mark.parametrize(
    "row",
    [
        "- {amount: 20 g, food: honey, optional: true}\n",
        "- {amount: 20 g, food: sugar, swaps: [{amount: 20 g, food: honey}]}\n",
        "- {amount: 20 g, food: sugar, optional: true, swaps: [{amount: 20 g, food: honey}]}\n",
    ],
)
def test_a_caution_that_only_a_choice_brings_is_on_the_page_without_a_script(tmp_path: Path, row: str) -> None:
    ((own, text),) = cautions(tmp_path, row)
    assert own, "the script leaves it where it is"
    assert text.startswith("If you take Honey: Contains honey. Not for children under one year")
    assert "botulism" in text


def test_a_caution_as_written_is_said_once(tmp_path: Path) -> None:
    rows = "- 20 g honey\n- {amount: 20 g, food: honey, optional: true}\n"
    ((own, text),) = cautions(tmp_path, rows)
    assert not own
    assert text.startswith("Contains honey.")


def test_a_silenced_caution_leaves_its_reason(tmp_path: Path) -> None:
    head = "silence:\n  - {caution: honey-infants, reason: Only rowers eat here.}\n"
    ((_, text),) = cautions(tmp_path, "- 20 g honey\n", head)
    assert "silenced by the author" in text
    assert "Only rowers eat here." in text
