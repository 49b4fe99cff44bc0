"""An author's `keeps` against the rule set's guidance for left-overs. Takes a page, warns where it says longer.

    check_keeps(page, rules, cautions, log)     warning 'keeps-past-guidance', at the page's `keeps`
    beyond(keeps, rules) -> Beyond              the guidance's days, where the author's are more

The fridge is looked at where the page shows the caution 'fridge-days' (content/cautions/storage.yaml): not for dry
bars and biscuits, and not where the author silences it with a reason, which is published.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from gramwright.labelling.rules_model import Guidance, RuleSet
from gramwright.model import DAYS_A_MONTH, Caution, Keeps, RecipePage
from gramwright.problems import ProblemLog

CAUTION = "fridge-days"


class Beyond(NamedTuple):
    """The guidance that an author's time is longer than; None: it is not, or one of them says nothing."""

    fridge: Guidance | None
    """In days."""
    freezer: Guidance | None
    """In months."""


def beyond(keeps: Keeps, rules: RuleSet) -> Beyond:
    return Beyond(
        _passed(keeps.fridge_days, rules.leftovers.get("fridge_days"), 1),
        _passed(keeps.freezer_days, rules.leftovers.get("freezer_months"), DAYS_A_MONTH),
    )


def _passed(days: float | None, guidance: Guidance | None, unit: int) -> Guidance | None:
    return guidance if days is not None and guidance is not None and days > guidance.high * unit + 1e-9 else None


def check_keeps(page: RecipePage, rules: RuleSet, cautions: Iterable[Caution], log: ProblemLog) -> None:
    fridge, freezer = beyond(page.keeps, rules)
    place = page.place_of("keeps")
    if fridge is not None and any(caution.id == CAUTION and not caution.silenced for caution in cautions):
        log.warn(
            place,
            "keeps-past-guidance",
            f"expected at most {_span(fridge, 'day')} in the fridge, as {fridge.source.cite} says, "
            f"found {page.keeps.fridge_days:g} days",
            f"write 'fridge: {_count(fridge.high, 'day')}' or less; where it is known to keep longer, silence the "
            f"caution '{CAUTION}' with the reason, which the page then shows",
        )
    if freezer is not None:
        log.warn(
            place,
            "keeps-past-guidance",
            f"expected at most {_span(freezer, 'month')} in the freezer, as {freezer.source.cite} says, "
            f"found {_count(round((page.keeps.freezer_days or 0) / DAYS_A_MONTH, 1), 'month')}",
            f"write 'freezer: {_count(freezer.high, 'month')}' or less",
        )


def _span(guidance: Guidance, unit: str) -> str:
    most = _count(guidance.high, unit)
    return most if guidance.low == guidance.high else f"{guidance.low:g} to {most}"


def _count(number: float, unit: str) -> str:
    return f"{number:g} {unit}" if number == 1 else f"{number:g} {unit}s"
