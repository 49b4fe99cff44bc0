"""Times in the method. Takes rendered Markdown, gives it with every time as a <time> that the page can run as a timer.

"8 to 10 minutes" becomes one element of eight minutes: the earliest moment at
which the author says to look. What is inside a link or between backticks stays
as it is.
"""

from __future__ import annotations

import re

from markupsafe import Markup

from gramwright.site.words import Words

MOST_HOURS = 24
_TAG = re.compile(r"(<[^>]*>)")
_UNTOUCHED = ("a", "code", "pre", "time")


class Timers:
    """Finds the times of one language."""

    def __init__(self, words: Words) -> None:
        units = {name: words(f"cook.time.{name}") for name in ("hour", "minute", "second")}
        self._unit = {
            spelling.casefold(): name[0].upper()
            for name, spellings in units.items()
            for spelling in spellings.split("|")
        }
        number = r"\d{1,3}(?:[.,]\d{1,2})?"
        names = "|".join(sorted(map(re.escape, self._unit), key=len, reverse=True))
        to = "|".join(map(re.escape, words("cook.time.to").split("|")))
        self._times = re.compile(
            rf"(?<![\w.,])({number})(?:\s*(?:{to})\s*{number})?[\s\u202f\xa0-]({names})\b", re.IGNORECASE
        )

    def marked(self, html: Markup) -> Markup:
        """The same text; only <time> elements are added."""
        if self._times.search(html) is None:
            return html
        made: list[str] = []
        inside = 0
        for piece in _TAG.split(html):
            if piece.startswith("<"):
                name = piece.strip("</>").split(" ", 1)[0]
                if name in _UNTOUCHED:
                    inside += -1 if piece.startswith("</") else 1
                made.append(piece)
            else:
                made.append(piece if inside else self._times.sub(self._element, piece))
        return Markup("".join(made))

    def _element(self, found: re.Match[str]) -> str:
        amount = float(found[1].replace(",", "."))
        unit = self._unit[found[2].casefold()]
        if not 0 < amount * {"H": 1, "M": 1 / 60, "S": 1 / 3600}[unit] <= MOST_HOURS:
            return found[0]
        return f'<time class="timer" datetime="PT{amount:g}{unit}">{found[0]}</time>'
