"""How plan pages say days, portions, figures and changes. Takes numbers and records, gives texts."""

from __future__ import annotations

from datetime import date

from gramwright.model import WEEKDAYS
from gramwright.prep.made import PlanMade
from gramwright.prep.mend import Change, Mend
from gramwright.prep.totals import Outcome
from gramwright.site.words import Words

QUARTERS = {0.25: "¼", 0.5: "½", 0.75: "¾"}


def day_name(number: int, made: PlanMade, words: Words) -> str:
    """'Day 2'; 'Saturday 2026-12-05' in a dated plan; 'Saturday' in a plan of weekdays, later 'Saturday, day 9'."""
    found, first = made.dates.get(number), made.plan.first_weekday
    if found:
        weekday = words(f"plan.weekdays.{WEEKDAYS[date.fromisoformat(found).weekday()]}")
        return words("plan.date", weekday=weekday, date=words.date(found))
    if first is None:
        return words("plan.day", n=number)
    weekday = words(f"plan.weekdays.{WEEKDAYS[(first + number - 1) % len(WEEKDAYS)]}")
    return weekday if 1 <= number <= len(WEEKDAYS) else words("plan.weekday_later", weekday=weekday, n=number)


def portions(count: float, words: Words) -> str:
    """'1', '1¼', '2½', '1.3'."""
    whole, rest = divmod(count, 1)
    if rest in QUARTERS:
        return f"{int(whole) or ''}{QUARTERS[rest]}"
    return words.plain(count)


def figure(tag: str, amount: float, words: Words) -> str:
    """'112 g', '6.3 g', '2 050 kcal'."""
    unit = tag.rpartition("_")[2]
    decimals = 1 if unit == "g" and amount < 20 else 0
    return f"{words.number(amount, decimals)}\u202f{unit}"


def mended(mend: Mend | None, words: Words) -> tuple[str, tuple[str, ...], str]:
    """Title, changes, and what the targets come to then; empty where nothing is to be changed."""
    if mend is None:
        return "", (), ""
    then = ", ".join(
        f"{words.get(f'lines.{one.target.key}', one.target.key)} {_at_least(one, words)}" for one in mend.outcomes
    )
    meets = "plan.mend" if mend.sure else "plan.mend_known"
    title = words(meets if mend.meets else "plan.mend_nearest")
    return title, tuple(_change(change, words) for change in mend.changes), words("plan.mend_then", figures=then)


def _at_least(one: Outcome, words: Words) -> str:
    """What a target comes to; 'at least' where some of it is not known."""
    if one.figure is None:
        return words("plan.unknown_amount")
    said = figure(one.target.tag, one.figure.amount, words)
    return words("plan.at_least", amount=said) if one.at_least else said


def _change(change: Change, words: Words) -> str:
    dish = change.plate.variant.title
    if change.option is None:
        return words(
            "plan.change_portions",
            dish=dish,
            after=portions(change.portions, words),
            before=portions(change.before, words),
        )
    name = change.option.name
    if change.option.optional:
        return words("plan.change_with" if change.taken else "plan.change_without", dish=dish, name=name)
    return words("plan.change_swap" if change.taken else "plan.change_back", dish=dish, name=name)
