"""Takes a plan's facts before and after, gives what became of its days, its shopping and its keeping."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from gramwright.publishing.changes import Change, Consequence, Facts, Shift, moved
from gramwright.reading.targets import TARGET_KEYS

SHORT_G = 20.0
"""Grams below which a day's figure has a decimal, as on the plan's page."""

_UNITS = {key: tag.rpartition("_")[2] for key, tag in TARGET_KEYS.items()}

Key = tuple[Any, ...]


def plan_changes(before: Mapping[str, Facts], after: Mapping[str, Facts], least: float = 0.0) -> list[Change]:
    """Every plan that differs; slug -> facts on both sides. `least` is as for changes.change."""
    found = []
    for slug in dict.fromkeys((*after, *before)):
        was, now = before.get(slug), after.get(slug)
        one = _came_or_went(was, now) if was is None or now is None else _change(was, now, least)
        if one is not None:
            found.append(one)
    return found


def _came_or_went(was: Facts | None, now: Facts | None) -> Change | None:
    facts = now or was
    if facts is None:
        return None
    return Change(facts["slug"], facts["title"], "added" if was is None else "removed", (), (), 0.0, "plan")


def _change(before: Facts, after: Facts, least: float) -> Change | None:
    shifts = tuple(_shifts(before, after, least))
    means = [*_targets(before, after), *_keeping(before, after), *_shopping(before, after)]
    if not shifts and not means:
        return None
    means.sort(key=lambda one: -one.weight)
    most = max((_moved(before, after, key, "energy") for key in _days(after)), default=0.0, key=abs)
    return Change(after["slug"], after["title"], "changed", shifts, tuple(means), most, "plan")


def _days(facts: Facts) -> dict[Key, Mapping[str, Any]]:
    return {(day["day"], day["person"]): day for day in facts["days"]}


def _name(day: Mapping[str, Any]) -> str:
    return f"{day['person']}'s day {day['date'] or day['day']}"


def _shifts(before: Facts, after: Facts, least: float) -> Iterator[Shift]:
    old = _days(before)
    for key, day in _days(after).items():
        was = old.get(key, {"figures": {}, "known": {}})
        for name in _UNITS:
            if name not in day["figures"] and name not in was["figures"]:
                continue
            said = _said(was, name), _said(day, name)
            if said[0] != said[1] and abs(_moved(before, after, key, name)) >= least:
                yield Shift(name, *said, person=day["person"], day=str(day["date"] or day["day"]))


def _said(day: Mapping[str, Any], name: str) -> str:
    """'2310 kcal', '6.3 g', 'at least 6.3 g'; '' when it is not known."""
    amount = day["figures"].get(name)
    if amount is None:
        return ""
    return f"{'at least ' if name in day['known'] else ''}{_amount(amount, name)}"


def _amount(amount: float, name: str) -> str:
    unit = _UNITS[name]
    return f"{amount:.{1 if unit == 'g' and amount < SHORT_G else 0}f} {unit}"


def _moved(before: Facts, after: Facts, key: Key, name: str) -> float:
    was, now = (_days(facts).get(key, {"figures": {}})["figures"].get(name) for facts in (before, after))
    return moved(was, now)


def _targets(before: Facts, after: Facts) -> Iterator[Consequence]:
    old = _days(before)
    for key, day in _days(after).items():
        was = old.get(key, {"targets": {}})["targets"]
        for name, target in day["targets"].items():
            fare, fared = target["fare"], was.get(name, {"fare": ""})["fare"]
            if fare == fared:
                continue
            if fare in ("over", "under"):
                end, word = (target["high"], "at most") if fare == "over" else (target["low"], "at least")
                amount = _amount(day["figures"].get(name, 0.0), name)
                text = f"{_name(day)} goes {fare} its {name}: {amount}, {word} {end:g} wanted"
                yield Consequence(75, "target-missed", text)
            elif fare == "unknown":
                text = f"whether {_name(day)} keeps its {name} is not known" + (" any more" if fared else "")
                yield Consequence(65, "target-not-known", text)
            elif fared:
                text = f"{_name(day)} now meets its {name}: {_amount(day['figures'].get(name, 0.0), name)}"
                yield Consequence(25, "target-met", text)


def _keeping(before: Facts, after: Facts) -> Iterator[Consequence]:
    old = {_waits(kept): kept for kept in before["keeping"]}
    for kept in after["keeping"]:
        was = old.get(_waits(kept))
        whose = f"{kept['title']} for {kept['person']}" if kept["person"] else f"{kept['title']}, extra portions"
        when = f" on day {kept['day']}" if kept["day"] is not None else ""
        if kept["late"] and not (was and was["late"]):
            yield Consequence(85, "eaten-late", f"{whose}{when}: eaten after day {kept['use_by']}, its last")
        elif was is not None and was["use_by"] != kept["use_by"]:
            days = [f"day {by}" if by is not None else "not known" for by in (was["use_by"], kept["use_by"])]
            yield Consequence(35, "keeps-otherwise", f"{whose}{when}: last day to eat it {days[0]} -> {days[1]}")


def _waits(kept: Mapping[str, Any]) -> Key:
    return kept["dish"], kept["person"], kept["meal"], kept["day"], kept["where"]


def _shopping(before: Facts, after: Facts) -> Iterable[Consequence]:
    old = {item["food"]: item for item in before["shopping"]}
    new = {item["food"]: item for item in after["shopping"]}
    for food, item in new.items():
        was, now = _bought(old.get(food)), _bought(item)
        if was != now:
            yield Consequence(5, "shopping", f"to buy, {item['name']}: {was or 'nothing'} -> {now}")
    for food, item in old.items():
        if food not in new:
            yield Consequence(5, "shopping", f"to buy, {item['name']}: {_bought(item)} -> nothing")


def _bought(item: Mapping[str, Any] | None) -> str:
    if item is None:
        return ""
    grams = f"{item['grams']:.0f} g"
    return grams if not item["packs"] else f"{item['packs']} x pack ({grams})"
