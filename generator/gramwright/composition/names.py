"""Takes a name that leads nowhere, gives the known names nearest to it; and re-exports the folding of names."""

from __future__ import annotations

import difflib
import heapq
import math
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import lru_cache

from gramwright.reading.fold import fold

__all__ = ["NameIndex", "fold"]

ROUGH = 40
"""Names that are compared word by word, chosen by the letter triples they share."""
LEAST = 0.5
"""Names less alike than this are not worth showing (0 to 1)."""
LONGEST = 120
"""Characters of a name that are looked at."""
SLIP = 0.7
"""Words less alike than this are other words."""


class NameIndex:
    """Folded names by their letter triples: near names among thousands in some milliseconds."""

    def __init__(self, names: Iterable[str]) -> None:
        self._names = sorted(set(names))
        self._grams: dict[str, list[int]] = {}
        self._common = Counter(word for name in self._names for word in set(name.split()))
        for index, name in enumerate(self._names):
            for gram in sorted(_grams(name)):
                self._grams.setdefault(gram, []).append(index)
        self._sizes = [math.sqrt(len(_grams(name))) for name in self._names]

    def near(self, name: str, most: int = 12) -> list[tuple[float, str]]:
        """(likeness from 0 to 1, known folded name), best first. Rare words count more than common ones ('raw')."""
        words = fold(name[:LONGEST]).split()
        if not words:
            return []
        shared: dict[int, float] = {}
        for gram in sorted(_grams(" ".join(words))):
            found = self._grams.get(gram, ())
            for index in found:
                shared[index] = shared.get(index, 0.0) + 1 / math.sqrt(len(found))
        rough = heapq.nsmallest(ROUGH, shared, key=lambda index: (-shared[index] / self._sizes[index], index))
        scored = [(self._alike(words, self._names[index].split()), self._names[index]) for index in rough]
        return sorted((one for one in scored if one[0] >= LEAST), key=lambda one: (-one[0], one[1]))[:most]

    def _alike(self, words: Sequence[str], known: Sequence[str]) -> float:
        """How well the words stand in a known name; further words of that name count a little against it."""
        weights = [self._weight(word) for word in words]
        best = sum(
            weight * max(_ratio(word, other) for other in known) for word, weight in zip(words, weights, strict=True)
        )
        covered = sum(max(_ratio(other, word) for word in words) for other in known) / len(known)
        return 0.8 * best / sum(weights) + 0.2 * covered

    def _weight(self, word: str) -> float:
        return 1 / (2 + math.log1p(max(3, self._common[word])))


@lru_cache(maxsize=65536)
def _ratio(one: str, other: str) -> float:
    if one == other:
        return 1.0
    if min(len(one), len(other)) * 2 < max(len(one), len(other)):
        return 0.0
    ratio = difflib.SequenceMatcher(None, one, other).ratio()
    return ratio * ratio if ratio >= SLIP else 0.0


def _grams(key: str) -> set[str]:
    padded = f" {key} "
    return {padded[at : at + 3] for at in range(len(padded) - 2)}
