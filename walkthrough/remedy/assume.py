"""What the planner assumes of places that were not reached, and tells that it does."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from walkthrough.judge.house import House
from walkthrough.remedy.actions import Change
from walkthrough.remedy.work import changed
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import AnswerValue, Outlet, Session
from walkthrough.survey.references import check_references
from walkthrough.trade.trip_tests import Order, inferred, order_shown


def ordered(session: Session, book: Rulebook) -> Session:
    """A copy of a record with the feeds that its trip tests show where it has none.

    They count as worked out: the plan then says which TEST has to bear them out.
    """
    tracer = House(session, book).tracer
    shown: dict[int, Order] = {}
    for circuit in session.circuits if session.trips else ():
        for each in order_shown(tracer, circuit, inferred(tracer, circuit)):
            shown.setdefault(id(each.outlet), each)
    outlets = [
        outlet.model_copy(
            update={"fed_from": order.fed_from, "side": order.side, "order_known_by": "inferred"}
        )
        if (order := shown.get(id(outlet))) is not None
        else outlet
        for outlet in session.outlets
    ]
    made = session.model_copy(update={"outlets": outlets})
    # A record can contradict its tests; then nothing of them is taken.
    return session if check_references(made) else made


@dataclass(frozen=True)
class Assumption:
    """An answer taken over from the other outlets of a circuit, which all agree."""

    outlet: str
    word: str
    value: AnswerValue


def assumed(
    session: Session,
    book: Rulebook,
    carried: Collection[str],
    missing: Mapping[str, AnswerValue],
    implied: Sequence[Change] = (),
) -> tuple[Session, tuple[Assumption, ...]]:
    """A copy of a record with those assumptions, and the list of them.

    Only an outlet with a limit ("not reached", "seen only") gets any: elsewhere a missing answer
    was left out and is to be asked for. `missing` is what every outlet is taken to lack of which
    nothing is recorded, `implied` what follows from other answers; the list leaves both out.
    """
    found_as = House(session, book)
    found: list[Assumption] = []
    outlets: list[Outlet] = []
    for outlet in session.outlets:
        others = [
            each
            for each in session.outlets
            if each.circuit == outlet.circuit
            and each is not outlet
            and each.answer("point") == outlet.answer("point")
        ]
        taken: dict[str, AnswerValue] = {}
        for word in book.questions:
            if not outlet.limits or word not in carried or outlet.answer(word) is not None:
                continue
            values = [value for each in others if (value := each.answer(word)) is not None]
            if values and all(value == values[0] for value in values):
                taken[word] = values[0]
        found += [
            Assumption(session.reference(outlet), word, value) for word, value in taken.items()
        ]
        lacks = {word: each for word, each in missing.items() if outlet.answer(word) is None}
        follows = {
            word: value
            for each in implied
            if each.condition.truth(found_as.situation(outlet)) is True
            for word, value in each.sets.items()
            if outlet.answer(word) is None
        }
        outlets.append(changed(outlet, {**lacks, **follows, **taken}, book.questions))
    return session.model_copy(update={"outlets": outlets}), tuple(found)
