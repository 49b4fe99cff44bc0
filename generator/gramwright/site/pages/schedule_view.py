"""A session's schedule to look at, to read out and to take along. Takes a Schedule, gives a chart, lines, a calendar.

    view(schedule, words, name, start_min) -> ScheduleView     for `parts/schedule.html` (as `schedule`)
    calendar(slug, title, sessions, host, stamp, words) -> bytes | None     plans/<slug>/session.ics

The chart has a strip for every cook, ring, oven ... and one for what waits by itself. Lengths are percentages, so
nothing shrinks on a phone; what the bars are stands in the lines beneath. A page with charts includes
`parts/schedule_defs.html` once, with `dishes`: the number of textures.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import NamedTuple

from gramwright.model import Session
from gramwright.model.steps import Schedule, Task
from gramwright.prep.calendar import Event, of_schedule, write
from gramwright.prep.schedule_spoken import Call, calls, clock
from gramwright.site.words import NARROW_SPACE, Words

TEXTURES = 8
"""Dishes that can be told apart; more begin again with the first texture."""
TICKS = (5, 10, 15, 30, 60, 120, 240, 480, 1440)
MOST_TICKS = 8


class BarView(NamedTuple):
    x: str
    """Percentage with its sign, as `width`."""
    width: str
    dish: int
    """Number of its texture."""
    waiting: bool
    """No hands needed."""
    title: str


class LaneView(NamedTuple):
    name: str
    bars: tuple[BarView, ...]


class TickView(NamedTuple):
    x: str
    text: str


class DishView(NamedTuple):
    number: int
    name: str


class LineView(NamedTuple):
    """One thing said: '0:12', 'while the oven heats', 'soak the dates', 'Bow bars', '2 min, then 10 min waiting'."""

    at: str
    clock: str
    """Time of day; '' where the session has no start."""
    meanwhile: str
    what: str
    dish: int
    title: str
    how: str


class ScheduleView(NamedTuple):
    name: str
    """Of the session."""
    lanes: tuple[LaneView, ...]
    ticks: tuple[TickView, ...]
    dishes: tuple[DishView, ...]
    lines: tuple[LineView, ...]
    described: str
    bound: str
    """How good the order is known to be."""


def view(schedule: Schedule, words: Words, name: str = "", start_min: float | None = None) -> ScheduleView:
    """Everything `parts/schedule.html` shows of one session."""
    numbers = {slug: 1 + at % TEXTURES for at, slug in enumerate(dict.fromkeys(t.batch for t in schedule.tasks))}
    titles = {task.batch: task.title for task in schedule.tasks}
    step, span = _scale(schedule.minutes)
    bound = words("schedule.proven") if schedule.proven else ""
    if not schedule.proven:
        bound = words("schedule.bound", bound=clock(schedule.lower_bound))
    return ScheduleView(
        name=name,
        lanes=_lanes(schedule, numbers, span, words),
        ticks=tuple(TickView(_share(at, span), clock(at)) for at in range(0, span + 1, step)),
        dishes=tuple(DishView(numbers[slug], title) for slug, title in titles.items()),
        lines=tuple(line for call in calls(schedule) for line in _lines(call, numbers, words, start_min)),
        described=words("schedule.described", time=clock(schedule.minutes), idle=schedule.idle_min),
        bound=bound,
    )


def calendar(
    slug: str,
    title: str,
    sessions: Sequence[tuple[Session, date, Schedule]],
    host: str,
    stamp: date,
    words: Words,
    more: Sequence[Event] = (),
) -> bytes | None:
    """The plan's iCalendar file: sessions with a start and a date, and `more` events; None when there is none."""
    events: list[Event] = []
    for number, (session, day, schedule) in enumerate(sessions):
        if session.start_min is not None:
            uid = f"{slug}-{number}@{host or 'hub.invalid'}"
            events += of_schedule(schedule, day, session.start_min, uid, lambda task: _said(task, words))
    events += more
    return write(title, events, stamp) if events else None


def _said(task: Task, words: Words) -> str:
    return words("schedule.entry", what=_what(task, words), dish=task.title)


def _what(task: Task, words: Words) -> str:
    if task.chill:
        return words("schedule.chill")
    return task.name[:1].upper() + task.name[1:]


def _scale(minutes: int) -> tuple[int, int]:
    """Minutes between ticks, and the axis' length: a whole number of them."""
    longest = max(minutes, 1)
    step = next((tick for tick in TICKS if longest <= tick * MOST_TICKS), TICKS[-1])
    return step, -(-longest // step) * step


def _share(minutes: int, span: int) -> str:
    return f"{round(100 * minutes / span, 3):g}%"


def _lanes(schedule: Schedule, numbers: Mapping[str, int], span: int, words: Words) -> tuple[LaneView, ...]:
    many = {kind for kind in (lane.kind for lane in schedule.lanes) if _count(schedule, kind) > 1}
    found = []
    for lane in schedule.lanes:
        by_hand = lane.kind == "cook"
        bars = tuple(
            _bar(task, task.start, task.hands_end if by_hand else task.end, not by_hand, numbers, span, words)
            for task in schedule.tasks
            if lane.key in task.lanes
        )
        name = words.get(f"schedule.lanes.{lane.kind}", lane.kind)
        if lane.kind in many:
            name = f"{name} {lane.number}"
        found.append(LaneView(lane.name or name, bars))
    aside: list[list[Task]] = []
    for task in schedule.tasks:
        if task.end > task.hands_end and all(lane.startswith("cook-") for lane in task.lanes):
            room = next((row for row in aside if row[-1].end <= task.hands_end), None)
            if room is None:
                aside.append([task])
            else:
                room.append(task)
    for row in aside:
        bars = tuple(_bar(task, task.hands_end, task.end, True, numbers, span, words) for task in row)
        found.append(LaneView(words("schedule.lanes.aside"), bars))
    return tuple(found)


def _count(schedule: Schedule, kind: str) -> int:
    return sum(lane.kind == kind for lane in schedule.lanes)


def _bar(
    task: Task, start: int, end: int, waiting: bool, numbers: Mapping[str, int], span: int, words: Words
) -> BarView:
    title = f"{clock(start)}–{clock(end)} {_said(task, words)}"
    return BarView(_share(start, span), _share(end - start, span), numbers[task.batch], waiting, title)


def _lines(call: Call, numbers: Mapping[str, int], words: Words, start_min: float | None) -> list[LineView]:
    at = clock(call.minute)
    day = "" if start_min is None else clock(int(start_min + call.minute) % 1440)
    meanwhile = ""
    if call.meanwhile:
        meanwhile = words("schedule.meanwhile", tasks=", ".join(task.name for task in call.meanwhile[:2]))
    said: list[LineView] = []

    def say(task: Task, before: str, what: str, how: str) -> None:
        first = not said
        said.append(
            LineView(at if first else "", day if first else "", before, what, numbers[task.batch], task.title, how)
        )

    for task in call.ready:
        early = ""
        if task.early_end < task.end:
            early = words("schedule.look", time=clock(task.early_end))
        say(task, "", words("schedule.ready", what=task.name), early)
    for number, task in enumerate(call.begin):
        say(task, meanwhile if not number else "", _what(task, words), _how(task, words))
    for task in call.chill:
        due = "" if task.due is None else words("schedule.due", time=clock(task.due))
        say(task, "", words("schedule.chill"), due)
    return said


def _how(task: Task, words: Words) -> str:
    hands, wait = task.hands_end - task.start, task.end - task.hands_end
    early = max(task.early_end - task.hands_end, 0)
    said = [words("schedule.hands", minutes=hands)] if hands else []
    if wait:
        said.append(words("schedule.wait", minutes=f"{early}–{wait}" if 0 < early < wait else str(wait)))
    if task.oven_c is not None:
        said.append(f"{task.oven_c:g}{NARROW_SPACE}°C")
    if task.keep_warm_until is not None:
        said.append(words("schedule.keep", time=clock(task.keep_warm_until)))
    return ", ".join(said)
