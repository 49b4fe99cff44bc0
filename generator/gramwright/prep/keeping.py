"""How long each portion keeps. Takes plates and the hub's rule set, gives where it waits, use-by, thaw, and its label.

Two voices: what the recipe's author says (`keeps`), and the rule set's guidance
for left-overs (content/labelling, `leftovers`: two days in one country, three to
four in another). A portion is to be eaten by the stricter of the two. Later than
the author says, or later than the guidance where the author says nothing, is an
error; later than the guidance alone is a warning. Nothing known is an error: an
unknown limit is no limit to rely on. Days are counted from the day of cooking.

Where a portion waits is the plan's to say (`keep`). Where it does not, that is the
fridge; but a dish that its author keeps frozen only is frozen, except what is eaten
so soon that it could not thaw: that waits in the fridge, by the guidance.
"""

from __future__ import annotations

from enum import StrEnum
from math import floor
from typing import NamedTuple

from gramwright.labelling.rules_model import Guidance, RuleSet
from gramwright.labelling.shipped_data import read_yaml
from gramwright.model import DAYS_A_MONTH, PlanPage
from gramwright.prep.plates import Batch, Plate, Plates, called
from gramwright.prep.recipes import Variant
from gramwright.problems import Place, ProblemLog

FILE = "prep/keeping.yaml"


class Where(StrEnum):
    NOW = "now"
    """Eaten on the day it is cooked."""
    FRIDGE = "fridge"
    FREEZER = "freezer"


class Limit(NamedTuple):
    """How many days something keeps, and who says so; None: not said."""

    author: float | None
    guidance: float | None
    """The guidance's upper end."""
    low: float | None
    """Its lower end."""
    source: str
    """Of the guidance."""
    checked: str

    @property
    def by_guidance_alone(self) -> bool:
        """Its author says nothing of it."""
        return self.author is None and self.guidance is not None

    @property
    def days(self) -> int | None:
        """Whole days by the stricter voice."""
        said = [days for days in (self.author, self.guidance) if days is not None]
        return floor(min(said)) if said else None


class Kept(NamedTuple):
    """What waits: one dish of one meal for one person, or the extra portions of a batch."""

    batch: Batch
    variant: Variant
    person: str
    """'' for extra portions."""
    meal: str
    day: int | None
    """When it is eaten; None for extras."""
    portions: float
    where: Where
    limit: Limit
    use_by: int | None
    """Last day to eat it."""
    thaw: int | None
    """Day on which it moves from the freezer to the fridge; None where it is not frozen or nobody eats it yet."""

    @property
    def late(self) -> bool:
        """Eaten after the stricter limit: its author says longer than the guidance, and the plan relies on that."""
        return self.day is not None and self.use_by is not None and self.day > self.use_by

    @property
    def author_by(self) -> int | None:
        """Last day by its author's word."""
        return None if self.limit.author is None else self.batch.day + floor(self.limit.author)

    @property
    def grams(self) -> float | None:
        portion = self.variant.dish.portion_g
        return None if portion is None else portion * self.portions


class Cooling(NamedTuple):
    """Hours from the end of cooking to the fridge."""

    low_h: float
    high_h: float
    source: str
    checked: str


def cooling(rules: RuleSet) -> Cooling:
    """The rule set's figure, else the shipped one."""
    own = rules.leftovers.get("cool_within_h")
    if own is not None:
        return Cooling(own.low, own.high, own.source.cite, own.source.checked.value)
    figure = read_yaml(FILE)["cool_within_h"]
    return Cooling(float(figure["low"]), float(figure["high"]), figure["source"], figure["checked"])


def thawed_h(rules: RuleSet) -> Guidance | None:
    """Hours within which a thawed portion is eaten."""
    return rules.leftovers.get("thawed_h")


def keep(plates: Plates, rules: RuleSet, log: ProblemLog) -> tuple[Kept, ...]:
    """Every portion that waits, in the plan's order, then the extras; too late is logged at the meal's place."""
    found: list[Kept] = []
    for plate in plates.plates:
        batch = plates.batches[plate.batch]
        age = plate.serving.day - batch.day
        if age <= 0:
            _not_kept(plate, plates.plan, log)
            continue
        kept = _kept(plate, batch, plates.plan, rules, age, log)
        found.extend(kept)
    for batch in plates.batches:
        if batch.extra > 1e-9:
            found.append(_extra(batch, plates.variants.of(batch.recipe), rules))
    return tuple(found)


def fridge_limit(batch: Batch, rules: RuleSet) -> Limit:
    author = batch.dish.page.keeps.fridge_days
    return _limit(author, rules.leftovers.get("fridge_days"), 1)


def freezer_limit(batch: Batch, rules: RuleSet) -> Limit:
    return _limit(batch.dish.page.keeps.freezer_days, rules.leftovers.get("freezer_months"), DAYS_A_MONTH)


def _limit(author: float | None, guidance: Guidance | None, days: int) -> Limit:
    if guidance is None:
        return Limit(author, None, None, "", "")
    return Limit(author, guidance.high * days, guidance.low * days, guidance.source.cite, guidance.source.checked.value)


def where_kept(plates: Plates, at: int, rules: RuleSet) -> frozenset[Where]:
    """Where what is not eaten on the day of a batch waits."""
    batch = plates.batches[at]
    found = {_where(plate, batch, rules) for plate in plates.of(at) if plate.serving.day > batch.day}
    if batch.extra > 1e-9:
        found.add(_where_extra(batch))
    return frozenset(found)


def _where(plate: Plate, batch: Batch, rules: RuleSet) -> Where:
    if plate.serving.keep:
        return Where(plate.serving.keep)
    keeps = batch.dish.page.keeps
    if keeps.freezer_days is None or keeps.fridge_days is not None:
        return Where.FRIDGE
    age = plate.serving.day - batch.day
    return Where.FRIDGE if age <= min(_thaw_days(), fridge_limit(batch, rules).days or 0) else Where.FREEZER


def _thaw_days() -> int:
    return int(read_yaml(FILE)["thaw_days"]["high"])


def _where_extra(batch: Batch) -> Where:
    """Extras go into the freezer where the author says that it freezes, else into the fridge."""
    return Where.FREEZER if batch.dish.page.keeps.freezer_days is not None else Where.FRIDGE


def _not_kept(plate: Plate, plan: PlanPage, log: ProblemLog) -> None:
    """Says so where a meal is to be kept and nothing waits."""
    serving = plate.serving
    if serving.keep:
        log.warn(
            serving.place,
            "nothing-to-keep",
            f"expected a meal that waits for a later day beside 'keep: {serving.keep}', found it eaten on "
            f"{called(plan, serving.day)}, the day it is cooked",
            "delete 'keep', or let a session before that day cook it",
        )


def _kept(plate: Plate, batch: Batch, plan: PlanPage, rules: RuleSet, age: int, log: ProblemLog) -> list[Kept]:
    serving = plate.serving
    where = _where(plate, batch, rules)
    frozen = where is Where.FREEZER
    limit = freezer_limit(batch, rules) if frozen else fridge_limit(batch, rules)
    _check(plate, batch, plan, limit, age, frozen, rules, log)
    return [
        Kept(
            batch,
            plate.variant,
            person,
            serving.meal,
            serving.day,
            portions,
            where,
            limit,
            None if limit.days is None else batch.day + limit.days,
            max(batch.day, serving.day - _thaw_days()) if frozen else None,
        )
        for person, portions in serving.portions.items()
    ]


def _extra(batch: Batch, variant: Variant, rules: RuleSet) -> Kept:
    where = _where_extra(batch)
    limit = freezer_limit(batch, rules) if where is Where.FREEZER else fridge_limit(batch, rules)
    use_by = None if limit.days is None else batch.day + limit.days
    return Kept(batch, variant, "", "", None, batch.extra, where, limit, use_by, None)


def _check(
    plate: Plate, batch: Batch, plan: PlanPage, limit: Limit, age: int, frozen: bool, rules: RuleSet, log: ProblemLog
) -> None:
    place, title = plate.serving.place, plate.variant.title
    when = f"eaten on {called(plan, plate.serving.day)}, {_days(age)} after its cooking on {called(plan, batch.day)}"
    if limit.days is None:
        _unknown(place, title, batch, frozen, when, log)
        return
    if age <= limit.days:
        return
    where = "freezer" if frozen else "fridge"
    hint = _way_out(plate, batch, plan, limit.days, frozen, rules)
    if limit.author is not None and age <= floor(limit.author):
        log.warn(
            place,
            "past-guidance",
            f"expected {title} to be eaten within {_span(limit)} ({limit.source}), found it {when}; "
            f"its author says {_days(limit.author)}",
            hint,
        )
        return
    said = [f"its author says {_days(limit.author)}"] if limit.author is not None else []
    said += [f"{limit.source} says {_span(limit)}"] if limit.guidance is not None else []
    log.error(
        place,
        "kept-too-long",
        f"expected {title} to be eaten while it keeps in the {where} ({', '.join(said)}), found it {when}",
        hint,
    )


def _unknown(place: Place, title: str, batch: Batch, frozen: bool, when: str, log: ProblemLog) -> None:
    key = "freezer" if frozen else "fridge"
    log.error(
        place,
        "keeping-unknown",
        f"expected to know how long {title} keeps in the {key}, found nothing said ({when})",
        f"write 'keeps: {{{key}: ...}}' into {batch.dish.page.place.file}, or 'fresh: yes' here",
    )


def _way_out(plate: Plate, batch: Batch, plan: PlanPage, days: int, frozen: bool, rules: RuleSet) -> str:
    """Freeze it, move the day, cook it later."""
    ways: list[str] = []
    age = plate.serving.day - batch.day
    freezer = freezer_limit(batch, rules)
    if not frozen and freezer.author is not None and (freezer.days or 0) >= age:
        ways.append(f"freeze it ('keep: freezer'; its author says {_days(freezer.author)})")
    ways.append(f"move the meal to {called(plan, batch.day + days)} or before")
    ways.append(f"cook it on {called(plan, plate.serving.day - days)} or later (another session, or 'fresh: yes')")
    return "; ".join(ways)


def _days(days: float) -> str:
    return "1 day" if days == 1 else f"{days:g} days"


def _span(limit: Limit) -> str:
    if limit.low is not None and limit.guidance is not None and limit.low != limit.guidance:
        return f"{limit.low:g} to {limit.guidance:g} days"
    return _days(limit.guidance or 0)
