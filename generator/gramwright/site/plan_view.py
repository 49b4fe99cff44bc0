"""A plan's days as a page shows them. Takes a worked-out plan, gives each person's day along the graduated rule.

The day lies along the rule as a portion does on a recipe's page: cut by what
gives the energy, and beneath by the dishes; the target's span is marked over
it. Every other target has a short rule of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from gramwright.labelling.cautions import for_day
from gramwright.model import KJ_PER_KCAL, PlanDay
from gramwright.prep.made import PlanMade
from gramwright.prep.mend import Mend
from gramwright.prep.plates import Plate
from gramwright.prep.totals import DayTotal, Fare, Outcome
from gramwright.site.panel import Ruling, ruling
from gramwright.site.panel_view import PIECE_KEYS, SHADES, NumberView, PieceView, numbers, ticks_path
from gramwright.site.plan_said import day_name, figure, mended, portions
from gramwright.site.theme import safe_path
from gramwright.site.words import Words

ROOM = 1.15
"""A target's rule runs this far beyond the larger of amount and target."""


class SpanView(NamedTuple):
    """A target's span on a rule: from `x` over `width`; an open end has no post."""

    x: str
    width: str
    end: str
    from_post: bool
    to_post: bool


class FareView(NamedTuple):
    """One target of a day."""

    name: str
    amount: str
    at_least: bool
    wanted: str
    says: str
    """'met', '14 g under' ..."""
    missed: bool
    bar: str
    span: SpanView


class EatenView(NamedTuple):
    """One dish of a person's day."""

    name: str
    href: str
    portions: str
    choices: str
    energy: str
    fill: str
    """Its shade in the strip; '' where it gives no energy."""


class MealView(NamedTuple):
    name: str
    dishes: tuple[EatenView, ...]


class CautionView(NamedTuple):
    text: str
    source: str
    lang: str
    """The language of the text, where it is not the page's."""


class PersonDayView(NamedTuple):
    person: str
    known: bool
    energy: str
    at_least: bool
    kj: str
    likely: str
    described: str
    ticks: str
    numbers: tuple[NumberView, ...]
    pieces: tuple[PieceView, ...]
    strip: tuple[PieceView, ...]
    bracket: str
    span: SpanView | None
    fares: tuple[FareView, ...]
    mend_title: str
    mend: tuple[str, ...]
    """The changes in words."""
    mend_then: str
    """What the targets come to then."""
    meals: tuple[MealView, ...]
    cautions: tuple[CautionView, ...] = ()
    """Of a whole day with very little energy."""


class DayView(NamedTuple):
    anchor: str
    name: str
    part: bool
    people: tuple[PersonDayView, ...]


def days(made: PlanMade, words: Words, root: str, rule_set: str) -> tuple[DayView, ...]:
    """Every day with everybody who eats on it; `rule_set` says whose cautions a very low day gets."""
    mends = {id(total): mend for total, mend in zip(made.totals, made.mends, strict=True)}
    return tuple(
        DayView(
            anchor=f"day-{day.number}",
            name=day_name(day.number, made, words),
            part=day.part,
            people=tuple(
                _person(total, mends[id(total)], made, words, root, rule_set)
                for total in made.totals
                if total.day is day
            ),
        )
        for day in made.plan.days
    )


def _person(
    total: DayTotal, mend: Mend | None, made: PlanMade, words: Words, root: str, rule_set: str
) -> PersonDayView:
    eaten = made.plates.eaten_by(total.person.name, total.day.number)
    energy = total.figures.get("ENERC_kcal")
    kj = total.figures.get("ENERC_kJ")
    fares = tuple(_fare(one, words) for one in total.outcomes)
    title, changes, then = mended(mend, words)
    if energy is None:
        meals = _meals(eaten, total.day, {}, words, root)
        return PersonDayView(
            total.person.name,
            False,
            "",
            False,
            "",
            "",
            "",
            "",
            (),
            (),
            (),
            "",
            None,
            fares,
            title,
            changes,
            then,
            meals,
        )
    target = _energy_target(total)
    low, high = target or (None, None)
    rule = ruling(max(energy.amount, energy.high, high or 0.0, low or 0.0))
    pieces = _pieces(eaten, energy.amount, rule, words)
    strip = _strip(eaten, energy.amount, rule, words, root)
    meals = _meals(eaten, total.day, {piece.href: piece.fill for piece in strip}, words, root)
    spread = round(energy.low) != round(energy.high)
    low_text, high_text = words.number(energy.low), words.number(energy.high)
    described = words(
        "plan.drawing",
        person=total.person.name,
        energy=words.number(energy.amount),
        end=words.number(rule.end),
        dishes=", ".join(f"{piece.name} {piece.share}" for piece in strip),
    )
    bracket = ""
    if spread:
        ends = [f"{rule.at(kcal) * 1000:.1f}" for kcal in (energy.low, energy.high)]
        bracket = f"M{ends[0]} 8V1H{ends[1]}V8"
    return PersonDayView(
        person=total.person.name,
        known=True,
        energy=words.number(energy.amount),
        at_least=energy.coverage < 1 - 1e-9,
        kj="" if kj is None else f"{words.number(kj.amount)}\u202fkJ",
        likely=words("panel.likely", low=low_text, high=high_text) if spread else "",
        described=described,
        ticks=ticks_path(rule),
        numbers=numbers(rule, words),
        pieces=pieces,
        strip=strip,
        bracket=bracket,
        span=None if target is None else _span(low, high, rule.end),
        fares=fares,
        mend_title=title,
        mend=changes,
        mend_then=then,
        meals=meals,
        cautions=() if total.day.part else _cautions(energy.amount, rule_set, words),
    )


def _cautions(kcal: float, rule_set: str, words: Words) -> tuple[CautionView, ...]:
    """What is said of a day with so little energy; nothing of an ordinary one."""
    return tuple(CautionView(one.text, one.source, one.lang) for one in for_day(kcal, rule_set, words.language))


def _energy_target(total: DayTotal) -> tuple[float | None, float | None] | None:
    """Ends of the energy target in kcal."""
    for one in total.outcomes:
        if one.target.tag in ("ENERC_kcal", "ENERC_kJ"):
            factor = 1.0 if one.target.tag == "ENERC_kcal" else 1 / KJ_PER_KCAL
            ends = [None if end is None else end * factor for end in (one.target.low, one.target.high)]
            return ends[0], ends[1]
    return None


def _span(low: float | None, high: float | None, end: float) -> SpanView:
    start = 0.0 if low is None else min(low / end, 1.0)
    stop = 1.0 if high is None else min(high / end, 1.0)
    return SpanView(
        f"{start * 100:.2f}%", f"{(stop - start) * 100:.2f}%", f"{stop * 100:.2f}%", low is not None, high is not None
    )


def _fare(one: Outcome, words: Words) -> FareView:
    target = one.target
    amount = 0.0 if one.figure is None else one.figure.amount
    end = max(amount, target.low or 0.0, target.high or 0.0, 1e-9) * ROOM
    if one.fare is Fare.UNDER:
        says = words("plan.under", by=figure(target.tag, (target.low or 0.0) - amount, words))
    elif one.fare is Fare.OVER:
        says = words("plan.over", by=figure(target.tag, amount - (target.high or 0.0), words))
    else:
        says = words(f"plan.{one.fare.value}")
    return FareView(
        name=words.get(f"lines.{target.key}", target.key),
        amount=words("plan.unknown_amount") if one.figure is None else figure(target.tag, amount, words),
        at_least=one.at_least,
        wanted=_wanted(one, words),
        says=says,
        missed=one.missed,
        bar=f"{amount / end * 100:.2f}%",
        span=_span(target.low, target.high, end),
    )


def _wanted(one: Outcome, words: Words) -> str:
    low, high, tag = one.target.low, one.target.high, one.target.tag
    if low is not None and high is not None:
        unit = tag.rpartition("_")[2]
        return words("plan.between", low=words.plain(low), high=f"{words.plain(high)}\u202f{unit}")
    end = low if low is not None else high or 0.0
    text = f"{words.plain(end)}\u202f{tag.rpartition('_')[2]}"
    return words("plan.at_least" if low is not None else "plan.at_most", amount=text)


def _pieces(eaten: Sequence[tuple[Plate, float]], energy: float, rule: Ruling, words: Words) -> tuple[PieceView, ...]:
    kcal: dict[str, float] = {}
    grams: dict[str, float] = {}
    for plate, count in eaten:
        for part in plate.variant.label.energy_parts:
            kcal[part.key] = kcal.get(part.key, 0.0) + part.kcal * count
            grams[part.key] = grams.get(part.key, 0.0) + part.grams * count
    keys = [key for key in PIECE_KEYS if kcal.get(key, 0.0) > 0]
    parts = [(key, words(f"pieces.{key}"), kcal[key], grams[key], "") for key in keys]
    return _laid(parts, energy, rule, words)


def _strip(
    eaten: Sequence[tuple[Plate, float]], energy: float, rule: Ruling, words: Words, root: str
) -> tuple[PieceView, ...]:
    kcal: dict[str, float] = {}
    names: dict[str, str] = {}
    for plate, count in eaten:
        found = plate.variant.label.per_portion.get("ENERC_kcal")
        slug = plate.variant.slug
        names[slug] = plate.variant.title
        kcal[slug] = kcal.get(slug, 0.0) + (0.0 if found is None else found.amount * count)
    slugs = sorted((slug for slug in kcal if kcal[slug] > 0), key=lambda slug: (-kcal[slug], slug))
    parts = [
        (f"shade-{min(at, SHADES)}", names[slug], kcal[slug], None, f"{root}recipes/{safe_path(slug)}/index.html")
        for at, slug in enumerate(slugs, 1)
    ]
    return _laid(parts, energy, rule, words)


def _laid(
    parts: Sequence[tuple[str, str, float, float | None, str]], energy: float, rule: Ruling, words: Words
) -> tuple[PieceView, ...]:
    """Lays (fill, name, kcal, grams, link) end to end so that they end at the day's energy."""
    told = sum(part[2] for part in parts)
    if told <= 0 or energy <= 0:
        return ()
    factor = energy / told
    made: list[PieceView] = []
    start = 0.0
    for fill, name, kcal, grams, href in parts:
        end = start + kcal * factor
        x, stop = rule.at(start) * 100, rule.at(end) * 100
        weight = "" if grams is None else words.grams(grams)
        share = words.percent(kcal * factor / energy)
        made.append(PieceView(fill, f"{x:.2f}%", f"{stop - x:.2f}%", name, weight, share, href))
        start = end
    return tuple(made)


def choices_of(plate: Plate, words: Words) -> str:
    """'with Avocado; Plain soya pot in place of Quark'."""
    said: list[str] = []
    base = plate.variant.dish.page
    for choice in plate.variant.choices:
        if choice.optional:
            said.append(words("plan.with", name=choice.name))
        else:
            said.append(words("plan.instead", name=choice.name))
    return "; ".join(said) if base.rows else ""


def _meals(
    eaten: Sequence[tuple[Plate, float]], day: PlanDay, fills: Mapping[str, str], words: Words, root: str
) -> tuple[MealView, ...]:
    """The day's meals; `fills`: link of a dish -> its shade."""
    found: list[MealView] = []
    for name in dict.fromkeys(serving.meal for serving in day.servings):
        dishes = []
        for plate, count in eaten:
            if plate.serving.meal != name:
                continue
            href = f"{root}recipes/{safe_path(plate.variant.slug)}/index.html"
            dishes.append(
                EatenView(
                    name=plate.variant.title,
                    href=href,
                    portions=words("plan.portions", portions=portions(count, words), n=count),
                    choices=choices_of(plate, words),
                    energy=_energy(plate, count, words),
                    fill=fills.get(href, ""),
                )
            )
        if dishes:
            found.append(MealView(words.get(f"plan.meals.{name}", name[:1].upper() + name[1:]), tuple(dishes)))
    return tuple(found)


def _energy(plate: Plate, count: float, words: Words) -> str:
    found = plate.variant.label.per_portion.get("ENERC_kcal")
    return "–" if found is None else words.number(found.amount * count)
