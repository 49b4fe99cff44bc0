"""Which shared pages can stay as they were published. Takes what a page is made from, gives whether that is as before.

A list of thousands of recipes has hundreds of pages, and one changed recipe changes a few of them. A page module that
is given a `Standing` asks it before it renders; pages that stay are left out of what the module gives.

What pages of every kind depend on (program, theme, words, settings) is no input: whoever makes a Standing passes
nothing that is known where any of that differs.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from gramwright.site.cards import Card


@dataclass(slots=True)
class Standing:
    """What is known of the shared pages of the last publish, and what is noted for the next one."""

    marks: Mapping[str, str] = field(default_factory=dict)
    """Slug -> what changes whenever the recipe's card does."""
    known: Mapping[str, str] = field(default_factory=dict)
    """Path of a published page -> digest of what it was made from."""
    now: dict[str, str] = field(default_factory=dict)
    """The same of the pages asked for so far."""
    stayed: list[str] = field(default_factory=list)
    """Paths of the pages that are as they were."""

    def stays(self, path: str, cards: Iterable[Card], *inputs: object) -> bool:
        """Whether a page made from these cards and inputs (whose `repr` says all of them) need not be made."""
        return bool(self.marks) and self.made_from(path, (self.marks[card.slug] for card in cards), *inputs)

    def made_from(self, path: str, marks: Iterable[str], *inputs: object) -> bool:
        """The same with the marks of what the page is made from given."""
        whole = hashlib.blake2b(repr(inputs).encode(), digest_size=16)
        whole.update("\0".join(marks).encode())
        self.now[path] = mark = whole.hexdigest()
        if self.known.get(path) != mark:
            return False
        self.stayed.append(path)
        return True
