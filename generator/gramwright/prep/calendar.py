"""Takes dated events, gives an iCalendar file (RFC 5545). No clock is read: the same events give the same bytes.

    write(name, events, stamp) -> bytes
    of_schedule(schedule, day, start_min, uid, summary) -> tuple[Event, ...]

Times are floating (RFC 5545 section 3.3.5, form 1): a kitchen's clock is where the kitchen is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, datetime, timedelta
from typing import NamedTuple

from gramwright.model.steps import Schedule, Task

PRODUCT = "-//Gramwright//Prep plans//EN"
MOST_OCTETS = 75
"""Octets of a content line before its break (section 3.1)."""


class Event(NamedTuple):
    """One entry. A `day` event has only dates (`start` at midnight) and no end."""

    uid: str
    summary: str
    start: datetime
    end: datetime | None = None
    description: str = ""
    all_day: bool = False
    alarm: bool = False
    """Rings at the end (without an end: at the start)."""


def write(name: str, events: Iterable[Event], stamp: date) -> bytes:
    """The calendar's bytes. `stamp` is the plan's own date (DTSTAMP must be there and may not change by itself)."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN", "METHOD:PUBLISH"]
    lines.append(f"X-WR-CALNAME:{_text(name)}")
    for event in events:
        lines += _event(event, stamp)
    lines.append("END:VCALENDAR")
    return "".join(_folded(line) for line in lines).encode()


def of_schedule(
    schedule: Schedule, day: date, start_min: float, uid: str, summary: Callable[[Task], str]
) -> tuple[Event, ...]:
    """Every task of a session that begins `start_min` minutes after midnight of `day`; waiting rings when it ends.

    `uid` is unique for the session in the world ('plans/regatta-week/0@hub.example'); `summary` says a task in words.
    """
    opening = datetime.combine(day, datetime.min.time()) + timedelta(minutes=start_min)
    found = []
    for number, task in enumerate(schedule.tasks):
        start, end = opening + timedelta(minutes=task.start), opening + timedelta(minutes=task.end)
        if task.chill and task.due is not None:
            end = opening + timedelta(minutes=task.due)
        found.append(
            Event(
                uid=f"{number}-{uid}",
                summary=summary(task),
                start=start,
                end=end if end > start else None,
                alarm=task.chill or task.end > task.hands_end,
            )
        )
    return tuple(found)


def _event(event: Event, stamp: date) -> list[str]:
    lines = ["BEGIN:VEVENT", f"UID:{_text(event.uid)}", f"DTSTAMP:{stamp:%Y%m%d}T000000Z"]
    if event.all_day:
        lines += [f"DTSTART;VALUE=DATE:{event.start:%Y%m%d}", "TRANSP:TRANSPARENT"]
    else:
        lines.append(f"DTSTART:{_moment(event.start)}")
        if event.end is not None:
            lines.append(f"DTEND:{_moment(event.end)}")
    lines.append(f"SUMMARY:{_text(event.summary)}")
    if event.description:
        lines.append(f"DESCRIPTION:{_text(event.description)}")
    if event.alarm:
        related = ";RELATED=END" if event.end is not None else ""
        lines += ["BEGIN:VALARM", "ACTION:DISPLAY", f"TRIGGER{related}:PT0S"]
        lines += [f"DESCRIPTION:{_text(event.summary)}", "END:VALARM"]
    return [*lines, "END:VEVENT"]


def _moment(moment: datetime) -> str:
    return f"{moment:%Y%m%dT%H%M%S}"


def _text(text: str) -> str:
    """A TEXT value (section 3.3.11): backslash, semicolon, comma and line breaks escaped, other controls left out."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    plain = plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")
    return "".join(letter for letter in plain if letter >= " " and letter != "\x7f")


def _folded(line: str) -> str:
    """The line in pieces of at most 75 octets, no character cut (section 3.1), with its CRLF."""
    pieces: list[str] = []
    piece, size = "", 0
    for letter in line:
        octets = len(letter.encode())
        if size + octets > MOST_OCTETS:
            pieces.append(piece)
            piece, size = " ", 1
        piece += letter
        size += octets
    return "\r\n".join([*pieces, piece]) + "\r\n"
