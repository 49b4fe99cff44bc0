"""What a plan calls its days. Takes the days as written, gives their numbers: day 1 is the plan's first.

    weekdays(language) -> names of the days of the week -> 0 to 6, Monday first; a language's own and English
    Calendar(file, log, names).learn(...), then number(node)

A plan says 'day 2', or ISO dates, or weekdays, throughout. `from` gives the first day where the days do not: a
date, which makes every day a dated one, or (for weekdays) a weekday. Without it a plan of weekdays begins with the
first that is written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from functools import cache

from gramwright.model import WEEKDAYS
from gramwright.problems import Place, ProblemLog, Trouble
from gramwright.reading.fields import parse_date
from gramwright.reading.shipped import read_shipped
from gramwright.reading.yaml_nodes import Scalar, short

MOST_DAYS = 60
FILE = "prep/weekdays.yaml"
WEEK = len(WEEKDAYS)
_DAY = re.compile(r"(?:day\s*)?(\d{1,3})", re.IGNORECASE)


@cache
def weekdays(language: str) -> Mapping[str, int]:
    """Every name that a hub of this language may use, in small letters."""
    shipped = read_shipped(FILE)
    found: dict[str, int] = {}
    for each in ("en", language.partition("-")[0]):
        for number, names in enumerate(shipped.get(each, ())):
            for name in names if isinstance(names, list) else [names]:
                found[name.casefold()] = number
    return found


class Calendar:
    """Day numbers of what the plan calls its days."""

    def __init__(self, file: str, log: ProblemLog, names: Mapping[str, int]) -> None:
        self.file = file
        self.log = log
        self.names = names
        self.first: date | None = None
        """The date of day 1; None in an undated plan."""
        self.weekday: int | None = None
        """The weekday of day 1 in an undated plan of weekdays."""
        self._by_date = self._by_weekday = False

    def learn(self, begin: Scalar | None, days: Sequence[str], sessions: Sequence[Scalar]) -> None:
        """Takes `from`, the days as written and those of the sessions."""
        texts = [*days, *(node.text for node in sessions)]
        dates = [found for text in texts if (found := _date(text)) is not None]
        named = [self._weekday(text) for text in texts]
        if begin is not None:
            self._begin(begin, dates)
        if dates:
            self._by_date = True
            self.first = min([*dates, *([self.first] if self.first else [])])
        elif any(number is not None for number in named):
            self._by_weekday = True
            if begin is None:
                self.weekday = next((number for text in days if (number := self._weekday(text)) is not None), None)
                self._sessions_within(days, sessions)
        elif self.weekday is not None and begin is not None:
            self._bad(begin, "from-without-weekdays", f"expected a date, found '{short(begin.text)}' and no weekdays")
            self.weekday = None

    def number(self, node: Scalar) -> int | None:
        """The day's number, None after a problem was logged."""
        text = node.text.strip()
        if self._by_date:
            return self._dated(node, text)
        if self._by_weekday:
            return self._named(node, text)
        plain = _DAY.fullmatch(text)
        if plain and 1 <= int(plain[1]) <= MOST_DAYS:
            return int(plain[1])
        self.log.error(
            self._place(node),
            "bad-day",
            f"expected 'day 1' to 'day {MOST_DAYS}', a date or a weekday, found '{short(text)}'",
            "write 'day 1', a date as 2026-06-12, or a weekday",
        )
        return None

    def date_of(self, number: int) -> str:
        """ISO date; '' in an undated plan."""
        return "" if self.first is None else (self.first + timedelta(days=number - 1)).isoformat()

    def _begin(self, begin: Scalar, dates: Sequence[date]) -> None:
        self.first, self.weekday = _date(begin.text), self._weekday(begin.text)
        if self.first is None and (self.weekday is None or dates):
            self._bad(begin, "bad-day", f"expected a date or a weekday for 'from', found '{short(begin.text)}'")
            self.weekday = None

    def _sessions_within(self, days: Sequence[str], sessions: Sequence[Scalar]) -> None:
        """A session on a weekday that has no meals: whether it is before or after them has to be said."""
        known = {self._weekday(text) for text in days}
        for node in sessions:
            number = self._weekday(node.text)
            if number is not None and number not in known:
                self.log.error(
                    self._place(node),
                    "no-from",
                    f"expected 'from' with the plan's first day, because '{short(node.text.strip())}' has no meals "
                    "that say where it comes, found none",
                    f"write 'from: {node.text.strip()}' beside 'days', or 'from:' with a date",
                )

    def _dated(self, node: Scalar, text: str) -> int | None:
        if self.first is None or _DAY.fullmatch(text) or self._weekday(text) is not None:
            self._mixed(node, "a date", "2026-06-12")
            return None
        try:
            return (date.fromisoformat(parse_date(text)) - self.first).days + 1
        except Trouble as trouble:
            self.log.add(trouble.at(self._place(node)))
            return None

    def _named(self, node: Scalar, text: str) -> int | None:
        number = self._weekday(text)
        if number is None:
            self._mixed(node, "a weekday", WEEKDAYS[0])
            return None
        begin = self.first.weekday() if self.first is not None else self.weekday
        return None if begin is None else (number - begin) % WEEK + 1  # None: `from` was wrong and is logged

    def _weekday(self, text: str) -> int | None:
        return self.names.get(text.strip().casefold())

    def _mixed(self, node: Scalar, expected: str, example: str) -> None:
        self.log.error(
            self._place(node),
            "mixed-days",
            f"expected {expected} like the other days, found '{short(node.text.strip())}'",
            example,
        )

    def _bad(self, node: Scalar, code: str, message: str) -> None:
        self.log.error(self._place(node), code, message, "write the plan's first day: a date as 2026-06-12, or monday")

    def _place(self, node: Scalar) -> Place:
        return Place(self.file, node.line, node.column)


def _date(text: str) -> date | None:
    try:
        return date.fromisoformat(parse_date(text))
    except Trouble:
        return None
