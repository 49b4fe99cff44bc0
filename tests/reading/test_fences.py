"""Fenced blocks by CommonMark's rules; markdown-it-py, which passes CommonMark's own suite, is the outside check."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from gramwright.reading.fences import fences

MARKDOWN = MarkdownIt("commonmark", {"html": False}).disable("html_block")


def ours(text: str) -> list[tuple[str, str]]:
    return [(fence.name, text[fence.inner : fence.inner_end].rstrip("\n")) for fence in fences(text)]


def theirs(text: str) -> list[tuple[str, str]]:
    tokens = [token for token in MARKDOWN.parse(text) if token.type == "fence"]
    return [((token.info.split() or [""])[0], token.content.rstrip("\n")) for token in tokens]


CASES = [
    "```ingredients\n- 1 g a\n```\n",
    "~~~ ingredients\n- 1 g a\n~~~\n",
    "````text\n```ingredients\n- 1 g a\n```\n````\n",
    "~~~\n```ingredients\n~~~\n```ingredients\n- 1 g a\n```\n",
    "```ingredients\n- 1 g a\n`````\n",
    "````ingredients\n- 1 g a\n```\n````\n",
    "```ingredients\n- 1 g a\n``` no close\n```\n",
    "``` `ingredients`\ntext\n",
    "```ingredients\nnever closed",
    "   ```ingredients\n   ```\n",
    "    ```ingredients\n    ```\n",
    "text ```ingredients\n",
    "```\n\n```\n```ingredients\n```",
]


@pytest.mark.parametrize("text", CASES)
def test_cases(text: str) -> None:
    strip = [(name, [line.strip() for line in inner.split("\n")]) for name, inner in ours(text)]
    assert strip == [(name, [line.strip() for line in inner.split("\n")]) for name, inner in theirs(text)]


line = st.sampled_from(
    [
        "```",
        "````",
        "~~~",
        "~~~~~",
        "``",
        "```ingredients",
        "~~~ingredients x",
        "``` ",
        "text",
        "",
        "```a`b",
        " ```",
        "~~~ ~",
    ]
)


@settings(max_examples=300)
@given(st.lists(line, max_size=12))
def test_random_pages_agree_with_markdown(lines: list[str]) -> None:
    text = "\n".join(lines)
    assert [name for name, _ in ours(text)] == [name for name, _ in theirs(text)]


def test_offsets_point_into_the_text() -> None:
    text = "Before.\n\n```ingredients\n- 1 g a\n```\nAfter.\n"
    (fence,) = fences(text)
    assert text[: fence.start] == "Before.\n\n"
    assert text[fence.inner : fence.inner_end] == "- 1 g a\n"
    assert text[fence.end :] == "After.\n"
    assert fence.closed
