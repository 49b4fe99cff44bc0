"""Takes a network, gives start times by priority rules: the scheduler that needs nothing installed.

Serial schedule generation: activities are placed one by one, the one with the longest chain behind it first, each at
the earliest minute that order, lags and resources allow. Where a maximal lag cannot be kept, the activity that bounds
it is moved later and the generation starts again. Each schedule is improved by justification (placed again from the
end backwards, then forwards). Several priority orders are tried, some of them shaken by a fixed random sequence;
the best schedule by (length, idle hand time, starts) is kept. The same network gives the same schedule.

Rules: Kolisch (1996), serial and parallel generation schemes; Valls, Ballestin, Quintanilla (2005), justification;
Franck, Neumann, Schwindt (2001), unscheduling steps for maximal lags - all from memory.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain

from gramwright.prep.schedule_bounds import FAR, Placed, hand_times, idle, length, lower_bound, rank, tails
from gramwright.prep.schedule_network import HANDS, Activity, Network, compatible

TRIES = 40
"""Shaken priority orders tried beside the plain ones, every second one strongly."""
PASSES = 1000
"""Passes of the generation in all; what is found until then counts."""


def schedule(network: Network, tries: int = TRIES) -> Placed | None:
    """The best schedule found; None when no try kept every maximal lag (there may still be one).

    Without shaken `tries` it is enough that no schedule is shorter; with them hands that rest are looked at too.
    """
    behind = tails(network)
    count = len(network.activities)
    forwards, backwards = _Prepared(network), _Prepared(network.mirrored())
    bound = lower_bound(network)
    shake = random.Random(20)
    plain: list[list[float]] = [
        [float(tail) for tail in behind],
        [float(count - index) for index in range(count)],
        [tail - 0.5 * activity.duration for tail, activity in zip(behind, network.activities, strict=True)],
        [tail - 4.0 * bake for tail, bake in zip(behind, _longest_bake(forwards), strict=True)],
    ]
    shaken = (
        [tail * (1 + (0.9 if number % 2 else 0.4) * (2 * shake.random() - 1)) for tail in behind]
        for number in range(tries)
    )
    best: Placed | None = None
    for weights in chain(plain, shaken):
        for placed in _improved(forwards, backwards, weights):
            if best is None or rank(network, placed) < rank(network, best):
                best = placed
        shortest = best is not None and length(network, best) == bound
        done = shortest and (not tries or (best is not None and not idle(network, best.starts)))
        if done or forwards.passes + backwards.passes > PASSES:
            break
    return best


class _Prepared:
    """A network with what every pass of the generation needs of it, and how many passes there were."""

    def __init__(self, network: Network) -> None:
        count = len(network.activities)
        self.network = network
        self.passes = 0
        self.out: list[list[tuple[int, int]]] = [[] for _ in range(count)]
        self.into: list[list[tuple[int, int]]] = [[] for _ in range(count)]
        for i, j, lag in network.arcs():
            self.out[i].append((j, lag))
            self.into[j].append((i, lag))
        self.waiting = [0] * count
        self.followers: list[list[int]] = [[] for _ in range(count)]
        for i, j in network.order:
            self.waiting[j] += 1
            self.followers[i].append(j)
        members = network.heats()
        self.rooms: list[tuple[int, ...]] = [
            tuple(
                number
                for number, room in enumerate(network.ovens)
                if all(room.takes(network.activities[i]) for i in members.get(activity.heated, (index,)))
            )
            if activity.oven_c is not None
            else ()
            for index, activity in enumerate(network.activities)
        ]
        """The ovens of each activity that has one."""


def _longest_bake(prepared: _Prepared) -> list[int]:
    """The longest oven time of each activity and all that follows it: what blocks an oven for long may go last."""
    activities = prepared.network.activities
    found = [activity.duration if activity.oven_c is not None else 0 for activity in activities]
    waiting = list(prepared.waiting)
    order = [index for index, count in enumerate(waiting) if not count]
    for index in order:
        for other in prepared.followers[index]:
            waiting[other] -= 1
            if not waiting[other]:
                order.append(other)
    for index in reversed(order):
        found[index] = max([found[index], *(found[other] for other in prepared.followers[index])])
    return found


def _improved(forwards: _Prepared, backwards: _Prepared, weights: list[float]) -> list[Placed]:
    """The schedule of one priority order, with what justification and later first hands make of it."""
    network = forwards.network
    placed = _generate(forwards, weights)
    if placed is None:
        return []
    found = [placed]
    for _ in range(3):
        ends = [start + a.duration for start, a in zip(placed.starts, network.activities, strict=True)]
        turned = _generate(backwards, [float(end) for end in ends])
        if turned is None:
            break
        total = length(backwards.network, turned)
        late = [total - start - a.duration for start, a in zip(turned.starts, network.activities, strict=True)]
        found.append(Placed(tuple(late), turned.ovens))
        work = hand_times(network, late)
        if work:
            begin = min(start for start, _, _ in work)
            release = [
                begin if any(d.resource == HANDS for d in activity.demands) else 0 for activity in network.activities
            ]
            later = _generate(forwards, [float(-start) for start in late], release)
            if later is not None:
                found.append(later)
        again = _generate(forwards, [float(-start) for start in late])
        if again is None or length(network, again) >= length(network, placed):
            if again is not None:
                found.append(again)
            break
        placed = again
        found.append(placed)
    return found


def _generate(prepared: _Prepared, weights: Sequence[float], release: Sequence[int] = ()) -> Placed | None:
    count = len(prepared.network.activities)
    wait = list(release) or [0] * count
    for _ in range(4 * count + 20):
        prepared.passes += 1
        outcome = _Generation(prepared, wait).run(weights)
        if isinstance(outcome, Placed):
            return outcome
        culprit, minute = outcome
        if minute >= FAR // 2 or culprit < 0:
            return None
        wait[culprit] = minute
    return None


@dataclass(slots=True)
class _Hot:
    """An oven that is kept hot for the activities it was heated for."""

    oven: int
    first: int
    """The member that was placed first."""
    start: int
    end: int
    members: list[Activity]

    def takes(self, other: Activity) -> bool:
        return all(compatible(member, other) for member in self.members)


class _Generation:
    """One pass. Windows [est, lst] follow from what is placed; `cause` is the placed activity that made a lst."""

    def __init__(self, prepared: _Prepared, release: Sequence[int]) -> None:
        network = prepared.network
        count = len(network.activities)
        self.network, self.prepared = network, prepared
        self.est = list(release)
        self.lst = [FAR] * count
        self.cause = [-1] * count
        self.out, self.into = prepared.out, prepared.into
        self.used: dict[str, list[int]] = {name: [] for name in network.capacities}
        self.shelves: list[list[int]] = [[] for _ in network.ovens]
        self.baking: list[list[tuple[int, int, Activity]]] = [[] for _ in network.ovens]
        self.hot: dict[int, _Hot] = {}
        self.blocked: tuple[int, int] | None = None

    def run(self, weights: Sequence[float]) -> Placed | tuple[int, int]:
        """The schedule, or (activity to move later, minute it has to wait for)."""
        count = len(self.network.activities)
        waiting, followers = list(self.prepared.waiting), self.prepared.followers
        starts, ovens = [0] * count, [-1] * count
        for index in range(count):
            self.later(index)
        ready = [index for index in range(count) if not waiting[index]]
        while ready:
            index = min(ready, key=lambda one: (-weights[one], one))
            ready.remove(index)
            start, oven = self.place(index)
            if start >= FAR and self.blocked is not None:
                return self.blocked
            if start > self.lst[index]:
                culprit = self.cause[index]
                return culprit, (starts[culprit] + start - self.lst[index] if culprit >= 0 else FAR)
            starts[index], ovens[index] = start, oven
            self.take(index, start, oven)
            for other in followers[index]:
                waiting[other] -= 1
                if not waiting[other]:
                    ready.append(other)
        return Placed(tuple(starts), tuple(ovens))

    def later(self, index: int) -> None:
        """Passes an earliest start on."""
        work = [index]
        while work:
            i = work.pop()
            for j, lag in self.out[i]:
                if self.est[i] + lag > self.est[j]:
                    self.est[j] = self.est[i] + lag
                    if self.est[j] < FAR:
                        work.append(j)

    def sooner(self, index: int) -> None:
        """Passes a latest start on, with its cause."""
        work = [index]
        while work:
            j = work.pop()
            for i, lag in self.into[j]:
                if self.lst[j] - lag < self.lst[i]:
                    self.lst[i] = self.lst[j] - lag
                    self.cause[i] = self.cause[j]
                    work.append(i)

    def place(self, index: int) -> tuple[int, int]:
        """The earliest start that the resources allow, and the oven (-1: none needed)."""
        network = self.network
        activity = network.activities[index]
        start = self.est[index]
        while True:
            before = start
            for demand in activity.demands:
                start = (
                    self.free(
                        self.used[demand.resource],
                        network.capacities[demand.resource] - demand.amount,
                        start + demand.begin,
                        demand.end - demand.begin,
                    )
                    - demand.begin
                )
            if start != before:
                continue
            if activity.oven_c is None:
                return start, -1
            hot = self.hot.get(activity.heated)
            options = [
                (self.oven_free(number, activity, start), number)
                for number in self.prepared.rooms[index]
                if hot is None or hot.oven == number
            ]
            if not options:
                return FAR, -1
            start, oven = min(options)
            if start == before:
                return start, oven

    @staticmethod
    def free(used: list[int], most: int, start: int, minutes: int) -> int:
        """The first minute from `start` on from which `minutes` minutes use no more than `most` already."""
        if most < 0:
            return FAR
        while start < len(used):
            window = used[start : start + minutes]
            if not window or max(window) <= most:
                return start
            blocked = max(at for at, amount in enumerate(window) if amount > most)
            start += blocked + 1
        return start

    def oven_free(self, number: int, activity: Activity, start: int) -> int:
        room = self.network.ovens[number]
        while True:
            before = start
            start = self.free(self.shelves[number], room.shelves - activity.shelves, start, activity.duration)
            for begin, end, other in self.baking[number]:
                if begin < start + activity.duration and start < end and not compatible(activity, other):
                    start = end
            for heated, hot in self.hot.items():
                if (
                    hot.oven == number
                    and heated != activity.heated
                    and hot.start < start + activity.duration
                    and start < hot.end
                    and not hot.takes(activity)
                ):
                    start = hot.end
            if start == before:
                return self.kept_hot(number, activity, start)

    def kept_hot(self, number: int, activity: Activity, start: int) -> int:
        """The start, or FAR (with `blocked`) where another temperature comes between it and its heating."""
        hot = self.hot.get(activity.heated)
        if hot is None:
            return start
        begin, end = min(hot.start, start), max(hot.end, start + activity.duration)
        others = [(b, e) for b, e, other in self.baking[number] if not hot.takes(other)]
        others += [
            (other.start, other.end)
            for heated, other in self.hot.items()
            if heated != activity.heated and other.oven == number and not all(map(hot.takes, other.members))
        ]
        between = [e for b, e in others if b < end and begin < e]
        if not between:
            return start
        self.blocked = (hot.first, max(between))
        return FAR

    def take(self, index: int, start: int, oven: int) -> None:
        activity = self.network.activities[index]
        for demand in activity.demands:
            _add(self.used[demand.resource], demand.amount, start + demand.begin, start + demand.end)
        if oven >= 0:
            _add(self.shelves[oven], activity.shelves, start, start + activity.duration)
            end = start + activity.duration
            self.baking[oven].append((start, end, activity))
            hot = self.hot.get(activity.heated)
            if activity.heated >= 0 and hot is None:
                self.hot[activity.heated] = _Hot(oven, index, start, end, [activity])
            elif hot is not None:
                hot.start, hot.end = min(hot.start, start), max(hot.end, end)
                hot.members.append(activity)
        self.est[index] = self.lst[index] = start
        self.cause[index] = index
        self.later(index)
        self.sooner(index)


def _add(used: list[int], amount: int, start: int, end: int) -> None:
    if end > len(used):
        used.extend([0] * (end - len(used)))
    for minute in range(start, end):
        used[minute] += amount
