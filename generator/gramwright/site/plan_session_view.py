"""A cooking session step by step, for the phone in the galley. Takes a schedule, gives it in spoken order."""

from __future__ import annotations

from typing import NamedTuple

from gramwright.model.plans import Session
from gramwright.model.steps import Schedule, Task
from gramwright.prep.made import PlanMade
from gramwright.site.plan_view import day_name
from gramwright.site.words import Words


class TaskView(NamedTuple):
    """One line: '0:04', what, of which dish."""

    key: str
    at: str
    clock: str
    """Time of day; '' where the session has no start."""
    name: str
    dish: str
    minutes: str
    """'10 min, then 30–35 min waiting'."""
    seconds: int
    """What the timer counts: the waiting; 0 for none."""
    where: str
    """'180 °C, ring' ..."""
    chill: str
    """By when it must be in the fridge."""


class CookView(NamedTuple):
    name: str
    tasks: tuple[TaskView, ...]
    length: str
    proven: str
    missing: str


def cooks(made: PlanMade, words: Words) -> tuple[CookView, ...]:
    """Every session that has a schedule."""
    return tuple(_cook(at, schedule, made, words) for at, schedule in enumerate(made.schedules) if schedule is not None)


def name_of(session: Session, made: PlanMade, words: Words) -> str:
    """'Friday 4 December, 17:30'."""
    name = day_name(session.day, dict(made.dates), words)
    if session.start_min is None:
        return name
    return words("plan.session_at", day=name, time=clock(session.start_min))


def clock(minutes: float) -> str:
    """'0:04', '14:30'."""
    return f"{int(minutes // 60)}:{int(minutes % 60):02d}"


def _cook(at: int, schedule: Schedule, made: PlanMade, words: Words) -> CookView:
    session = made.plan.sessions[at]
    lanes = {lane.key: words.get(f"plan.lanes.{lane.kind}", lane.kind.replace("_", " ")) for lane in schedule.lanes}
    quality = words("plan.proven") if schedule.proven else words("plan.bound", bound=clock(schedule.lower_bound))
    return CookView(
        name=name_of(session, made, words),
        tasks=tuple(
            _task(number, at, task, session.start_min, lanes, words) for number, task in enumerate(schedule.tasks)
        ),
        length=words("plan.length", time=clock(schedule.minutes)),
        proven=quality,
        missing=words("plan.no_steps", dishes=", ".join(schedule.missing)) if schedule.missing else "",
    )


def _task(number: int, session: int, task: Task, start: float | None, lanes: dict[str, str], words: Words) -> TaskView:
    hands, wait = task.hands_end - task.start, task.end - task.hands_end
    early = task.early_end - task.hands_end
    waiting = words.plain(wait) if early >= wait or early <= 0 else f"{early}–{wait}"
    said: list[str] = []
    if hands:
        said.append(words("plan.hands", minutes=hands))
    if wait:
        said.append(words("plan.waiting", minutes=waiting))
    places = list(dict.fromkeys(lanes[key] for key in task.lanes if key in lanes and not key.startswith("cook-")))
    if task.oven_c is not None:
        places.insert(0, f"{task.oven_c:g}\u202f°C")
    base = start or 0.0
    return TaskView(
        key=f"{session}-{number}",
        at=clock(task.start),
        clock="" if start is None else clock((base + task.start) % 1440),
        name=words("plan.into_fridge") if task.chill else task.name[:1].upper() + task.name[1:],
        dish=task.title,
        minutes=", ".join(said),
        seconds=0 if task.chill else int(wait * 60),
        where=", ".join(places),
        chill="" if task.due is None else words("plan.chill_by", time=clock((base + task.due) % 1440)),
    )
