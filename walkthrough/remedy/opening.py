"""Where the wiring order is not known: what the plan could cost if it were looked for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from walkthrough.remedy.actions import Choice
from walkthrough.remedy.planner import Planner, Solved
from walkthrough.remedy.sums import weight
from walkthrough.survey.model import PANEL, Circuit, Outlet, Session


@dataclass(frozen=True)
class Opened:
    """A lucky outcome of the look: `first` feeds all outlets whose order was not known."""

    first: str
    behind: tuple[str, ...]
    solved: Solved


def if_opened(
    planner: Planner, circuits: Sequence[Circuit], choice: Choice | None = None
) -> Opened | None:
    """The cheapest plan, by a choice if given, if one outlet feeds all of unknown order directly.

    It is a price to weigh the look against, and no bound: other orders can come out dearer, and
    some cheaper. None where the order is known.
    """
    wiring = planner.house.wiring
    loose = [each for one in circuits for each in wiring.on(one) if not wiring.path_is_known(each)]
    if not loose:
        return None
    name = wiring.name
    found = [
        Opened(name(first), tuple(name(e) for e in loose if e is not first), solved)
        for first in (each for one in circuits for each in wiring.on(one))
        for solved in _tried(planner, circuits, loose, first, choice)
        if not (solved.left or solved.barred)
    ]
    return min(found, key=lambda each: _weight(planner, each.solved), default=None)


def _tried(
    planner: Planner,
    circuits: Sequence[Circuit],
    loose: Sequence[Outlet],
    first: Outlet,
    choice: Choice | None,
) -> Iterator[Solved]:
    name = planner.record.reference
    names = {planner.house.wiring.name(each) for each in loose}
    begin = planner.house.wiring.name(first)

    def seen(outlet: Outlet) -> Outlet:
        if name(outlet) not in names:
            return outlet
        fed_from = PANEL if name(outlet) == begin else begin
        update = {"fed_from": fed_from, "side": "through", "order_known_by": "observed"}
        return outlet.model_copy(update=update)

    record: Session = planner.record.model_copy(
        update={"outlets": [seen(each) for each in planner.record.outlets]}
    )
    other = replace(planner, record=record, _benches={}, _places={})
    wanted = {planner.session.reference(each) for each in circuits}
    for group in other.groups:
        if {other.session.reference(each) for each in group} == wanted:
            yield other.solve(group, choice)


def _weight(planner: Planner, solved: Solved) -> int:
    return weight(planner.prices, (action for _, action in solved.work.items))
