"""A recipe's own timeline. Takes a dish whose page has steps, gives the chart and the lines of cooking it by itself.

view(dish, words, log) -> TimelineView      for `parts/timeline.html` (as `timeline`)
"""

from __future__ import annotations

from typing import NamedTuple

from gramwright.model import Dish, Gear
from gramwright.prep.alone import alone
from gramwright.problems import ProblemLog
from gramwright.site.pages import schedule_view
from gramwright.site.words import Words


class TimelineView(NamedTuple):
    schedule: schedule_view.ScheduleView | None
    """None: the recipe's times contradict one another."""
    textures: int
    kitchen: str
    """What it is worked out for, in words."""
    gaps: tuple[str, ...]
    """What has no times, in words."""


def view(dish: Dish, words: Words, log: ProblemLog) -> TimelineView:
    """Everything the page shows of it. Problems of the times go to `log` as warnings."""
    found = alone(dish, log)
    shown = None if found.schedule is None else schedule_view.view(found.schedule, words)
    gaps: list[str] = []
    if found.untimed:
        items = ", ".join(str(item) for item in found.untimed)
        gaps.append(words("schedule.untimed", items=items, n=len(found.untimed)))
    if found.unmade:
        gaps.append(words("schedule.unmade", dishes=", ".join(found.unmade)))
    if shown is None:
        gaps.append(words("schedule.no_order"))
    textures = 0 if shown is None else max(each.number for each in shown.dishes)
    return TimelineView(shown, textures, _kitchen(found.gear, words), tuple(gaps))


def _kitchen(gear: Gear, words: Words) -> str:
    counts = (
        ("ring", gear.rings),
        ("oven", len(gear.ovens)),
        ("microwave", gear.microwaves),
        ("air_fryer", gear.air_fryers),
    )
    said = ", ".join(words(f"schedule.gear.{name}", n=count) for name, count in counts if count)
    return words("schedule.kitchen", hands=words("schedule.hands_n", n=gear.hands), gear=said)
