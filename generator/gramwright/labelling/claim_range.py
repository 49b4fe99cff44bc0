"""The far end of a claim's figures: that end of the likely range which lies towards the limit. Takes figures.

end(figures, low)                 a sum at that end
of_shares(parts, whole, low)      by what share of itself a share of a whole may be off towards it
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import sqrt

from gramwright.model import Figure


def end(figures: Iterable[Figure | None], *, low: bool) -> float:
    """The figures' low or high ends added up: they may well err alike. What is not known adds nothing."""
    return sum((figure.low if low else figure.high) for figure in figures if figure is not None)


def of_shares(
    parts: Sequence[tuple[Figure | None, float]], whole: Sequence[tuple[Figure | None, float]], *, low: bool
) -> float:
    """By what share of itself part/whole may be too high (`low`) or too low; both are sums of (figure, weight).

    The part lies inside the whole, so that its own error moves both: only what is left of the whole's
    error once the part's is taken out (as squares, for errors that know nothing of each other) counts again.
    """
    amount, off = _sum(parts, low=low)
    all_of_it, whole_off = _sum(whole, low=not low)
    if amount <= 0 or all_of_it <= 0:
        return 0.0
    rest = max(0.0, 1 - amount / all_of_it)
    besides2 = max(0.0, whole_off**2 - off**2)
    return sqrt((rest * off / amount) ** 2 + besides2 / all_of_it**2)


def _sum(figures: Sequence[tuple[Figure | None, float]], *, low: bool) -> tuple[float, float]:
    """(amount, distance of its far end)."""
    amount = off = 0.0
    for figure, weight in figures:
        if figure is not None:
            amount += weight * figure.amount
            off += weight * (figure.amount - figure.low if low else figure.high - figure.amount)
    return amount, off
