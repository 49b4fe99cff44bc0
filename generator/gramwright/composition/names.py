"""Takes a name that leads nowhere, gives the known names nearest to it; and re-exports the folding of names."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from gramwright.reading.fold import fold

__all__ = ["NameIndex", "fold"]


class NameIndex:
    """Folded names by their letter triples: near names among thousands in a few milliseconds."""

    def __init__(self, names: Iterable[str]) -> None:
        self._names = sorted(set(names))
        self._grams: dict[str, list[int]] = {}
        for index, name in enumerate(self._names):
            for gram in _grams(name):
                self._grams.setdefault(gram, []).append(index)

    def near(self, name: str, most: int = 10) -> list[tuple[float, str]]:
        """(score, known folded name), best first: those with the same words, then those spelt nearly so."""
        key = fold(name)
        if not key:
            return []
        shared: dict[int, int] = {}
        for gram in _grams(key):
            for index in self._grams.get(gram, ()):
                shared[index] = shared.get(index, 0) + 1
        size = len(_grams(key))
        rough = sorted(
            shared, key=lambda index: (-2 * shared[index] / (size + len(_grams(self._names[index]))), index)
        )[:40]
        words = set(key.split())
        scored: list[tuple[float, str]] = []
        for index in rough:
            known = self._names[index]
            have = set(known.split())
            ratio = difflib.SequenceMatcher(None, key, known).ratio()
            common = len(words & have) / len(words | have)
            inside = 0.3 if words <= have or have <= words else 0.0
            score = max(ratio, common) + inside
            if score >= 0.6:
                scored.append((score, known))
        return sorted(scored, key=lambda found: (-found[0], found[1]))[:most]


def _grams(key: str) -> set[str]:
    padded = f" {key} "
    return {padded[at : at + 3] for at in range(len(padded) - 2)}
