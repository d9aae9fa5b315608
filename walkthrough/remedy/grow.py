"""The least sets of actions that bring one place in order, found by mending what is broken."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from walkthrough.remedy.actions import Action
from walkthrough.remedy.local import Around, Place, Ruled
from walkthrough.remedy.work import Changes


def grown(
    place: Place,
    first: Sequence[Action],
    around: Around,
    fixed: Callable[[Changes], Mapping[str, Any] | None],
    more: Sequence[Action],
    refused: list[Ruled],
    leave: bool = False,
) -> Iterator[tuple[tuple[Action, ...], dict[str, Any], frozenset[str]]]:
    """Every least set of actions that contains `first` and breaks no rule here.

    What is broken can be mended only by an action that changes a word of it: each such one of
    `more` is tried in turn. `fixed` gives the protection that the changes lead to, or None where
    that is to be left out. With `leave`, rules may also be left broken, as few as can be; the third
    part tells which. Then the first set found is the only one.
    """
    seen: set[tuple[frozenset[Action], frozenset[str]]] = set()
    order = itertools.count()
    waiting: list[tuple[int, int, tuple[Action, ...], frozenset[str]]] = []

    def put(chosen: Iterable[Action], left: frozenset[str]) -> None:
        in_order = tuple(sorted(chosen, key=lambda each: each.place))
        heapq.heappush(waiting, (len(left), next(order), in_order, left))

    put(first, frozenset())
    while waiting:
        _, _, chosen, left = heapq.heappop(waiting)
        if (frozenset(chosen), left) in seen:
            continue
        seen.add((frozenset(chosen), left))
        changes, ruled = place.perform(chosen, around)
        if ruled is None:
            rule = place.broken(chosen, around, fixed(changes), left)
            if rule is None:
                yield chosen, changes, left
                if leave:
                    return
                continue
            ruled = Ruled(rule.words, chosen, rule=rule)
            if leave:
                put(chosen, left | {rule.id})
        steps = {each.place for each in chosen}
        words = ruled.words
        mends = [e for e in more if e.place not in steps and not words.isdisjoint(e.words)]
        if not mends:
            refused.append(ruled)
        for each in mends:
            put((*chosen, each), left)
