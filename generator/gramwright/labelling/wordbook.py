"""Wording that amounts to a claim, one language. Takes content/labelling/words/<language>.yaml, finds it in texts."""

from __future__ import annotations

import re
from collections.abc import Set
from dataclasses import dataclass
from functools import cache

from gramwright import resources
from gramwright.labelling.shipped_data import read_yaml
from gramwright.labelling.strict import Fields


@dataclass(frozen=True, slots=True)
class ClaimWord:
    """One wording."""

    pattern: re.Pattern[str]
    claim: str
    titles: bool
    """Looked for only where it speaks of the dish: the word has other meanings in running text."""


@dataclass(frozen=True, slots=True)
class WordBook:
    """A language's wording, with the words that a text must hold before the patterns are worth trying."""

    words: tuple[ClaimWord, ...]
    about: frozenset[str]
    how: frozenset[str]
    alone: frozenset[str]
    stems: tuple[str, ...]

    def may_claim(self, tokens: Set[str]) -> bool:
        """Whether a text with these words (lower case) can hold a claim at all."""
        if not self.alone.isdisjoint(tokens):
            return True
        if not self.about.isdisjoint(tokens) and not self.how.isdisjoint(tokens):
            return True
        return bool(self.stems) and any(token.startswith(self.stems) for token in tokens)

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
    top = Fields(read_yaml(path), path, {"words", "about", "how", "alone", "stems"})

    def some(key: str) -> frozenset[str]:
        return frozenset(top.texts(key))

    words = tuple(
        ClaimWord(re.compile(entry.text("says"), re.IGNORECASE), entry.text("claim"), bool(entry.get("titles", False)))
        for entry in top.entries("words", {"says", "claim", "titles"})
    )
    return WordBook(words, some("about"), some("how"), some("alone"), top.texts("stems"))
