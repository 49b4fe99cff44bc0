"""What a page was made from, told exactly: a trace while it is made, a digest to compare with afterwards.

A page needs: the house (program, rules, theme, settings), its own source, the source of every recipe it uses at any
depth, the *answer* the food table gave to every name looked up on the way (also "no such food"), and whether the
recipes its prose links to exist, and its photo.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field


@dataclass(slots=True)
class Trace:
    """What one page asked for while it was made."""

    asked: set[str] = field(default_factory=set)
    """Folded names looked up in the food table."""
    sources: dict[str, str] = field(default_factory=dict)
    """Slug -> digest of the source, of the page and of every recipe inside it."""
    links: set[str] = field(default_factory=set)
    """Slugs that the prose links to."""

    def include(self, other: Trace) -> None:
        self.asked |= other.asked
        self.sources.update(other.sources)
        self.links |= other.links


def needs_digest(
    house: str,
    sources: Mapping[str, str],
    asked: Iterable[str],
    links: Iterable[str],
    answer: Callable[[str], str],
    exists: Callable[[str], bool],
    photo: str = "",
) -> str:
    """One digest of all that a page needs.

    `answer` gives the digest of the food table's answer to a name; `photo` is the mark of the page's photo file.
    """
    whole = hashlib.blake2b(house.encode(), digest_size=16)
    for slug in sorted(sources):
        whole.update(f"\0s{slug}\0{sources[slug]}".encode())
    for name in sorted(asked):
        whole.update(f"\0a{name}\0{answer(name)}".encode())
    for slug in sorted(links):
        whole.update(f"\0l{slug}\0{exists(slug)}".encode())
    if photo:
        whole.update(f"\0p{photo}".encode())
    return whole.hexdigest()
