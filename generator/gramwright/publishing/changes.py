"""Takes figures before and after (plans: plan_changes.py), gives what changed and what it means, weightiest first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from gramwright.labelling.energy import COMPLETE

BAND_KCAL = 100
"""Width of the energy bands that readers browse by."""

Facts = Mapping[str, Any]
"""What facts.json holds."""


class Shift(NamedTuple):
    """One figure that moved, as shown: declared per portion, or of a person's day in a plan."""

    key: str
    before: str
    after: str
    person: str = ""
    day: str = ""
    """Of a plan: its number or date."""

    @property
    def name(self) -> str:
        return f"{self.person}, day {self.day}: {self.key}" if self.person else self.key

    def as_json(self) -> dict[str, str]:
        whose = {"person": self.person, "day": self.day} if self.person else {}
        return {**whose, "figure": self.key, "before": self.before, "after": self.after}


class Consequence(NamedTuple):
    """What a change means for a reader; the weight orders them."""

    weight: int
    code: str
    text: str


class Change(NamedTuple):
    """One recipe or prep plan that differs."""

    slug: str
    title: str
    kind: str
    """'changed', 'added' or 'removed'."""
    shifts: tuple[Shift, ...]
    consequences: tuple[Consequence, ...]
    energy_moved: float
    """Relative change of the energy per portion (a plan: of the day that moved most), 0 for none."""
    what: str = "recipe"
    """'recipe' or 'plan'."""

    def as_json(self) -> dict[str, Any]:
        return {
            "slug": self.slug,
            "title": self.title,
            "kind": self.kind,
            "figures": [shift.as_json() for shift in self.shifts],
            "means": [{"code": c.code, "text": c.text} for c in self.consequences],
        }


def change(before: Facts | None, after: Facts | None, least: float = 0.0) -> Change | None:
    """What differs between two states of a recipe; None when nothing that counts does.

    `least` is the relative change of a figure (0.02: two per cent) below which it does not count; at 0 every
    declared digit counts.
    """
    if before is None or after is None:
        facts = after or before
        if facts is None:
            return None
        kind = "added" if before is None else "removed"
        return Change(facts["slug"], facts["title"], kind, (), (), 0.0)
    shifts = tuple(_shifts(before, after, least))
    consequences = sorted(_consequences(before, after), key=lambda c: (-c.weight, c.text))
    if not shifts and not consequences:
        return None
    return Change(
        after["slug"], after["title"], "changed", shifts, tuple(consequences), _moved(before, after, "ENERC_kcal")
    )


def in_order(changes: Iterable[Change]) -> list[Change]:
    """Weightiest consequence first, then the largest move of energy, then by title."""
    return sorted(
        changes,
        key=lambda c: (-max((k.weight for k in c.consequences), default=0), -abs(c.energy_moved), c.title, c.slug),
    )


def as_lines(changes: Iterable[Change]) -> list[str]:
    """Changes as text."""
    lines: list[str] = []
    for one in changes:
        name = one.slug if one.what == "recipe" else f"{one.what} {one.slug}"
        lines.append(f"{one.title} ({name})" + ("" if one.kind == "changed" else f": {one.kind}"))
        lines += [f"    {consequence.text}" for consequence in one.consequences]
        lines += [f"    {s.name}: {s.before or 'not known'} -> {s.after or 'not known'}" for s in one.shifts]
    return lines


def _shifts(before: Facts, after: Facts, least: float) -> Iterable[Shift]:
    old, new = _declared(before), _declared(after)
    tags = {**before["declared"].get("tags", {}), **after["declared"].get("tags", {})}
    for key in dict.fromkeys((*new, *old)):
        was, now = old.get(key, ""), new.get(key, "")
        tag = tags.get(key, "")
        if was != now and (not least or not tag or abs(_moved(before, after, tag)) >= least):
            yield Shift(key, was, now)


def _declared(facts: Facts) -> dict[str, str]:
    """Line -> what is declared of a portion; marked where only a part of it is known."""
    tags, coverage, to_taste = facts["declared"].get("tags", {}), facts["coverage"], facts.get("to_taste", ())
    return {
        key: shown(text, coverage.get(tags.get(key), 1) < COMPLETE or tags.get(key) in to_taste)
        for key, text in facts["declared"]["per_portion"].items()
    }


def shown(text: str, at_least: bool) -> str:
    """A declared text, marked where only a part of the figure is known."""
    return f"≥ {text}" if at_least and text else text


def _moved(before: Facts, after: Facts, tag: str) -> float:
    return moved(before["per_portion"].get(tag), after["per_portion"].get(tag))


def moved(was: float | None, now: float | None) -> float:
    """By which share a figure moved; wholly, where it came or went."""
    if was is None or now is None:
        return 0.0 if was is now else 1.0
    if was == now:
        return 0.0
    return float((now - was) / was) if was else 1.0


def _consequences(before: Facts, after: Facts) -> Iterable[Consequence]:
    old, new = _states(before), _states(after)
    for allergen in dict.fromkeys((*new, *old)):
        was, now = old.get(allergen, ""), new.get(allergen, "")
        if was == now:
            continue
        if now == "contains":
            yield Consequence(100, "allergen-appeared", f"now contains {allergen}")
        elif now == "may_contain":
            yield Consequence(95 if not was else 60, "allergen-may-contain", f"now may contain {allergen}")
        elif now == "unknown":
            yield Consequence(90, "allergen-not-known", f"{allergen} is not known any more")
        else:
            said = was.replace("_", " ")
            yield Consequence(50, "allergen-gone", f"{allergen} is no longer recorded (it was: {said})")
    for diet in dict.fromkeys((*after["suits"], *before["suits"])):
        was, now = before["suits"].get(diet), after["suits"].get(diet)
        if was is True and now is not True:
            yield Consequence(80, "diet-lost", f"no longer {diet}" if now is False else f"{diet} is not known any more")
        elif now is True and was is not True:
            yield Consequence(30, "diet-gained", f"now {diet}")
    held, holds = _claims(before), _claims(after)
    for name in sorted(held - holds):
        yield Consequence(70, "claim-lost", f"'{name}' can no longer be said")
    for name in sorted(holds - held):
        yield Consequence(20, "claim-gained", f"'{name}' can now be said")
    bands = [_band(facts) for facts in (before, after)]
    if bands[0] != bands[1] and None not in bands:
        texts = [f"{band * BAND_KCAL}-{(band + 1) * BAND_KCAL} kcal" for band in bands if band is not None]
        yield Consequence(40, "band-crossed", f"moves from the band {texts[0]} to {texts[1]}")


def _states(facts: Facts) -> dict[str, str]:
    return {name: state for state in ("unknown", "may_contain", "contains") for name in facts["allergens"][state]}


def _claims(facts: Facts) -> set[str]:
    return {name for name, claim in facts["claims"].items() if claim["holds"]}


def _band(facts: Facts) -> int | None:
    energy = facts["per_portion"].get("ENERC_kcal")
    return None if energy is None else int(energy // BAND_KCAL)
