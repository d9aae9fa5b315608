"""Ways of dealing with one place in the order of their cost, worked out as they are asked for."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass

from walkthrough.remedy.actions import Action
from walkthrough.remedy.tree import NOTHING, Arriving
from walkthrough.remedy.work import Changes


@dataclass(frozen=True)
class Option:
    """One way of dealing with a place; `left` are the ids of rules that stay broken there.

    `own` is the protection that its device gives. `wires`: what it feeds can be put on LINE or
    LOAD. `receptacle`: it is one afterwards.
    """

    cost: int
    actions: tuple[Action, ...]
    changes: Changes
    own: Arriving = NOTHING
    wires: bool = False
    receptacle: bool = False
    left: frozenset[str] = frozenset()


class Stream:
    """Options in the order of their cost, worked out only as far as they are asked for."""

    def __init__(self, made: Iterator[tuple[int, Option | None]]) -> None:
        self._made = made
        self._ready: list[Option] = []
        self._held: list[tuple[int, int, Option]] = []
        self._next: int | None = 0

    def bound(self, number: int) -> int | None:
        """What option `number` costs at least; None where there is none any more."""
        if number < len(self._ready):
            return self._ready[number].cost
        held = self._held[0][0] if self._held else None
        if self._next is None or held is None:
            return held if self._next is None else self._next
        return min(held, self._next)

    def option(self, number: int) -> Option | None:
        """Option `number`, counted from 0; None where there are not so many."""
        while len(self._ready) <= number:
            if self._held and (self._next is None or self._held[0][0] <= self._next):
                self._ready.append(heapq.heappop(self._held)[2])
            elif self._next is None:
                return None
            else:
                self._work_on()
        return self._ready[number]

    def __iter__(self) -> Iterator[Option]:
        number = 0
        while (option := self.option(number)) is not None:
            yield option
            number += 1

    def _work_on(self) -> None:
        """Take what comes up to the next beginning, which tells what all that follows costs."""
        for least, option in self._made:
            if option is None:
                self._next = least
                return
            heapq.heappush(self._held, (option.cost, len(self._held) + len(self._ready), option))
        self._next = None
