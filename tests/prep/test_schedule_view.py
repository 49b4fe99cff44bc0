"""A schedule as chart, lines and calendar: lengths add up, nothing inline, every task is in the lines."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import html5lib
import icalendar  # type: ignore[import-untyped]
import pytest

from gramwright.model import Settings
from gramwright.model.plans import Gear, Oven, Session
from gramwright.model.steps import Batch, Minutes, Schedule, Step
from gramwright.prep.schedule import schedule
from gramwright.problems import Place, ProblemLog
from gramwright.site.pages import schedule_view
from gramwright.site.theme import Theme

HERE = Place("plans/x.md", 3, 1)
SESSION = Session(1, 17 * 60 + 30.0, (), (), HERE)


@pytest.fixture(scope="module")
def theme() -> Theme:
    return Theme(Settings("Hub", ""))


@pytest.fixture(scope="module")
def made() -> Schedule:
    pot = Batch(
        "pot",
        "Pot <b>",
        (
            Step("brown", HERE, hands=Minutes(8, 10), rings=1),
            Step("braise", HERE, wait=Minutes(50, 60), oven_c=150.0, after=("brown",), keep_warm=20.0),
            Step("cool", HERE, wait=Minutes(30, 30), after=("braise",)),
        ),
        HERE,
        chill_within=120.0,
    )
    salad = Batch("salad", "Salad", (Step("cut", HERE, hands=Minutes(15, 15), bowls=1),), HERE)
    gear = Gear(2, 2, (Oven("Galley oven", 50, 240, HERE),), 0, 0, 3, HERE, True)
    found = schedule([pot, salad], gear, ProblemLog(), False)
    assert found is not None
    return found


def test_bars_lie_where_their_times_are(theme: Theme, made: Schedule) -> None:
    view = schedule_view.view(made, theme.words, "Friday", 1050)
    assert [lane.name for lane in view.lanes] == ["Hands 1", "Hands 2", "Ring", "Galley oven", "Bowl", "By itself"]
    oven = next(lane for lane in view.lanes if lane.name == "Galley oven")
    assert made.minutes == 100
    assert view.ticks[-1].text == "1:45"  # 100 minutes on an axis of whole quarters of an hour
    assert (oven.bars[0].x, oven.bars[0].width) == (f"{round(1000 / 105, 3):g}%", f"{round(6000 / 105, 3):g}%")
    for lane in view.lanes:
        for bar in lane.bars:
            assert float(bar.x[:-1]) + float(bar.width[:-1]) <= 100.001


def test_every_task_is_said_once_with_its_time(theme: Theme, made: Schedule) -> None:
    lines = schedule_view.view(made, theme.words, "Friday", 1050).lines
    said = [(line.at, line.clock, line.what, line.how) for line in lines]
    assert said == [
        ("0:00", "17:30", "Brown", "10 min work, ring"),
        ("", "", "Cut", "15 min work, bowl"),
        ("0:10", "17:40", "Braise", "50–60 min waiting, Galley oven, 150\u202f°C, keeps warm until 19:00"),
        ("1:10", "18:40", "Ready: braise", "look from 18:30"),
        ("", "", "Cool", "30 min waiting"),
        ("1:40", "19:10", "Ready: cool", ""),
        ("", "", "Into the fridge", "by 20:40 at the latest"),
    ]


def test_without_a_start_every_time_counts_from_the_beginning(theme: Theme, made: Schedule) -> None:
    lines = schedule_view.view(made, theme.words).lines
    assert not any(line.clock for line in lines)
    assert [line.how for line in lines if line.what == "Into the fridge"] == ["by 3:10 at the latest"]
    assert [line.seconds for line in lines if line.kind == "begin"] == [0, 0, 3600, 1800]
    assert len({line.key for line in lines}) == len(lines)


def test_what_waits_is_named_once_while_it_stays_the_same(theme: Theme, made: Schedule) -> None:
    lines = schedule_view.view(made, theme.words).lines
    said = [line.meanwhile for line in lines if line.meanwhile]
    assert len(said) == len(set(said))


def test_the_part_renders_without_anything_inline(theme: Theme, made: Schedule) -> None:
    environment = theme.environment
    view = schedule_view.view(made, theme.words, "Friday")
    html = environment.get_template("parts/schedule_defs.html").render(dishes=2)
    html += environment.get_template("parts/schedule_chart.html").render(schedule=view)
    for work in ("", "screen", "paper"):
        html += environment.get_template("parts/schedule_lines.html").render(schedule=view, work=work)
    assert not re.search(r"\sstyle=|\son\w+=|<script", html)
    assert "Pot <b>" not in html
    assert "Pot &lt;b&gt;" in html
    html5lib.HTMLParser(strict=True).parseFragment(html)
    styles = (Path(__file__).parents[2] / "themes/galley/style/schedule.css").read_text()
    for name in ("bar-hands", "schedule-lane", "schedule-lines", "dish-tint-5"):
        assert f".{name}" in styles


def test_the_session_goes_into_a_calendar(theme: Theme, made: Schedule) -> None:
    data = schedule_view.calendar(
        "week", "Week", [(SESSION, date(2026, 12, 4), made)], "hub.example", date(2026, 11, 1), theme.words
    )
    assert data is not None
    events = list(icalendar.Calendar.from_ical(data).walk("VEVENT"))
    assert len(events) == len(made.tasks)
    assert str(events[0]["SUMMARY"]) == "Brown (Pot <b>)"
    unsaid = Session(1, None, (), (), HERE)
    assert (
        schedule_view.calendar("w", "W", [(unsaid, date(2026, 12, 4), made)], "", date(2026, 1, 1), theme.words) is None
    )
