"""The quick parser gives the very tokens of markdown-it-py's own CommonMark parser, whatever the text."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from gramwright.site import markdown

OWN = MarkdownIt("commonmark", {"html": False}).enable("table")
OWN.validateLink = lambda url: True  # type: ignore[method-assign]

PIECES = [
    "|",
    "a|b\n",
    "|-|-|\n",
    ":-:|\n",
    *(
        "a|bc |word| |  |\n|\n|\n\n|*|**|_|`|```\n|~~~\n|> |- |+ |* |1. |12) |#|## |[a](b)|[x]: /u\n|[x]|![i](s)|"
        "<http://a.b>|<b>|&amp;|&#65;|\\|\\*|---\n|===\n|--|    |\t|!|]|(|)|é|\0|***\n| - |\r\n|www.a.b|a@b.c"
    ).split("|"),
]


@given(st.lists(st.sampled_from(PIECES), max_size=30).map("".join))
@settings(max_examples=600)
def test_the_tokens_are_those_of_the_library(text: str) -> None:
    assert markdown.parser().parse(text) == OWN.parse(text)


def test_a_recipes_text_is_parsed_as_the_library_does() -> None:
    text = (
        "Text of *two*\nlines.\n\n1. Heat the oven.\n2. Mix,\n   then bake.\n\n> A note.\n\n- With salad\n- or not\n\n"
        "Title\n=====\n\n| a | b |\n|---|---|\n| 1 | 2 |\n\n```\ncode\n```\n\n[here](soup.md) and <https://example.org>\n"
    )
    found = [token.type for token in markdown.parser().parse(text)]
    assert found == [token.type for token in OWN.parse(text)]
    assert {"ordered_list_open", "blockquote_open", "heading_open", "table_open", "fence"} <= {*found}
