"""What waits in fridge and freezer. Takes a worked-out plan, gives the keeping table and container labels."""

from __future__ import annotations

from typing import NamedTuple

from gramwright.labelling.rules_model import RuleSet
from gramwright.labelling.sentences import sentences
from gramwright.model import Presence, Session
from gramwright.prep.keeping import Kept, Where, thawed_h
from gramwright.prep.made import PlanMade
from gramwright.prep.schedule_spoken import clock
from gramwright.site.plan_said import day_name, portions
from gramwright.site.words import Words


class BatchView(NamedTuple):
    """What is cooked together."""

    name: str
    href: str
    portions: str
    of: str
    """What that is of the recipe as written."""
    extra: str


class SessionView(NamedTuple):
    name: str
    """'Day 1, 14:00', 'On the day'."""
    batches: tuple[BatchView, ...]


class KeptView(NamedTuple):
    dish: str
    href: str
    who: str
    eaten: str
    where: str
    use_by: str
    thaw: str


class LabelView(NamedTuple):
    """One container's label."""

    name: str
    who: str
    made: str
    use_by: str
    thaw: str
    portion: str
    energy: str
    contains: tuple[str, ...]
    may_contain: tuple[str, ...]
    unknown: tuple[str, ...]


class KeepingView(NamedTuple):
    kept: tuple[KeptView, ...]
    cooling: str
    thawing: str
    guidance: str
    labels: tuple[LabelView, ...]


def sessions(made: PlanMade, words: Words, root: str) -> tuple[SessionView, ...]:
    """Everything cooked, by session, then what is cooked on the day it is eaten."""
    groups: dict[tuple[int, int | None], list[BatchView]] = {}
    for batch in made.plates.batches:
        groups.setdefault((batch.day, batch.session), []).append(
            BatchView(
                name=batch.dish.page.title,
                href=f"{root}recipes/{batch.recipe}/index.html",
                portions=words("plan.portions", portions=portions(batch.portions, words), n=batch.portions),
                of=words(
                    "plan.of_recipe",
                    factor=words.plain(batch.factor),
                    portions=words.plain(batch.dish.page.portions),
                    n=batch.factor,
                ),
                extra="" if batch.extra <= 1e-9 else words("plan.extra", portions=portions(batch.extra, words)),
            )
        )
    found: list[SessionView] = []
    for (day, session), batches in groups.items():
        if session is None:
            name = words("plan.on_the_day", day=day_name(day, made, words))
        else:
            name = session_name(made.plan.sessions[session], made, words)
        found.append(SessionView(name, tuple(batches)))
    return tuple(found)


def session_name(session: Session, made: PlanMade, words: Words) -> str:
    """'Friday 4 December, 17:30'."""
    name = day_name(session.day, made, words)
    if session.start_min is None:
        return name
    return words("plan.session_at", day=name, time=clock(int(session.start_min)))


def keeping(made: PlanMade, rules: RuleSet, words: Words, root: str) -> KeepingView:
    cooling = made.cooling
    hours = words.plain(cooling.high_h)
    if cooling.low_h != cooling.high_h:
        hours = words("plan.span", low=words.plain(cooling.low_h), high=hours)
    thawed = thawed_h(rules)
    frozen = any(kept.where is Where.FREEZER for kept in made.kept)
    thawing = ""
    if frozen:
        thawing = words("plan.thawing")
    if frozen and thawed is not None:
        source = _source(thawed.source.cite, thawed.source.checked, words)
        thawing = words("plan.thawing_within", hours=words.plain(thawed.high), source=source)
    limits = [kept.limit for kept in made.kept if kept.limit.source]
    sources = dict.fromkeys(_source(limit.source, limit.checked, words) for limit in limits)
    return KeepingView(
        kept=tuple(_kept(kept, made, words, root) for kept in made.kept),
        cooling=words("plan.cooling", hours=hours, source=_source(cooling.source, cooling.checked, words)),
        thawing=thawing,
        guidance=words("plan.guidance", sources="; ".join(sources)) if sources else "",
        labels=tuple(_label(kept, made, words) for kept in made.kept),
    )


def _source(cite: str, checked: object, words: Words) -> str:
    """A source, with how it was checked where it was not read itself."""
    return cite if str(checked) == "read" else f"{cite} ({sentences(words.language)[f'beside.{checked}']})"


def _kept(kept: Kept, made: PlanMade, words: Words, root: str) -> KeptView:
    who = words("plan.for_later") if not kept.person else kept.person
    count = words("plan.portions", portions=portions(kept.portions, words), n=kept.portions)
    return KeptView(
        dish=kept.variant.title,
        href=f"{root}recipes/{kept.variant.slug}/index.html",
        who=f"{who}, {count}",
        eaten="" if kept.day is None else f"{day_name(kept.day, made, words)}, {_meal(kept.meal, words)}",
        where=words(f"plan.where.{kept.where.value}"),
        use_by="–" if kept.use_by is None else day_name(kept.use_by, made, words) + _whose(kept, made, words),
        thaw="" if kept.thaw is None else day_name(kept.thaw, made, words),
    )


def _whose(kept: Kept, made: PlanMade, words: Words) -> str:
    """That the date is the guidance's alone; what its author says, where the plan eats it after the guidance's last
    day; ''."""
    if kept.limit.by_guidance_alone:
        return words("plan.by_guidance")
    if not kept.late or kept.author_by is None:
        return ""
    return words("plan.author_by", day=day_name(kept.author_by, made, words))


def _meal(meal: str, words: Words) -> str:
    return words.inside(words.get(f"plan.meals.{meal}", meal))


def _label(kept: Kept, made: PlanMade, words: Words) -> LabelView:
    figures = kept.variant.label.per_portion
    kcal, kj = figures.get("ENERC_kcal"), figures.get("ENERC_kJ")
    energy = words("plan.energy_unknown")
    if kcal is not None and kj is not None:
        least = f"{words('card.at_least')} " if kcal.coverage < 1 - 1e-9 else ""
        energy = (
            f"{least}{words.number(kcal.amount * kept.portions)}\u202fkcal / "
            f"{words.number(kj.amount * kept.portions)}\u202fkJ"
        )
    found = kept.variant.label.allergens
    where = words(f"plan.label_where.{kept.where.value}")
    use_by = words("plan.no_date")
    if kept.use_by is not None:
        use_by = day_name(kept.use_by, made, words) + _whose(kept, made, words)
    grams = kept.grams
    count = portions(kept.portions, words)
    return LabelView(
        name=kept.variant.title,
        who=", ".join(
            filter(None, (kept.person or words("plan.for_later"), _meal(kept.meal, words) if kept.meal else ""))
        )
        + ("" if kept.day is None else f", {day_name(kept.day, made, words)}"),
        made=words("plan.made_on", day=day_name(kept.batch.day, made, words)),
        use_by=words("plan.use_by_on", where=where, day=use_by),
        thaw="" if kept.thaw is None else words("plan.thaw_on", day=day_name(kept.thaw, made, words)),
        portion=words("plan.portions", portions=count, n=kept.portions)
        + ("" if grams is None else f", {words.grams(grams)}"),
        energy=energy,
        contains=tuple(found.words[name] for name in found.listed(Presence.CONTAINS)),
        may_contain=tuple(found.words[name] for name in found.listed(Presence.MAY_CONTAIN)),
        unknown=tuple(
            found.words[name]
            for name, state in found.states.items()
            if state is Presence.UNKNOWN or (name in found.unresolved and state is not Presence.CONTAINS)
        ),
    )
