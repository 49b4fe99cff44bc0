"""What a schedule of a network comes to, and what none can be better than. Takes networks and starts, gives minutes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from gramwright.prep.schedule_network import HANDS, Network

FAR = 1 << 30
"""Later than any minute."""

Starts = tuple[int, ...]


class Placed(NamedTuple):
    """A feasible schedule: start minutes, and the oven of every activity that has one (else -1)."""

    starts: Starts
    ovens: tuple[int, ...]


def length(network: Network, placed: Placed) -> int:
    return max(start + a.duration for start, a in zip(placed.starts, network.activities, strict=True))


def hand_times(network: Network, starts: Sequence[int]) -> list[tuple[int, int, int]]:
    """(start, end, cooks) of all hands-on work."""
    return [
        (start + demand.begin, start + demand.end, demand.amount)
        for start, activity in zip(starts, network.activities, strict=True)
        for demand in activity.demands
        if demand.resource == HANDS
    ]


def idle(network: Network, starts: Sequence[int]) -> int:
    """Hand minutes without work between the first and the last hands-on moment, over all cooks."""
    work = hand_times(network, starts)
    if not work:
        return 0
    span = max(end for _, end, _ in work) - min(start for start, _, _ in work)
    return span * network.capacities[HANDS] - sum((end - start) * cooks for start, end, cooks in work)


def rank(network: Network, placed: Placed) -> tuple[int, int, int, Starts]:
    """What makes a schedule better: shorter, less idle, earlier; then any fixed order."""
    return length(network, placed), idle(network, placed.starts), sum(placed.starts), placed.starts


def earliest(network: Network) -> list[int] | None:
    """The earliest starts that the lags alone allow; None when they contradict one another."""
    count = len(network.activities)
    starts = [0] * count
    arcs = network.arcs()
    for _ in range(count + 1):
        changed = False
        for i, j, lag in arcs:
            if starts[i] + lag > starts[j]:
                starts[j] = starts[i] + lag
                changed = True
        if not changed:
            return starts
    return None


def tails(network: Network) -> list[int]:
    """Minutes from each activity's start to the end of everything, by the lags alone."""
    back = earliest(network.mirrored())
    if back is None:
        return [0] * len(network.activities)
    return [start + activity.duration for start, activity in zip(back, network.activities, strict=True)]


def lower_bound(network: Network) -> int:
    """No schedule is shorter: the longest chain, and each resource's work between its shortest head and tail."""
    heads = earliest(network)
    if heads is None:
        return 0
    behind = tails(network)
    best = max((head + tail for head, tail in zip(heads, behind, strict=True)), default=0)
    work: dict[str, tuple[int, int, int]] = {}
    for index, activity in enumerate(network.activities):
        for demand in activity.demands:
            total, head, tail = work.get(demand.resource, (0, FAR, FAR))
            work[demand.resource] = (
                total + demand.amount * (demand.end - demand.begin),
                min(head, heads[index] + demand.begin),
                min(tail, behind[index] - demand.end),
            )
    for name, (total, head, tail) in sorted(work.items()):
        best = max(best, head + -(-total // network.capacities[name]) + tail)
    return best
