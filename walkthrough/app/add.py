"""Adds panels, circuits, rooms, outlets and limits, with the id that comes next."""

from __future__ import annotations

import re
from collections.abc import Mapping

from walkthrough.app.carry import copied
from walkthrough.app.fields import FIELD, Refused
from walkthrough.app.new_prompts import LIKE, MOST_ALIKE, NEW, OTHER_NAME, ROOM_BY_NAME, room_names
from walkthrough.app.next_ids import (
    likely_place,
    next_id,
    next_outlet_id,
    panel_near,
    room_near,
    taken_ids,
)
from walkthrough.app.record import Record
from walkthrough.report.text import clean
from walkthrough.survey import naming
from walkthrough.survey.circuit_number import EXAMPLES, circuit_number
from walkthrough.survey.model import (
    COMMON,
    PANEL,
    AnswerValue,
    Circuit,
    Outlet,
    Panel,
    Room,
    Subject,
    SurveyLimit,
    Unit,
)


def _add_limit(record: Record, near: Subject, text: str) -> Subject:
    subject, _, reason = text.partition(":")
    if not reason.strip():
        raise Refused("say why, after a colon: 'smoke alarms: not operated'")
    limits = record.session.limits
    limits.append(SurveyLimit(subject=subject.strip(), reason=reason.strip()))
    record.change(near, "")
    return near


def add(record: Record, kind: str, near: Subject, text: str) -> tuple[Subject, str]:
    """Add a subject of a kind, named by what was answered: where to go on, and at which prompt.

    The prompt is "" for the next one. Raises Refused where nothing can be added.
    """
    if kind == "room" and text == OTHER_NAME:
        return near, NEW + ROOM_BY_NAME
    if kind == LIKE:
        like = record.session.outlet(text)
        if like is None:
            raise Refused(f"there is no outlet {text}")
        return alike_in(record, like, room_near(record, near))
    return _added(record, kind, near, text), ""


def alike_in(record: Record, like: Outlet, room: Room) -> tuple[Outlet, str]:
    """The same again in a room; in another room the circuit may be another one, and is put."""
    is_here = record.session.room(like.room) is room
    return add_alike(record, like, room), "" if is_here else FIELD + "circuit"


def _added(record: Record, kind: str, near: Subject, text: str) -> Subject:
    text = " ".join(text.split())
    if not text or not text.isprintable():
        raise Refused("a short name is needed")
    match kind:
        case "unit":
            return _add_unit(record, text)
        case "panel":
            return _add_panel(record, near, text)
        case "circuit":
            return _add_circuit(record, near, text)
        case "room" if record.book.room_templates:
            return _add_known_room(record, near, text)
        case "room" | "room by name":
            return _add_room(record, near, text, {})
        case "limit":
            return _add_limit(record, near, text)
        case "several":
            if (
                not isinstance(near, Outlet)
                or not text.isdigit()
                or not 1 <= int(text) <= MOST_ALIKE
            ):
                raise Refused(f"found {text}; expected a whole number from 1 to {MOST_ALIKE}")
            return add_alike(record, near, room_near(record, near), int(text))
        case _:
            return add_outlet(record, room_near(record, near), text)


def _add_unit(record: Record, id: str) -> Unit:
    session = record.session
    if session.unit(id) is not None:
        raise Refused(f"there is a unit {id} already")
    if id in (COMMON, session.dwelling.id) or "/" in id:
        raise Refused(f"a unit cannot be called {id}; expected a short name without '/'")
    unit = Unit(id=id)
    naming.add(session, unit)
    record.change(unit, NEW + "unit")
    return unit


def _add_panel(record: Record, near: Subject, name: str) -> Panel:
    unit = record.session.unit_of(near)
    panel = Panel(id=next_id(taken_ids(record, "panel", unit), "P1"), unit=unit, name=name)
    naming.add(record.session, panel)
    record.change(panel, NEW + "panel")
    return panel


def _add_circuit(record: Record, near: Subject, text: str) -> Circuit:
    id = circuit_number(text)
    if id is None:
        raise Refused(
            f"found '{clean(text)}'; expected what stands at the breaker, such as {EXAMPLES}"
        )
    session = record.session
    panel = panel_near(record, near)
    named = session.reference(panel)
    if any(each.id == id and session.panel(each.panel) is panel for each in session.circuits):
        raise Refused(f"{named} has a circuit {id} already")
    circuit = Circuit(id=id, panel=named)
    naming.add(session, circuit)
    record.change(circuit, NEW + "circuit")
    return circuit


def _add_known_room(record: Record, near: Subject, template: str) -> Room:
    """A room chosen by the name of a template: what that name says is taken over, as carried."""
    names = {choice.value: choice.label for choice in room_names(record, near)}
    return _add_room(record, near, names[template], record.book.room_templates[template].answers)


def _add_room(record: Record, near: Subject, name: str, told: Mapping[str, AnswerValue]) -> Room:
    unit = record.session.unit_of(near)
    taken = taken_ids(record, "room", unit)
    stem = "-".join(re.findall(r"\w+", name.lower())) or "room"
    id, number = stem, 2
    while id in taken:
        id, number = f"{stem}-{number}", number + 1
    room = Room(id=id, unit=unit, name=name, answers=dict(told), carried=sorted(told))
    naming.add(record.session, room)
    record.change(room, NEW + "room")
    return room


def add_outlet(record: Record, room: Room, id: str) -> Outlet:
    """Add an outlet; until its circuit is told it stands on that of the one before."""
    session = record.session
    if not session.circuits:
        raise Refused("enter a circuit first: every outlet hangs on one")
    if id == PANEL or id in taken_ids(record, "outlet", room.unit):
        raise Refused(f"there is an outlet {id} already; expected another id")
    if session.units and "/" in id:
        raise Refused("an id has no '/': the unit is put before it where that is needed")
    outlet = Outlet(id=id, room=session.reference(room), circuit=_likely_circuit(record, room))
    naming.add(session, outlet)
    record.change(outlet, NEW + "outlet")
    return outlet


def _likely_circuit(record: Record, room: Room) -> str:
    """The circuit of the outlet before: in the room, else in the unit; else the unit's first."""
    session = record.session
    named = session.reference(room)
    near = [each.circuit for each in session.outlets if each.room == named]
    before = [each.circuit for each in session.outlets if session.unit_of(each) == room.unit]
    own = [each for each in session.circuits if session.unit_of(each) == room.unit]
    likely = [*near[-1:], *before[-1:], *map(session.reference, own or session.circuits)]
    return likely[0]


def add_alike(record: Record, like: Outlet, room: Room, count: int = 1) -> Outlet:
    """Add outlets like one to a room: everything is copied but what an instrument shows.

    What was copied is marked as carried until it is answered here. Each is taken to be fed from the
    one before, if that was entered just before it in the same room; that is worked out and not
    seen, so it proves no protection. Else what feeds it is not known. Returns the first.
    """
    session = record.session
    first: Outlet | None = None
    is_next = like is session.outlets[-1] and session.room(like.room) is room
    before = like if is_next else None
    is_in_unit = session.unit_of(like) == room.unit
    circuit = like.circuit if is_in_unit else _likely_circuit(record, room)
    words = copied(record, like, room, circuit)
    for _ in range(count):
        known = before is not None and before.order_known_by != "unknown"
        outlet = Outlet(
            id=next_outlet_id(record, room),
            room=session.reference(room),
            circuit=circuit,
            fed_from=session.reference(before) if before is not None else "",
            order_known_by="inferred" if known else "unknown",
            answers={word: like.answers[word] for word in words if word in like.answers},
            cannot_tell=[word for word in words if word in like.cannot_tell],
            carried=words,
            at=likely_place(record, room),
        )
        naming.add(session, outlet)
        record.note(outlet, NEW + "outlet")
        first, before = first or outlet, outlet
    record.changed()
    assert first is not None
    return first
