"""The cheapest work on a group of circuits: exact, by the tree, and best first.

What ties the outlets of a circuit together is little: the breaker, and the protection that comes
down the wires. So the least cost of everything below a place depends only on what arrives there:
`Search.least` works it out once for each place and arrival. A best-first search over the places,
whose bound is that least cost, yields whole plans in the order of their cost. The caller has each
judged and takes the first that holds; as no plan that the judge accepts is missing (see
`remedy.local`), that one is the cheapest there is.
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from walkthrough.remedy.actions import Action
from walkthrough.remedy.options import Bench, Head
from walkthrough.remedy.stream import Option, Stream
from walkthrough.remedy.sums import LEFT
from walkthrough.remedy.tree import Arriving, Branch, forest
from walkthrough.remedy.work import Done, Work
from walkthrough.survey.model import Circuit

LINE = 1
Around = tuple[tuple[str, Any], ...]


@dataclass(frozen=True)
class Found:
    """A plan by its relaxed cost; `left` are the rules that stay broken, with where."""

    cost: int
    work: Work
    left: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class _Need:
    """A place that is still to be dealt with, and what arrives there."""

    branch: Branch
    around: Around
    arriving: Arriving
    first: bool


@dataclass(frozen=True)
class _Taken:
    """An option that was taken, with the outlets on the LOAD of its device."""

    need: _Need
    option: Option
    on_load: tuple[str, ...]


class Search:
    """Plans for the circuits of a bench in the order of their cost."""

    def __init__(self, bench: Bench, circuits: Sequence[Circuit]) -> None:
        self.bench, self.circuits = bench, tuple(circuits)
        self._forest = {id(each): forest(bench.house, each) for each in circuits}
        self._least: dict[Any, int | None] = {}
        self._floors: dict[tuple[str, Around], int] = {}

    def plans(self) -> Iterator[Found]:
        """Every plan, the cheapest first; none where nothing can clear the rules."""
        order = itertools.count()
        heap: list[Any] = []

        def put(bound: int, *entry: Any) -> None:
            heapq.heappush(heap, (bound, next(order), *entry))

        for shared in self.bench.shared():
            extra = self.bench.price(shared)
            choices = [list(self.bench.heads(each, shared)) for each in self.circuits]
            for heads in itertools.product(*choices):
                cost = extra + sum(head.option.cost for head in heads)
                needs = tuple(need for head in heads for need in self._needs(head))
                below = sum(self._floor(each.branch, each.around) for each in needs)
                put(cost + below, self._begin, (cost, shared, heads))
        while heap:
            bound, _, then, entry = heapq.heappop(heap)
            if then is None:
                yield self._found(bound, *entry)
                continue
            for more in then(bound, *entry):
                put(*more)

    def _begin(
        self, _: int, cost: int, shared: tuple[Action, ...], heads: tuple[Head, ...]
    ) -> Iterator[tuple[Any, ...]]:
        """What is done at the panel, now with the least cost of all that hangs on it."""
        needs = tuple(need for head in heads for need in self._needs(head))
        below = [self.least(each) for each in needs]
        if None not in below:
            total = cost + sum(each or 0 for each in below)
            yield self._entry(total, shared, heads, needs, ())

    def _entry(
        self, bound: int, shared: Any, heads: Any, needs: tuple[_Need, ...], taken: Any
    ) -> tuple[Any, ...]:
        if not needs:
            return bound, None, (shared, heads, taken)
        return bound, self._next, (bound, 0, shared, heads, needs, taken)

    def _next(
        self, _: int, base: int, number: int, shared: Any, heads: Any, needs: Any, taken: Any
    ) -> Iterator[tuple[Any, ...]]:
        """The plans with option `number` at the next place, and a later look at the options after.

        `base` is the bound of the plan with the least cost at that place.
        """
        need, rest = needs[0], needs[1:]
        here = self.least(need)
        stream = self._stream(need)
        option = stream.option(number)
        if here is None or option is None:
            return
        for extra, fed, on_load in self._ways(need, option):
            below = [self.least(each) for each in fed]
            if None not in below:
                ahead = base - here + option.cost + extra + sum(each or 0 for each in below)
                step = (taken, _Taken(need, option, on_load))
                yield self._entry(ahead, shared, heads, (*fed, *rest), step)
        after = stream.bound(number + 1)
        if after is not None:
            bound = max(base, base - here + after)
            yield bound, self._next, (base, number + 1, shared, heads, needs, taken)

    def least(self, need: _Need) -> int | None:
        """The least cost of a place and all below it; None where nothing does."""
        key = (need.branch.name, need.around, need.arriving, need.first)
        if key not in self._least:
            found: int | None = None
            stream = self._stream(need)
            below = sum(self._floor(each, need.around) for each in need.branch.fed)
            for number in itertools.count():
                bound = stream.bound(number)
                if bound is None or (found is not None and bound + below >= found):
                    break
                option = stream.option(number)
                if option is None or (found is not None and option.cost + below >= found):
                    break
                cost = self._with_below(need, option)
                if cost is not None and (found is None or cost < found):
                    found = cost
            self._least[key] = found
        return self._least[key]

    def _floor(self, branch: Branch, around: Around) -> int:
        """What a place and all below it cost at least, whatever arrives there."""
        key = branch.name, around
        if key not in self._floors:
            below = sum(self._floor(each, around) for each in branch.fed)
            self._floors[key] = below + self.bench.floor(branch.outlet, around)
        return self._floors[key]

    def _stream(self, need: _Need) -> Stream:
        return self.bench.options(need.branch.outlet, need.around, need.arriving, need.first)

    def _with_below(self, need: _Need, option: Option) -> int | None:
        """As `least`, with one option taken: each thing that hangs here takes its better side."""
        total = option.cost
        for sides in self._sides(need, option):
            costs = [
                None if cost is None else cost + extra
                for extra, each, _ in sides
                for cost in (self.least(each),)
            ]
            known = [each for each in costs if each is not None]
            if not known:
                return None
            total += min(known)
        return total

    def _ways(
        self, need: _Need, option: Option
    ) -> Iterator[tuple[int, tuple[_Need, ...], tuple[str, ...]]]:
        """Every way of feeding what hangs at a place: its cost, what is needed, what is on LOAD."""
        for sides in itertools.product(*self._sides(need, option)):
            yield (
                sum(extra for extra, _, _ in sides),
                tuple(each for _, each, _ in sides),
                tuple(each.branch.name for _, each, on_load in sides if on_load),
            )

    def _sides(self, need: _Need, option: Option) -> list[list[tuple[int, _Need, bool]]]:
        """For each thing that hangs here, the sides on which it can be: cost, need, on LOAD."""
        branch, first = need.branch, need.first and not option.receptacle
        both = need.arriving | option.own

        def side(each: Branch, load: bool) -> tuple[int, _Need, bool]:
            arriving = both if load else need.arriving
            touched = bool(option.wires and option.own)
            extra = LINE if touched and not load else 0
            return extra, _Need(each, need.around, arriving, first), touched and load

        if not option.own:
            return [[side(each, False)] for each in branch.fed]
        if not option.wires:
            return [[side(each, each.name in branch.load)] for each in branch.fed]
        sides = (False,) if self.bench.wants_own(branch.outlet) else (True, False)
        return [[side(each, load) for load in sides] for each in branch.fed]

    def _needs(self, head: Head) -> list[_Need]:
        roots = self._forest[id(head.circuit)]
        return [_Need(each, head.around, head.arriving, head.first) for each in roots]

    def _found(
        self, cost: int, shared: tuple[Action, ...], heads: tuple[Head, ...], taken: Any
    ) -> Found:
        reference = self.bench.house.session.reference
        done = [
            Done("circuit", reference(each.circuit), each.option.actions, each.option.changes)
            for each in heads
            if each.option.actions
        ]
        left = [("circuit", reference(e.circuit), rule) for e in heads for rule in e.option.left]
        on_load: set[tuple[str, str]] = set()
        steps: list[_Taken] = []
        while taken:
            taken, step = taken
            steps.append(step)
        for step in reversed(steps):
            name = step.need.branch.name
            if step.option.actions:
                done.append(Done("outlet", name, step.option.actions, step.option.changes))
            on_load |= {(name, each) for each in step.on_load}
            left += [("outlet", name, rule) for rule in step.option.left]
        return Found(cost % LEFT, Work(tuple(done), shared, frozenset(on_load)), tuple(left))
