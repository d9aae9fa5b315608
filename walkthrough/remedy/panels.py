"""What is done at a panel itself: every set of its actions is tried, the cheapest first."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from walkthrough.remedy.actions import Action
from walkthrough.remedy.items import Item
from walkthrough.remedy.judges import Breach
from walkthrough.remedy.planner import Left, Planner, Solved
from walkthrough.remedy.reasons import Reason, worded
from walkthrough.remedy.sums import weight
from walkthrough.remedy.work import Done, Work
from walkthrough.survey.model import Panel

NOTHING_KNOWN = "no action in the list can change this"


def at_panel(planner: Planner, panel: Panel) -> tuple[Solved, tuple[Item, ...]]:
    """The cheapest work at a panel, and its items; what it cannot clear is left."""
    before = planner.broken((), [panel])
    if not before:
        return Solved((), Work()), ()
    here = planner.actions.at["panel"]
    ways = sorted(
        (way for count in range(len(here) + 1) for way in itertools.combinations(here, count)),
        key=lambda way: weight(planner.prices, way),
    )
    left: list[Breach] = []
    for way in ways:
        work = Work(tuple(_done(planner, panel, way)))
        left = planner.broken([work], [panel])
        if not left:
            price, why = planner.prices.of, Reason(clears=worded(before))
            items = (
                Item(done, action, price(action.declared.price), why) for done, action in work.items
            )
            return Solved((), work), tuple(items)
    unsolved = tuple(Left(e.key, e.rule, e.says, (NOTHING_KNOWN,)) for e in left)
    return Solved((), Work(), unsolved), ()


def _done(planner: Planner, panel: Panel, way: Sequence[Action]) -> Iterator[Done]:
    for action in way:
        yield Done("panel", planner.house.wiring.name(panel), (action,), action.declared.sets)
        if action.over is None:
            continue
        for circuit in planner.house.children(panel, "circuit"):
            if action.over.condition.truth(planner.house.situation(circuit)) is True:
                yield Done("circuit", planner.house.key(circuit)[1], (), action.over.sets)
