"""Wording that amounts to a claim, one language. Takes content/labelling/words/<language>.yaml, finds it in texts."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from gramwright import resources
from gramwright.labelling.shipped_data import read_yaml
from gramwright.labelling.strict import Fields

_WORD = re.compile(r"\w+")
BEFORE, AFTER = 3, 1
"""How many words before and after a word of `about` a word of `how` may stand ("low in saturated fat", "fat free")."""


class ClaimWord(NamedTuple):
    """One wording."""

    pattern: re.Pattern[str]
    claim: str
    titles: bool
    """Looked for only where it speaks of the dish: the word has other meanings in running text."""


class WordBook(NamedTuple):
    """A language's wording, with the words that a text must hold before the patterns are worth trying."""

    words: tuple[ClaimWord, ...]
    about: frozenset[str]
    how: frozenset[str]
    alone: tuple[str, ...]
    """Beginnings of words that are a claim without a further word."""
    in_titles: tuple[str, ...]
    """The same, where the text speaks of the dish."""
    joining: frozenset[str]
    """Words that say nothing of what comes next."""
    health: re.Pattern[str] | None
    """Wording that speaks of health; None for none."""

    def may_claim(self, text: str, *, titles: bool) -> bool:
        """Whether a text in lower case can hold a claim at all: a quick look before the patterns."""
        for word in (*self.alone, *self.in_titles) if titles else self.alone:
            if word in text:
                return True
        for word in self.about:
            if word in text:
                break
        else:
            return False
        words = _WORD.findall(text)
        for place, word in enumerate(words):
            if word in self.about and not self.how.isdisjoint(words[max(0, place - BEFORE) : place + AFTER + 1]):
                return True
        return False

    def matches(self, text: str, *, titles: bool) -> list[tuple[int, int, str]]:
        """(start, end, claim) of every wording found, in order; where two overlap, the first of the list counts."""
        found: list[tuple[int, int, str]] = []
        for word in self.words:
            if word.titles and not titles:
                continue
            for match in word.pattern.finditer(text):
                start, end = match.span()
                if all(end <= first or start >= last for first, last, _ in found):
                    found.append((start, end, word.claim))
        return sorted(found)


@cache
def wordbooks() -> dict[str, WordBook]:
    """Language -> its wording, read once. Raises Trouble 'bad-rule-set'."""
    folder = resources.content() / "labelling" / "words"
    return {path.stem: _read(f"labelling/words/{path.name}") for path in sorted(folder.glob("*.yaml"))}


def _read(path: str) -> WordBook:
    top = Fields(read_yaml(path), path, {"words", "about", "how", "alone", "titles", "joining", "health"})

    def some(key: str) -> frozenset[str]:
        return frozenset(top.texts(key))

    words = tuple(
        ClaimWord(re.compile(entry.text("says"), re.IGNORECASE), entry.text("claim"), bool(entry.get("titles", False)))
        for entry in top.entries("words", {"says", "claim", "titles"})
    )
    health = "|".join(top.texts("health"))
    return WordBook(
        words,
        some("about"),
        some("how"),
        top.texts("alone"),
        top.texts("titles"),
        some("joining"),
        re.compile(health, re.IGNORECASE) if health else None,
    )
