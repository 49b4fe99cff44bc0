"""A session's schedule to look at, to read out and to take along. Takes a Schedule, gives a chart, lines, a calendar.

    view(schedule, words, name, start_min, key) -> ScheduleView
        `parts/schedule_chart.html` draws it, `parts/schedule_lines.html` says it (both get it as `schedule`)
    calendar(slug, title, sessions, host, stamp, words) -> bytes | None     plans/<slug>/session.ics

The chart has a strip for every cook, ring, oven ... and one for what waits by itself. Lengths are percentages, so
nothing shrinks on a phone; what the bars are stands in the lines beneath. A page with charts includes
`parts/schedule_defs.html` once, with `dishes`: the number of textures. The lines are the one list of what to do:
plan page, recipe page, print pack and the session on the phone show the same ones.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from gramwright.model import Session
from gramwright.model.steps import Lane, Schedule, Task
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

    key: str
    """For the memory of its tick."""
    kind: str
    """'begin', 'ready' or 'chill'."""
    at: str
    """Minutes since the session began; '' where the line above has the same."""
    clock: str
    """Time of day; '' where the session has no start."""
    meanwhile: str
    what: str
    dish: int
    title: str
    how: str
    seconds: int
    """What a timer counts: the waiting; 0 for none."""


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
    missing: str
    """Which dishes have no step times; ''."""
    one_dish: bool
    """The lines need not say of which dish they are."""


def view(
    schedule: Schedule, words: Words, name: str = "", start_min: float | None = None, key: str = ""
) -> ScheduleView:
    """Everything that is shown of one session; `key` tells its ticks from those of the page's other sessions."""
    numbers = {slug: 1 + at % TEXTURES for at, slug in enumerate(dict.fromkeys(t.batch for t in schedule.tasks))}
    titles = {task.batch: task.title for task in schedule.tasks}
    step, span = _scale(schedule.minutes)
    bound = words("schedule.proven") if schedule.proven else ""
    if not schedule.proven:
        bound = words("schedule.bound", bound=clock(schedule.lower_bound))
    voice = _Voice(
        words, numbers, start_min, key, {lane.key: _place_of(lane, schedule, words) for lane in schedule.lanes}
    )
    return ScheduleView(
        name=name,
        lanes=_lanes(schedule, numbers, span, words),
        ticks=tuple(TickView(_share(at, span), clock(at)) for at in range(0, span + 1, step)),
        dishes=tuple(DishView(numbers[slug], title) for slug, title in titles.items()),
        lines=tuple(line for call in calls(schedule) for line in voice.lines(call)),
        described=words(
            "schedule.described", time=clock(schedule.minutes), work=_work_min(schedule), idle=schedule.idle_min
        ),
        bound=bound,
        missing=words("schedule.missing", dishes=", ".join(schedule.missing)) if schedule.missing else "",
        one_dish=len(titles) == 1,
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


def _work_min(schedule: Schedule) -> int:
    """Hand minutes of all cooks."""
    return sum(
        (task.hands_end - task.start) * sum(lane.startswith("cook-") for lane in task.lanes) for task in schedule.tasks
    )


def _said(task: Task, words: Words) -> str:
    return words("schedule.entry", what=_what(task, words), dish=task.title)


def _what(task: Task, words: Words) -> str:
    if task.chill:
        return words(f"schedule.chill.{task.into}")
    return task.name[:1].upper() + task.name[1:]


def _scale(minutes: int) -> tuple[int, int]:
    """Minutes between ticks, and the axis' length: a whole number of them."""
    longest = max(minutes, 1)
    step = next((tick for tick in TICKS if longest <= tick * MOST_TICKS), TICKS[-1])
    return step, -(-longest // step) * step


def _share(minutes: int, span: int) -> str:
    return f"{round(100 * minutes / span, 3):g}%"


def _lanes(schedule: Schedule, numbers: Mapping[str, int], span: int, words: Words) -> tuple[LaneView, ...]:
    found = []
    for lane in schedule.lanes:
        by_hand = lane.kind == "cook"
        bars = tuple(
            _bar(task, task.start, task.hands_end if by_hand else task.end, not by_hand, numbers, span, words)
            for task in schedule.tasks
            if lane.key in task.lanes
        )
        found.append(LaneView(_lane_name(lane, schedule, words), bars))
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


def _lane_name(lane: Lane, schedule: Schedule, words: Words) -> str:
    """'Galley oven', 'Ring', 'Ring 2' where several are used."""
    name = words.get(f"schedule.lanes.{lane.kind}", lane.kind)
    alone = sum(other.kind == lane.kind for other in schedule.lanes) == 1
    return lane.name[:1].upper() + lane.name[1:] or (name if alone else f"{name} {lane.number}")


def _place_of(lane: Lane, schedule: Schedule, words: Words) -> str:
    """What a line calls it: an oven by its name where there are several, else what it is; '' for hands."""
    if lane.kind == "cook":
        return ""
    if lane.kind == "oven" and (lane.name or sum(other.kind == "oven" for other in schedule.lanes) > 1):
        return lane.name or _lane_name(lane, schedule, words)
    return words.get(f"schedule.places.{lane.kind}", lane.kind)


def _bar(
    task: Task, start: int, end: int, waiting: bool, numbers: Mapping[str, int], span: int, words: Words
) -> BarView:
    title = f"{clock(start)}–{clock(end)} {_said(task, words)}"
    return BarView(_share(start, span), _share(end - start, span), numbers[task.batch], waiting, title)


@dataclass(slots=True)
class _Voice:
    """Says a session: how long, where, until when."""

    words: Words
    numbers: Mapping[str, int]
    start_min: float | None
    key: str
    places: Mapping[str, str]
    said: list[str] = field(default_factory=list)
    """What was last said to wait."""

    def time(self, minute: int) -> str:
        """The time of day where the session has a start, else since it began."""
        return clock(minute if self.start_min is None else int(self.start_min + minute) % 1440)

    def lines(self, call: Call) -> list[LineView]:
        words = self.words
        waiting = [task.name for task in call.meanwhile[:2]]
        meanwhile = words("schedule.meanwhile", tasks=", ".join(waiting)) if waiting and waiting != self.said else ""
        self.said = waiting or self.said
        said: list[LineView] = []

        def say(kind: str, task: Task, what: str, how: str, before: str = "", seconds: int = 0) -> None:
            said.append(
                LineView(
                    key=f"{self.key}:{kind}:{task.batch}:{task.name}",
                    kind=kind,
                    at="" if said else clock(call.minute),
                    clock="" if said or self.start_min is None else self.time(call.minute),
                    meanwhile=before,
                    what=what,
                    dish=self.numbers[task.batch],
                    title=task.title,
                    how=how,
                    seconds=seconds,
                )
            )

        for task in call.ready:
            early = words("schedule.look", time=self.time(task.early_end)) if task.early_end < task.end else ""
            say("ready", task, words("schedule.ready", what=task.name), early)
        for number, task in enumerate(call.begin):
            seconds = 60 * (task.end - task.hands_end)
            say("begin", task, _what(task, words), self.how(task), "" if number else meanwhile, seconds)
        for task in call.chill:
            due = "" if task.due is None else words("schedule.due", time=self.time(task.due))
            say("chill", task, _what(task, words), due)
        return said

    def how(self, task: Task) -> str:
        words = self.words
        hands, wait = task.hands_end - task.start, task.end - task.hands_end
        early = max(task.early_end - task.hands_end, 0)
        said = [words("schedule.hands", minutes=hands)] if hands else []
        if wait:
            said.append(words("schedule.wait", minutes=f"{early}–{wait}" if 0 < early < wait else str(wait)))
        said += [place for place in dict.fromkeys(self.places.get(lane, "") for lane in task.lanes) if place]
        if task.oven_c is not None:
            said.append(f"{task.oven_c:g}{NARROW_SPACE}°C")
        if task.keep_warm_until is not None:
            said.append(words("schedule.keep", time=self.time(task.keep_warm_until)))
        return ", ".join(said)
