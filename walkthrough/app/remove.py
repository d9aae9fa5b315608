"""Takes a panel, circuit, room or outlet out of the record again."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from walkthrough.app.fields import Refused
from walkthrough.app.record import Record, snapshot
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
            reference = session.reference(subject)
            fed = [each.id for each in session.panels if each.fed_from == reference]
            on_it = [each.id for each in session.outlets if each.circuit == reference]
            shared = [each.id for each in session.circuits if each.shares_neutral_with == reference]
            _refuse_if(f"circuit {reference}", [*on_it, *fed, *shared])
            items = session.circuits
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


def _remove_outlet(record: Record, outlet: Outlet) -> Subject:
    session = record.session
    fed = [each for each in session.outlets if each.fed_from == outlet.id]
    restore = snapshot(*fed)
    trips = list(session.trips)
    for each in fed:
        # What it fed is now fed from nobody knows where; that is asked again.
        each.fed_from, each.side, each.order_known_by = "", "through", "unknown"
    session.trips = [
        trip.model_copy(
            update={
                "went_dead": [id for id in trip.went_dead if id != outlet.id],
                "stayed_live": [id for id in trip.stayed_live if id != outlet.id],
            }
        )
        for trip in trips
        if trip.at != outlet.id
    ]

    def restore_rest() -> None:
        restore()
        session.trips = trips

    _take_out(record, session.outlets, outlet, restore_rest)
    return session.room(outlet.room) or session.dwelling


def _take_out(
    record: Record,
    items: list[Any],
    subject: Subject,
    also: Callable[[], None] | None = None,
) -> None:
    at = next(number for number, each in enumerate(items) if each is subject)
    del items[at]

    def undo() -> None:
        items.insert(at, subject)
        if also is not None:
            also()

    record.change(subject, "", undo)
