"""Takes a network and a first schedule, gives the best schedule there is and a proven lower bound, by OR-tools CP-SAT.

An optional extra: `pip install gramwright[solver]`. The same network gives the same schedule on the same version of
the solver: one worker, a fixed seed, and a limit counted in the solver's own work, not in seconds.
"""

from __future__ import annotations

from importlib import metadata, util
from typing import Any, NamedTuple

from gramwright.prep.schedule_bounds import Placed, hand_times, length, lower_bound
from gramwright.prep.schedule_network import HANDS, Network, compatible

EFFORT = 1.0
"""Limit of the search for the shortest schedule, in the solver's deterministic time (about a second a unit)."""


class Solved(NamedTuple):
    placed: Placed | None
    """None: there is no schedule (`infeasible`), or none was found within the limit."""
    lower_bound: int
    infeasible: bool = False


def version() -> str:
    """The solver's version, for what depends on its answers; '' when it is not installed."""
    if util.find_spec("ortools") is None:
        return ""
    try:
        return metadata.version("ortools")
    except metadata.PackageNotFoundError:
        return ""


def available() -> bool:
    return bool(version())


def solve(network: Network, first: Placed | None, effort: float = EFFORT) -> Solved:
    """Shortest first, then least idle hand time, then earliest starts, each with the earlier ones held."""
    from ortools.sat.python import cp_model

    bound = lower_bound(network)
    made = _Model(cp_model, network, first)
    shortest = made.minimise(made.end, effort)
    if shortest is None:
        return Solved(None, made.bound, made.infeasible)
    bound = max(bound, made.bound)
    best = shortest
    made.model.add(made.end <= length(network, best))
    made.hint(best)
    if made.span is not None:
        better = made.minimise(made.span, effort / 5)
        if better is not None:
            best = better
        work = hand_times(network, best.starts)
        made.model.add(made.span <= max(end for _, end, _ in work) - min(start for start, _, _ in work))
        made.hint(best)
    better = made.minimise(sum(made.starts), effort / 5)
    return Solved(best if better is None else better, bound)


class _Model:
    """The network as a CP-SAT model: one start variable an activity, optional intervals for each oven."""

    def __init__(self, cp_model: Any, network: Network, first: Placed | None) -> None:
        self.cp_model = cp_model
        self.network = network
        self.model: Any = cp_model.CpModel()
        self.bound = 0
        self.infeasible = False
        model = self.model
        acts = network.activities
        horizon = self.horizon = _horizon(network) if first is None else length(network, first)
        self.starts: list[Any] = [
            model.new_int_var(0, max(horizon - a.duration, 0), f"s{i}") for i, a in enumerate(acts)
        ]
        self.end: Any = self.starts[-1]
        for i, j, lag in network.arcs():
            model.add(self.starts[j] - self.starts[i] >= lag)
        users: dict[str, list[tuple[Any, int]]] = {}
        work: list[tuple[int, int, int]] = []
        for i, activity in enumerate(acts):
            for demand in activity.demands:
                size = demand.end - demand.begin
                interval = model.new_fixed_size_interval_var(
                    self.starts[i] + demand.begin, size, f"{demand.resource}{i}"
                )
                users.setdefault(demand.resource, []).append((interval, demand.amount))
                if demand.resource == HANDS:
                    work.append((i, demand.begin, demand.end))
        for name, used in users.items():
            model.add_cumulative([i for i, _ in used], [amount for _, amount in used], network.capacities[name])
        self.picks: dict[int, list[tuple[int, Any]]] = {}
        self._ovens()
        self.span: Any = None
        if work:
            opening, closing = model.new_int_var(0, horizon, "first"), model.new_int_var(0, horizon, "last")
            for i, begin, end in work:
                model.add(opening <= self.starts[i] + begin)
                model.add(closing >= self.starts[i] + end)
            self.span = closing - opening
        if first is not None:
            self.hint(first)

    def _ovens(self) -> None:
        model, network = self.model, self.network
        baking = [i for i, activity in enumerate(network.activities) if activity.oven_c is not None]
        optional: dict[tuple[int, int], Any] = {}
        for i in baking:
            activity = network.activities[i]
            picks = []
            for number, room in enumerate(network.ovens):
                if room.takes(activity):
                    pick = model.new_bool_var(f"oven{number}of{i}")
                    optional[number, i] = model.new_optional_fixed_size_interval_var(
                        self.starts[i], activity.duration, pick, f"o{number}of{i}"
                    )
                    picks.append((number, pick))
            model.add_exactly_one([pick for _, pick in picks])
            self.picks[i] = picks
        for number, room in enumerate(network.ovens):
            inside = [i for i in baking if (number, i) in optional]
            if inside:
                shelves = [network.activities[i].shelves for i in inside]
                model.add_cumulative([optional[number, i] for i in inside], shelves, room.shelves)
            for at, i in enumerate(inside):
                for j in inside[at + 1 :]:
                    if not compatible(network.activities[i], network.activities[j]):
                        model.add_no_overlap([optional[number, i], optional[number, j]])
        self._hot(optional)

    def _hot(self, optional: dict[tuple[int, int], Any]) -> None:
        """What an oven was heated for goes into that oven, and nothing of another temperature comes between."""
        model, network = self.model, self.network
        acts = network.activities
        ends = {i: self.starts[i] + acts[i].duration for i in self.picks}
        held: list[tuple[int, tuple[int, ...], Any]] = []
        for heated, members in network.heats().items():
            last = model.new_int_var(0, self.horizon, f"cools{heated}")
            model.add_max_equality(last, [ends[i] for i in members])
            size = model.new_int_var(0, self.horizon, f"hot{heated}")
            model.add(size == last - self.starts[heated])
            for number, _ in enumerate(network.ovens):
                picks = [next((pick for n, pick in self.picks[i] if n == number), None) for i in members]
                known = [pick for pick in picks if pick is not None]
                if len(known) < len(picks):
                    for pick in known:
                        model.add(pick == 0)
                    continue
                for pick in known[1:]:
                    model.add(pick == known[0])
                interval = model.new_optional_interval_var(
                    self.starts[heated], size, last, known[0], f"o{number}hot{heated}"
                )
                held.append((number, members, interval))
        for number, members, interval in held:
            for (oven, i), other in optional.items():
                if oven == number and i not in members and not all(compatible(acts[i], acts[j]) for j in members):
                    model.add_no_overlap([interval, other])
        for at, (number, members, interval) in enumerate(held):
            for oven, others, other in held[at + 1 :]:
                if oven == number and not all(compatible(acts[i], acts[j]) for i in members for j in others):
                    model.add_no_overlap([interval, other])

    def hint(self, placed: Placed) -> None:
        self.model.clear_hints()
        for variable, start in zip(self.starts, placed.starts, strict=True):
            self.model.add_hint(variable, start)
        for i, picks in self.picks.items():
            for number, pick in picks:
                self.model.add_hint(pick, number == placed.ovens[i])

    def minimise(self, objective: Any, effort: float) -> Placed | None:
        """The best schedule found; `bound` and `infeasible` say what was proven."""
        cp_model = self.cp_model
        self.model.minimize(objective)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = effort
        status = solver.solve(self.model)
        self.infeasible = status == cp_model.INFEASIBLE
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        self.bound = round(solver.best_objective_bound)
        ovens = [-1] * len(self.starts)
        for i, picks in self.picks.items():
            ovens[i] = next(number for number, pick in picks if solver.value(pick))
        return Placed(tuple(solver.value(start) for start in self.starts), tuple(ovens))


def _horizon(network: Network) -> int:
    """Long enough for any schedule worth having: everything one after the other, with every lag."""
    return sum(a.duration for a in network.activities) + sum(abs(lag) for _, _, lag in network.lags)
