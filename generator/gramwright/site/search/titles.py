"""Cards -> the index's second file: titles and addresses, word by word.

Takes cards in the index's order, gives a mapping of packed strings. Each
different word of the titles is kept once, the most frequent first, and a title
is a run of numbers. A slug that is the title's own words (some left out) is a
number too; any other is kept as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from gramwright.site.cards import Card
from gramwright.site.search.columns import frequent_first
from gramwright.site.search.fold import words
from gramwright.site.search.pack import pack_bits, pack_numbers, pack_stream

LITERAL = 0
"""The slug is written out. n > 0: the title's words, without those whose bit is set in n - 1."""
_MOST_WORDS = 12


class Titles(NamedTuple):
    """Titles as runs of word numbers; `tokens` are the words as written, in the order of their numbers."""

    tokens: tuple[str, ...]
    runs: tuple[tuple[int, ...], ...]


def read_titles(cards: Sequence[Card]) -> Titles:
    """Titles cut at spaces, so that joining them gives the title again (as HTML shows it)."""
    cut = [card.title.split() for card in cards]
    tokens = frequent_first(cut)
    number = {token: n for n, token in enumerate(tokens)}
    return Titles(tuple(tokens), tuple(tuple(number[token] for token in run) for run in cut))


def pack_titles(titles: Titles, cards: Sequence[Card]) -> dict[str, Any]:
    """The second file's content, without the summaries' addresses."""
    codes = [slug_code(card.title, card.slug) for card in cards]
    return {
        "tokens": "\n".join(titles.tokens),
        "lengths": pack_numbers([len(run) for run in titles.runs]),
        "runs": pack_stream(token for run in titles.runs for token in run),
        "slugs": pack_stream(codes),
        "written": "\n".join(card.slug for card, code in zip(cards, codes, strict=True) if code == LITERAL),
        "summed": pack_bits((place for place, card in enumerate(cards) if card.summary), len(cards)),
    }


def slug_code(title: str, slug: str) -> int:
    """How a slug follows from its title; LITERAL when it does not."""
    parts = [word for token in title.split() for word in words(token)]
    if len(parts) > _MOST_WORDS or not slug.isascii() or not all(part.isascii() for part in parts):
        return LITERAL
    left_out = 0
    wanted = slug.split("-")
    at = 0
    for place, part in enumerate(parts):
        if at < len(wanted) and part == wanted[at]:
            at += 1
        else:
            left_out |= 1 << place
    return left_out + 1 if at == len(wanted) else LITERAL
