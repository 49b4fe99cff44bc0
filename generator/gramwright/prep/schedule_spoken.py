"""Takes a schedule, gives the order in which somebody would read it out: what to begin, what is ready meanwhile."""

from __future__ import annotations

from typing import NamedTuple

from gramwright.model.steps import Schedule, Task


class Call(NamedTuple):
    """One minute at which something is to be done. Tasks are in the schedule's order."""

    minute: int
    begin: tuple[Task, ...]
    """Start now."""
    ready: tuple[Task, ...]
    """Their waiting is over now (at the latest: they may be ready from `early_end` on)."""
    chill: tuple[Task, ...]
    """Into the fridge, by each one's `due`."""
    meanwhile: tuple[Task, ...]
    """Waiting by themselves while something is begun, the one that is ready first named first."""


def calls(schedule: Schedule) -> tuple[Call, ...]:
    """Every minute at which something begins or ends by itself, in order."""
    tasks = schedule.tasks
    minutes = {task.start for task in tasks} | {task.end for task in tasks if task.end > task.hands_end}
    found = []
    for minute in sorted(minutes):
        begin = tuple(task for task in tasks if task.start == minute and not task.chill)
        found.append(
            Call(
                minute=minute,
                begin=begin,
                ready=tuple(task for task in tasks if task.end == minute and task.end > task.hands_end),
                chill=tuple(task for task in tasks if task.chill and task.start == minute),
                meanwhile=tuple(
                    sorted(
                        (
                            task
                            for task in tasks
                            if begin and task.hands_end <= minute < task.end and task.start < minute
                        ),
                        key=lambda task: task.end,
                    )
                ),
            )
        )
    return tuple(found)


def clock(minute: int) -> str:
    """'0:04', '2:35': hours and minutes since the session began."""
    return f"{minute // 60}:{minute % 60:02d}"
