"""A prep plan's pages. Takes worked-out plans, gives plans/index.html and, for each, page, session, print pack, lists.

    plans/<slug>/index.html            days, cooking, shopping, keeping, costs     template plan.html
    plans/<slug>/session/index.html    step by step, for the phone                 template plan_session.html
    plans/<slug>/print/index.html      shopping, steps, labels of the containers   template plan_print.html
    plans/<slug>/shopping.txt, shopping.csv
    plans/<slug>/facts.json            its figures, unrounded (plan_facts.py)
    plans/<slug>/session.ics           the sessions of a dated plan for a calendar

Each template gets `shell` and `plan`, a PlanPageView; plans/index.html (plans.html) gets `plans`, a PlansView.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import NamedTuple
from urllib.parse import urlsplit

from markupsafe import Markup

from gramwright.labelling.rules_model import RuleSet
from gramwright.prep.made import PlanMade
from gramwright.problems import ProblemLog
from gramwright.site import allergen_view, plan_facts, plan_keep_view, plan_shop_view, plan_view, prose
from gramwright.site.pages import schedule_view
from gramwright.site.theme import Theme
from gramwright.site.words import Words

INDEX = "plans/index.html"


class FactView(NamedTuple):
    name: str
    value: str


class PlanLine(NamedTuple):
    """One plan in the list of plans."""

    title: str
    path: str
    summary: str
    facts: str


class PlansView(NamedTuple):
    title: str
    intro: str
    plans: tuple[PlanLine, ...]


CALENDAR = "session.ics"


class PlanPageView(NamedTuple):
    """What every page of a plan gets."""

    title: str
    summary: str
    facts: tuple[FactView, ...]
    intro: Markup
    outro: Markup
    days: tuple[plan_view.DayView, ...]
    textures: tuple[str, ...]
    sessions: tuple[plan_keep_view.SessionView, ...]
    charts: tuple[schedule_view.ScheduleView, ...]
    """The sessions that have an order, as charts and lines."""
    textures_of_dishes: int
    calendar: str
    """Link to the sessions as an iCalendar file; '' for an undated plan."""
    shop: plan_shop_view.ShopView
    keeping: plan_keep_view.KeepingView
    allergens: allergen_view.AllergensView
    slug: str


def path_of(slug: str) -> str:
    return f"plans/{slug}/index.html"


def unlisted(plans: Sequence[PlanMade]) -> frozenset[str]:
    """Pages that no search engine is to list: the print pack and the session."""
    return frozenset(f"plans/{made.plan.slug}/{name}/index.html" for made in plans for name in ("print", "session"))


def render(
    theme: Theme,
    plans: Sequence[PlanMade],
    rules: RuleSet,
    food_pages: frozenset[str],
    known: Callable[[str], bool],
    log: ProblemLog,
) -> dict[str, bytes]:
    """All pages of all plans; none where there are no plans. Problems of the prose go to `log` as warnings."""
    if not plans:
        return {}
    files: dict[str, bytes] = {}
    for made in plans:
        files.update(_pages(theme, made, rules, food_pages, known, log))
    words = theme.words
    listed = sorted(plans, key=lambda made: (made.plan.title.casefold(), made.plan.slug))
    view = PlansView(
        title=words("plan.plans"),
        intro=words("plan.plans_intro"),
        plans=tuple(
            PlanLine(
                made.plan.title,
                path_of(made.plan.slug),
                made.plan.summary,
                ", ".join(fact.value for fact in _facts(made, words)[:3]),
            )
            for made in listed
        ),
    )
    shell = theme.shell(
        INDEX, kind="plans", title=view.title, description=view.intro, section="plans", styles=("plan.css",)
    )
    files[INDEX] = theme.render("plans.html", shell, plans=view)
    return files


def _pages(
    theme: Theme,
    made: PlanMade,
    rules: RuleSet,
    food_pages: frozenset[str],
    known: Callable[[str], bool],
    log: ProblemLog,
) -> dict[str, bytes]:
    plan, words = made.plan, theme.words
    files: dict[str, bytes] = {}
    kinds = [("index.html", "plan", "plan.html", True), ("print/index.html", "plan-print", "plan_print.html", False)]
    if any(schedule is not None for schedule in made.schedules):
        kinds.append(("session/index.html", "plan-session", "plan_session.html", False))
    quiet = ProblemLog()
    for name, kind, template, indexed in kinds:
        path = f"plans/{plan.slug}/{name}"
        view = _view(made, rules, food_pages, known, theme, theme.root(path), log if indexed else quiet)
        shell = theme.shell(
            path,
            kind=kind,
            title=plan.title,
            description=plan.summary,
            section="plans",
            styles=("plan.css",),
            scripts=("plan.js",),
            index=indexed,
        )
        files[path] = theme.render(template, shell, plan=view)
    entries = _calendar(made, theme)
    if entries is not None:
        files[f"plans/{plan.slug}/{CALENDAR}"] = entries
    files[f"plans/{plan.slug}/facts.json"] = plan_facts.encode(made)
    files[f"plans/{plan.slug}/shopping.txt"] = plan_shop_view.text(made, words)
    files[f"plans/{plan.slug}/shopping.csv"] = plan_shop_view.table(made)
    return files


def _charts(made: PlanMade, words: Words) -> tuple[schedule_view.ScheduleView, ...]:
    named = zip(made.plan.sessions, made.schedules, strict=True)
    return tuple(
        schedule_view.view(
            schedule, words, plan_keep_view.session_name(session, made, words), session.start_min, str(at)
        )
        for at, (session, schedule) in enumerate(named)
        if schedule is not None
    )


def _calendar(made: PlanMade, theme: Theme) -> bytes | None:
    """The sessions with a date and a start as iCalendar."""
    plan = made.plan
    dated = [
        (session, date.fromisoformat(made.dates[session.day]), schedule)
        for session, schedule in zip(plan.sessions, made.schedules, strict=True)
        if schedule is not None and made.dates.get(session.day)
    ]
    if not dated:
        return None
    stamp = date.fromisoformat(plan.published) if plan.published else dated[0][1]
    host = urlsplit(theme.base_url).hostname or ""
    return schedule_view.calendar(plan.slug, plan.title, dated, host, stamp, theme.words)


def _view(
    made: PlanMade,
    rules: RuleSet,
    food_pages: frozenset[str],
    known: Callable[[str], bool],
    theme: Theme,
    root: str,
    log: ProblemLog,
) -> PlanPageView:
    plan, words = made.plan, theme.words
    file = plan.place.file
    days = plan_view.days(made, words, root, theme.settings.rule_set)
    keys = dict.fromkeys(piece.fill for day in days for person in day.people for piece in person.pieces)
    return PlanPageView(
        title=plan.title,
        summary=plan.summary,
        facts=_facts(made, words),
        intro=prose.render(
            plan.intro, file=file, first_line=plan.intro_line, log=log, root=root, known=known, below=1
        ).html,
        outro=prose.render(plan.outro, file=file, first_line=plan.outro_line, log=log, root=root, known=known).html,
        days=days,
        textures=tuple(keys),
        sessions=plan_keep_view.sessions(made, words, root),
        charts=(charts := _charts(made, words)),
        textures_of_dishes=max((dish.number for chart in charts for dish in chart.dishes), default=0),
        calendar=CALENDAR if _calendar(made, theme) is not None else "",
        shop=plan_shop_view.shop(made, words, root, food_pages),
        keeping=plan_keep_view.keeping(made, rules, words, root),
        allergens=allergen_view.view(made.allergens, words),
        slug=plan.slug,
    )


def _facts(made: PlanMade, words: Words) -> tuple[FactView, ...]:
    plan = made.plan
    dishes = len({batch.recipe for batch in made.plates.batches})
    found = [
        FactView(words("plan.people"), words("plan.people_n", n=len(plan.people))),
        FactView(words("plan.days"), words("plan.days_n", n=len(plan.days))),
        FactView(words("plan.dishes"), words("plan.dishes_n", n=dishes)),
    ]
    portions = sum(batch.portions for batch in made.plates.batches)
    found.append(FactView(words("plan.made"), words("plan.portions_n", n=portions)))
    return tuple(found)
