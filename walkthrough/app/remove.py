"""Takes a panel, circuit, room or outlet out of the record again."""

from __future__ import annotations

from collections.abc import Iterable

from walkthrough.app.fields import Refused
from walkthrough.app.next_ids import next_after
from walkthrough.app.record import Record
from walkthrough.survey import naming
from walkthrough.survey.model import Circuit, Outlet, Panel, Room, Session, Subject, Unit


def remove(record: Record, subject: Subject) -> Subject:
    """Remove a subject and what names it; returns where to stand now.

    Raises Refused where something still hangs on it.
    """
    session = record.session
    match subject:
        case Outlet():
            return _remove_outlet(record, subject)
        case Room():
            _refuse_if(session, subject.name, record.house.children(subject, "outlet"))
        case Circuit():
            return _remove_circuit(record, subject)
        case Panel():
            on_it = record.house.children(subject, "circuit")
            _refuse_if(session, session.reference(subject), on_it)
        case Unit():
            every: tuple[Subject, ...] = (*session.panels, *session.rooms)
            here = [each for each in every if session.unit_of(each) == subject.id]
            _refuse_if(session, session.home(subject), here)
        case _:
            raise Refused("the dwelling itself stays")
    _take_out(record, subject)
    return session.unit(session.unit_of(subject)) or session.dwelling


def _refuse_if(session: Session, name: str, hanging: Iterable[Subject]) -> None:
    names = [session.reference(each) for each in hanging]
    if names:
        raise Refused(f"{name} stays: {', '.join(names[:6])} still hangs on it")


def _remove_circuit(record: Record, circuit: Circuit) -> Subject:
    session = record.session

    def is_it(reference: str) -> bool:
        # Not compared as text: "C1" and "P1/C1" may be the same circuit.
        return session.circuit(reference) is circuit

    on_it = [each for each in session.outlets if is_it(each.circuit)]
    fed = [each for each in session.panels if is_it(each.fed_from)]
    shared = [each for each in session.circuits if is_it(each.shares_neutral_with)]
    _refuse_if(session, f"circuit {session.reference(circuit)}", [*on_it, *fed, *shared])
    # A TEST under a name that is an outlet's too was made at the outlet.
    session.trips = [
        trip
        for trip in session.trips
        if not is_it(trip.at)
        or (trip.action != "breaker off" and session.outlet(trip.at) is not None)
    ]

    _take_out(record, circuit)
    return session.dwelling


def _remove_outlet(record: Record, outlet: Outlet) -> Subject:
    session = record.session
    name = session.reference(outlet)
    for each in session.outlets:
        if each.fed_from == name:
            # What it fed is now fed from nobody knows where; that is asked again.
            each.fed_from, each.side, each.order_known_by = "", "through", "unknown"
        if each.room == outlet.room and each.at == next_after(outlet.id):
            each.at = outlet.at if outlet.at.startswith(next_after("")) else ""
    session.trips = [
        trip.model_copy(
            update={
                "went_dead": [id for id in trip.went_dead if id != name],
                "stayed_live": [id for id in trip.stayed_live if id != name],
            }
        )
        for trip in session.trips
        if trip.at != name
    ]
    room = session.room(outlet.room)
    _take_out(record, outlet)
    return room or session.dwelling


def _take_out(record: Record, subject: Subject) -> None:
    naming.take_out(record.session, subject)
    record.change(subject, "")
