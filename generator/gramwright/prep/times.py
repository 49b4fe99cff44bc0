"""The front matter's `total` and `hands_on` against the times of the steps. Takes both, warns where they part.

Steps that are counted with a range may take its shorter end, so they are held against the front matter with that.
"""

from __future__ import annotations

from gramwright.model import RecipePage
from gramwright.model.steps import Schedule
from gramwright.problems import ProblemLog

SLACK_SHARE = 0.1
SLACK_MIN = 5
"""A total that the steps go beyond by less than the larger of these is rounded, not wrong (own judgement)."""

WORK_SHARE = 0.25
WORK_MIN = 5
"""How far the work of the steps may lie from `hands_on`: the larger of the two (own judgement)."""


def check_times(page: RecipePage, made: Schedule, by_itself: bool, whole: bool, log: ProblemLog) -> None:
    """Warnings 'total-too-short' and 'hands-on-differs', at the line of the key.

    `by_itself`: no other recipe is made for it, of which the author's total may leave the time out. `whole`: every
    item of the method has its times.
    """
    if by_itself:
        _total(page, made, log)
    _work(page, whole, log)


def _total(page: RecipePage, made: Schedule, log: ProblemLog) -> None:
    total = page.total_min
    loose = sum(time.high - time.low for step in page.steps for time in (step.hands, step.wait) if time is not None)
    least = made.lower_bound - loose
    if total is None or least <= total + max(SLACK_MIN, SLACK_SHARE * total):
        return
    log.warn(
        page.place_of("total"),
        "total-too-short",
        f"expected a total of at least {least:g} min, which is the shortest that the steps can be cooked in, "
        f"found {total:g} min",
        f"write 'total: {least:g} min', or take out of the steps what the total is not to count",
    )


def _work(page: RecipePage, whole: bool, log: ProblemLog) -> None:
    said, timed = page.hands_on_min, [step.hands for step in page.steps if step.hands is not None]
    if said is None:
        return
    low, high = sum(time.low for time in timed), sum(time.high for time in timed)
    slack = max(WORK_MIN, WORK_SHARE * said)
    if low - slack <= said and (said <= high + slack or not whole):
        return
    span = f"{low:g} min" if low == high else f"{low:g} to {high:g} min"
    log.warn(
        page.place_of("hands_on"),
        "hands-on-differs",
        f"expected about {span} of work, as the 'hands' of the steps come to, found 'hands_on' of {said:g} min",
        "correct the one that is wrong",
    )
