"""The iCalendar files, read by another library (icalendar), and RFC 5545's rules for lines."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import icalendar  # type: ignore[import-untyped]

from gramwright.model.steps import Schedule, Task
from gramwright.prep.calendar import Event, of_schedule, write

SCHEDULE = Schedule(
    tasks=(
        Task("stew", "Stew", "brown; the beef, well", 0, 15, 15, 15),
        Task("stew", "Stew", "braise", 15, 15, 140, 165),
        Task("stew", "Stew", "", 165, 165, 165, 165, chill=True, due=285),
    ),
    lanes=(),
    minutes=165,
    lower_bound=165,
    proven=True,
    idle_min=0,
    method="rule",
)


def events() -> tuple[Event, ...]:
    return of_schedule(SCHEDULE, date(2026, 12, 4), 17 * 60 + 30, "0@hub.example", lambda t: f"{t.title}: {t.name}")


def parsed(data: bytes) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(data).walk("VEVENT"))


def test_a_session_is_read_back_by_another_library() -> None:
    found = parsed(write("Race, week; one", events(), date(2026, 11, 15)))
    assert [str(event["SUMMARY"]) for event in found] == ["Stew: brown; the beef, well", "Stew: braise", "Stew: "]
    assert [event.decoded("DTSTART") for event in found] == [
        datetime(2026, 12, 4, 17, 30),
        datetime(2026, 12, 4, 17, 45),
        datetime(2026, 12, 4, 20, 15),
    ]
    assert found[1].decoded("DTEND") - found[1].decoded("DTSTART") == timedelta(minutes=150)
    assert found[2].decoded("DTEND") == datetime(2026, 12, 4, 22, 15)
    assert len({str(event["UID"]) for event in found}) == 3
    assert [len(list(event.walk("VALARM"))) for event in found] == [0, 1, 1]


def test_text_survives_and_lines_are_folded_at_75_octets() -> None:
    """RFC 5545 sections 3.1 and 3.3.11."""
    text = "Möhren; Zwiebeln, \\ Sellerie " * 8 + "\nzweite Zeile"
    data = write("ß" * 90, [Event("u@x", text, datetime(2026, 1, 2), description=text, all_day=True)], date(2026, 1, 1))
    assert data.endswith(b"END:VCALENDAR\r\n")
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))
    assert b"\n" not in data.replace(b"\r\n", b"")
    calendar = icalendar.Calendar.from_ical(data)
    assert str(calendar["X-WR-CALNAME"]) == "ß" * 90
    event = parsed(data)[0]
    assert str(event["SUMMARY"]) == str(event["DESCRIPTION"]) == text
    assert event.decoded("DTSTART") == date(2026, 1, 2)


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert write("x", events(), date(2026, 1, 1)) == write("x", events(), date(2026, 1, 1))
