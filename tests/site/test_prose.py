"""The author's Markdown: what is unsafe is shown as text and reported at its line. CommonMark 0.31 for the rest."""

from __future__ import annotations

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gramwright.problems import ProblemLog
from gramwright.site import prose
from gramwright.site.prose import Prose


def render(text: str, **more: object) -> tuple[Prose, list[tuple[str, int]]]:
    """The prose, and (code, line) of each problem; the text starts at line 11 of its file."""
    log = ProblemLog()
    given: dict[str, object] = {"known": lambda slug: slug == "oat-bake", "foods": {"olive-oil"}, "root": "../../"}
    made = prose.render(text, file="recipes/x.md", first_line=11, log=log, **{**given, **more})  # type: ignore[arg-type]
    assert {p.place.file for p in log} <= {"recipes/x.md"}
    assert {p.severity for p in log} <= {"warning"}
    assert all(p.hint and ("found" in p.message or "links to" in p.message) for p in log)
    return made, [(p.code, p.place.line) for p in log]


RAW = [
    ("<b>bold</b>", [11, 11]),
    ("One\ntwo <script>alert(1)</script>", [12, 12]),
    ("Text\n\n<div onclick='x'>\nhello\n</div>", [13, 15]),
    ("<!-- note -->", [11]),
    ("- a\n- <img src=x onerror=alert(1)>", [12]),
    ("| a | b |\n|---|---|\n| 1 | <i>2</i> |", [13, 13]),
    ("<?php echo 1 ?>", [11]),
]


@pytest.mark.parametrize(("text", "lines"), RAW)
def test_html_is_shown_as_text_and_reported(text: str, lines: list[int]) -> None:
    made, problems = render(text)
    assert problems == [("raw-html", line) for line in lines]
    assert tags(made.html) <= {"p", "ul", "li", "table", "thead", "tbody", "tr", "th", "td"}
    assert "&lt;" in made.html


@pytest.mark.parametrize(
    "text", ["`<b>`", "    <b>", "```\n<b>\n```", "2 < 3 and 5 > 4", "a <3 b", "<https://example.org>"]
)
def test_what_only_looks_like_html_is_left_alone(text: str) -> None:
    assert render(text)[1] == []


UNSAFE = [
    "[x](javascript:alert(1))",
    "[x](JaVaScRiPt:alert(1))",
    "[x](java&#115;cript:alert(1))",
    "[x](<java\tscript:alert(1)>)",
    "[x](%6Aavascript:alert(1))",
    "[x](vbscript:x)",
    "[x](data:text/html,<b>)",
    "[x](file:///etc/passwd)",
    "[x](//example.org/y)",
    "<javascript:alert(1)>",
    "[x][r]\n\n[r]: javascript:alert(1)",
]


@pytest.mark.parametrize("text", UNSAFE)
def test_unsafe_links_are_shown_as_text_and_reported(text: str) -> None:
    made, problems = render(text)
    assert ("unsafe-link", 11) in problems
    assert "<a" not in made.html


@pytest.mark.parametrize(
    ("text", "href"),
    [
        ("[x](https://example.org/a?b=c)", "https://example.org/a?b=c"),
        ("[x](mailto:cook@example.org)", "mailto:cook@example.org"),
        ("[x](#method)", "#method"),
        ("[x](oat-bake.md)", "../../recipes/oat-bake/index.html"),
        ("[x](../bakes/oat-bake.md)", "../../recipes/oat-bake/index.html"),
        ("[x](oat-bake.md#method)", "../../recipes/oat-bake/index.html#method"),
        ("[x](recipe:oat-bake)", "../../recipes/oat-bake/index.html"),
        ("[x](food:olive-oil)", "../../foods/olive-oil/index.html"),
    ],
)
def test_good_links(text: str, href: str) -> None:
    made, problems = render(text)
    assert problems == []
    assert f'href="{href}"' in made.html


@pytest.mark.parametrize("text", ["[x](rye-loaf.md)", "[x](recipe:rye-loaf)", "[x](food:gold)", "[x](../notes.txt)"])
def test_links_that_lead_nowhere(text: str) -> None:
    made, problems = render(f"First.\n\n{text}")
    assert problems == [("unknown-link", 13)]
    assert "<a" not in made.html
    assert "[x](" in made.html


def test_an_address_that_only_resembles_a_scheme_is_no_link() -> None:
    """CommonMark 2.5: the character 1 stays a character, so that this is a path; no page has it."""
    made, problems = render("[x](&#1;javascript:alert(1))")
    assert problems
    assert "<a" not in made.html


def test_every_slug_asked_for_is_told() -> None:
    asked: list[str] = []

    def known(slug: str) -> bool:
        asked.append(slug)
        return False

    render("[a](one.md) and [b](recipe:two)", known=known)
    assert asked == ["one", "two"]


def test_pictures_are_not_loaded() -> None:
    made, problems = render("![a pot](https://example.org/pot.jpg)")
    assert problems == [("picture-in-text", 11)]
    assert "<img" not in made.html
    assert "a pot" in made.html


def test_headings_go_below_the_section() -> None:
    made, _ = render("## Bake\n\ntext\n\n### Cool\n\n# Odd")
    assert [tag for tag in made.html.split("<") if tag.startswith("h")] == ["h4>Bake", "h5>Cool", "h3>Odd"]
    deep, _ = render("# a\n\n##### b\n", below=3)
    assert "<h4>a" in deep.html
    assert "<h6>b" in deep.html


def test_tables_are_aligned_without_styles() -> None:
    made, _ = render("| a | b | c |\n|:--|--:|:-:|\n| 1 | 2 | 3 |")
    assert "style=" not in made.html
    assert 'class="at-end"' in made.html
    assert 'class="at-middle"' in made.html


def test_steps_are_plain_texts() -> None:
    made, _ = render("## Day one\n\n1. Mix *well*.\n2. Bake `20 min`,\n   then rest.\n\nServe.")
    assert made.steps == ("Mix well.", "Bake 20 min, then rest.", "Serve.")


def test_no_text_no_prose() -> None:
    assert render("  \n ")[0] == prose.EMPTY


def tags(html: str) -> set[str]:
    tree = html5lib.parseFragment(html, namespaceHTMLElements=False)
    return {element.tag for element in tree.iter() if element is not tree}


ALLOWED = frozenset("p a em strong code pre ul ol li blockquote hr br table thead tbody tr th td h3 h4 h5 h6".split())
PIECES = st.sampled_from(
    [
        "<script>",
        "</p>",
        "<img src=x onerror=y>",
        "javascript:",
        "[a](",
        ")",
        "`",
        "\n",
        "\n\n",
        "> ",
        "- ",
        "1. ",
        "*",
        "![",
        "](",
        "&lt;",
        "&#106;",
        "<!--",
        "-->",
        "<a href=",
        '"',
        "'",
        "\\",
        "|",
        "---",
        "#",
        "    ",
        "a",
        " ",
        "\u202e",
    ]
)


@settings(deadline=None)
@given(st.lists(PIECES, max_size=25).map("".join))
def test_nothing_but_plain_markup_ever_comes_out(text: str) -> None:
    """Whatever is written: only these elements, only these attributes, only these kinds of address."""
    made, _ = render(text)
    tree = html5lib.parseFragment(made.html, namespaceHTMLElements=False)
    for element in tree.iter():
        if element is tree:
            continue
        assert element.tag in ALLOWED, element.tag
        assert set(element.attrib) <= {"href", "rel", "title", "class", "start"}
        address = (element.get("href") or "#").strip().lower()
        assert address.startswith(("#", "https:", "http:", "mailto:", "tel:", "../../"))
