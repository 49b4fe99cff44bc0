"""Text -> the words that finding compares: takes what an author or a reader wrote, gives folded words and their stems.

Folding takes away capitals, accents and apostrophes; a stem takes away the
plural as well. The browser does the same to what the reader types
(themes/galley/browser/find-fold.js), with the same endings.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Any, NamedTuple

import yaml

from gramwright import resources

LETTERS = {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "ł": "l", "ı": "i", "ς": "σ"}
"""Letters that no decomposition takes apart."""

_ACCENTS = re.compile("[\u0300-\u036f'’ʼ]")
_PLAIN = re.compile("[a-z0-9]+")


class Language(NamedTuple):
    """How one language is folded: endings longest first, and the words that say nothing."""

    endings: tuple[tuple[str, str], ...] = ()
    silent: frozenset[str] = frozenset()

    def stem(self, word: str) -> str:
        """A folded word without its plural ending; what comes out is compared, never shown."""
        for ending, instead in self.endings:
            if word.endswith(ending) and len(word) - len(ending) >= 2:
                return word[: len(word) - len(ending)] + instead
        return word


@cache
def language(code: str) -> Language:
    """The folding of a language by its code ('en', 'en-GB'); one that is not recorded folds no plurals."""
    entry = _recorded().get(code.split("-")[0].lower())
    if entry is None:
        return Language()
    endings = [(str(ending), str(instead)) for ending, instead in entry["endings"]]
    return Language(
        tuple(sorted(endings, key=lambda pair: (-len(pair[0]), pair[0]))),
        frozenset(str(word) for word in entry["silent"]),
    )


@cache
def _recorded() -> Mapping[str, Any]:
    text = (resources.content() / "search" / "plurals.yaml").read_bytes()
    recorded: Mapping[str, Any] = yaml.load(text, Loader=yaml.CSafeLoader)
    return recorded


@lru_cache(maxsize=65536)
def fold(text: str) -> str:
    """Small letters without accents or apostrophes."""
    text = text.lower()
    if not text.isascii():
        text = "".join(LETTERS.get(letter, letter) for letter in text)
        text = unicodedata.normalize("NFKD", text)
    return _ACCENTS.sub("", text)


@lru_cache(maxsize=65536)
def words(text: str) -> tuple[str, ...]:
    """The folded words of a text in its order: runs of letters and digits."""
    folded = fold(text)
    if folded.isascii():
        return tuple(_PLAIN.findall(folded))
    return tuple("".join(x if unicodedata.category(x)[0] in "LMN" else " " for x in folded).split())
