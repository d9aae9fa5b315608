"""Takes a panel, circuit, room or outlet out of the record again."""

from __future__ import annotations

from typing import Any

from walkthrough.app.fields import Refused
from walkthrough.app.record import Record
from walkthrough.survey.model import Circuit, Outlet, Panel, Room, Subject


def remove(record: Record, subject: Subject) -> Subject:
    """Remove a subject and what names it; returns where to stand now.

    Raises Refused where something still hangs on it.
    """
    session = record.session
    match subject:
        case Outlet():
            return _remove_outlet(record, subject)
        case Room():
            _refuse_if(
                subject.name, [each.id for each in session.outlets if each.room == subject.id]
            )
            items: list[Any] = session.rooms
        case Circuit():
            return _remove_circuit(record, subject)
        case Panel():
            _refuse_if(
                subject.id, [each.id for each in session.circuits if each.panel == subject.id]
            )
            items = session.panels
        case _:
            raise Refused("the dwelling itself stays")
    _take_out(record, items, subject)
    return session.dwelling


def _refuse_if(name: str, hanging: list[str]) -> None:
    if hanging:
        raise Refused(f"{name} stays: {', '.join(hanging[:6])} still hangs on it")


def _remove_circuit(record: Record, circuit: Circuit) -> Subject:
    session = record.session

    def is_it(reference: str) -> bool:
        # Not compared as text: "C1" and "P1/C1" may be the same circuit.
        return session.circuit(reference) is circuit

    on_it = [each.id for each in session.outlets if is_it(each.circuit)]
    fed = [each.id for each in session.panels if is_it(each.fed_from)]
    shared = [each.id for each in session.circuits if is_it(each.shares_neutral_with)]
    _refuse_if(f"circuit {session.reference(circuit)}", [*on_it, *fed, *shared])
    # A TEST under a name that is an outlet's too was made at the outlet.
    session.trips = [
        trip
        for trip in session.trips
        if not is_it(trip.at)
        or (trip.action != "breaker off" and session.outlet(trip.at) is not None)
    ]

    _take_out(record, session.circuits, circuit)
    return session.dwelling


def _remove_outlet(record: Record, outlet: Outlet) -> Subject:
    session = record.session
    for each in session.outlets:
        if each.fed_from == outlet.id:
            # What it fed is now fed from nobody knows where; that is asked again.
            each.fed_from, each.side, each.order_known_by = "", "through", "unknown"
    session.trips = [
        trip.model_copy(
            update={
                "went_dead": [id for id in trip.went_dead if id != outlet.id],
                "stayed_live": [id for id in trip.stayed_live if id != outlet.id],
            }
        )
        for trip in session.trips
        if trip.at != outlet.id
    ]
    _take_out(record, session.outlets, outlet)
    return session.room(outlet.room) or session.dwelling


def _take_out(record: Record, items: list[Any], subject: Subject) -> None:
    del items[next(number for number, each in enumerate(items) if each is subject)]
    record.change(subject, "")
