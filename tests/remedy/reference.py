"""Two other ways to the cheapest plan: trying everything, and a mixed-integer programme.

Both are slow and simple on purpose. The first knows nothing but the judge; the second takes the
costs at each place from the planner and does the rest, which is the search, on its own.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from walkthrough.remedy.actions import Action
from walkthrough.remedy.local import Place
from walkthrough.remedy.planner import Planner
from walkthrough.remedy.search import Search
from walkthrough.remedy.work import Done, Work
from walkthrough.survey.model import Circuit


def sets_of(place: Place, shared: bool = False) -> Iterator[tuple[Action, ...]]:
    """Every set of actions at a place with at most one of each step, in the order of the work."""
    here = [each for each in place.here if each.declared.shared == shared]
    steps = sorted({each.place for each in here})
    for way in itertools.product(*((None, *(e for e in here if e.place == s)) for s in steps)):
        yield tuple(each for each in way if each is not None)


def every_work(planner: Planner, circuits: Sequence[Circuit]) -> Iterator[tuple[int, Work]]:
    """Every piece of work that nothing bars, with its cents; a price to ask for weighs most."""
    bench = planner.bench(circuits, None, leave=False, every=True)

    def cents(chosen: Sequence[Action]) -> int:
        known = (planner.prices.of(each.declared.price).cents for each in chosen)
        return sum(10**9 if each is None else each for each in known)

    shareds = [
        (),
        *((each,) for each in planner.actions.at["circuit"] if each.declared.shared),
    ]
    for shared in shareds:
        steps = {each.place for each in shared}
        per_circuit: list[list[tuple[int, tuple[Done, ...]]]] = []
        for circuit in circuits:
            place = bench.places[planner.house.key(circuit)]
            ways: list[tuple[int, tuple[Done, ...]]] = []
            for own in sets_of(place):
                if steps & {each.place for each in own}:
                    continue
                chosen = tuple(sorted((*own, *shared), key=lambda each: each.place))
                changes, ruled = place.perform(chosen, ())
                if ruled is None:
                    below = _outlet_ways(planner, bench.places, circuit, changes, cents)
                    done = Done("circuit", place.key[1], chosen, changes)
                    ways += [(cents(own) + cost, (done, *rest)) for cost, rest in below]
            per_circuit.append(ways)
        for way in itertools.product(*per_circuit):
            whole = tuple(each for _, part in way for each in part if each.actions)
            total = cents(shared) + sum(cost for cost, _ in way)
            for on_load in _sides(planner, whole):
                yield total, Work(whole, shared, on_load)


def _outlet_ways(
    planner: Planner, places: Any, circuit: Circuit, around: Any, cents: Any
) -> list[tuple[int, tuple[Done, ...]]]:
    options: list[list[tuple[int, Done]]] = []
    for outlet in planner.house.wiring.on(circuit):
        place = places["outlet", outlet.id]
        here: list[tuple[int, Done]] = []
        for chosen in sets_of(place):
            if any(each.declared.removes for each in chosen) and len(chosen) > 1:
                continue
            changes, ruled = place.perform(chosen, tuple(around.items()))
            if ruled is None:
                here.append((cents(chosen), Done("outlet", outlet.id, chosen, changes)))
        options.append(here)
    return [
        (sum(cost for cost, _ in way), tuple(done for _, done in way))
        for way in itertools.product(*options)
    ]


def _sides(planner: Planner, done: Sequence[Done]) -> Iterator[frozenset[tuple[str, str]]]:
    wired = {e.at for e in done if e.wires and e.changes.get("test_result") is not None}
    pairs = [(each.fed_from, each.id) for each in planner.session.outlets if each.fed_from in wired]
    for count in range(len(pairs), -1, -1):
        yield from map(frozenset, itertools.combinations(pairs, count))


def cheapest_by_trying(planner: Planner, circuits: Sequence[Circuit]) -> int | None:
    """The cents of the cheapest work that the judge accepts, out of all; None where none does."""
    subjects = planner.subjects(circuits)
    for cents, work in sorted(every_work(planner, circuits), key=lambda each: each[0]):
        if not planner.broken((work,), subjects):
            return cents
    return None


def cheapest_by_programme(search: Search) -> int | None:
    """The least relaxed cost by a mixed-integer programme; None where there is no plan.

    One variable for each way of each place in each state that can arrive there; the way taken at
    a place gives exactly one state to each place that hangs on it.
    """
    bench = search.bench
    costs: list[float] = []
    rows: list[tuple[int, int, float]] = []
    states: dict[Any, int] = {}
    waiting: list[Any] = []

    def row(need: Any) -> int:
        if need_key(need) not in states:
            states[need_key(need)] = len(states) + 1
            waiting.append(need)
        return states[need_key(need)]

    def need_key(need: Any) -> Any:
        return (need.branch.outlet.id, need.around, need.arriving, need.first)

    for shared in bench.shared():
        ways = [list(bench.heads(each, shared)) for each in search.circuits]
        for heads in itertools.product(*ways):
            column = len(costs)
            costs.append(bench.price(shared) + sum(each.option.cost for each in heads))
            rows.append((0, column, 1))
            for head in heads:
                rows += [(row(need), column, -1) for need in search._needs(head)]
    while waiting:
        need = waiting.pop()
        mine = row(need)
        for option in search._stream(need):
            for extra, fed, _ in search._ways(need, option):
                column = len(costs)
                costs.append(option.cost + extra)
                rows.append((mine, column, 1))
                rows += [(row(each), column, -1) for each in fed]
    if not costs:
        return None
    index = np.array(rows)
    shape = (len(states) + 1, len(costs))
    matrix = coo_array((index[:, 2], (index[:, 0].astype(int), index[:, 1].astype(int))), shape)
    wanted = np.zeros(shape[0])
    wanted[0] = 1
    # One number for cents and tie-breaks is too long for the solver: cents are what counts.
    scaled = np.array(costs) / CENT
    found = milp(
        scaled,
        constraints=LinearConstraint(matrix, wanted, wanted),
        integrality=np.ones(len(costs)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0},
    )
    return None if found.x is None else round(found.fun)


CENT = 100_000
