"""Adds panels, circuits, rooms, outlets and limits, with the id that comes next."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

from walkthrough.app.carry import copied
from walkthrough.app.fields import FIELD, Refused
from walkthrough.app.prompt import OFFERED, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.survey.model import (
    PANEL,
    AnswerValue,
    Circuit,
    Outlet,
    Panel,
    Room,
    Subject,
    SurveyLimit,
)

NEW = "new:"
"""Prompts that add something have ids that begin so."""

LIMIT = "limit"
SEVERAL = "several"
LIKE = "like"
ROOM_BY_NAME = "room by name"
OTHER_NAME = "another name"
MOST_ALIKE = 20


def next_id(taken: list[str], first: str) -> str:
    """The id after the last one taken: C9 after C8, K-4 after K-3."""
    stem, number = _stem_and_number(taken[-1]) if taken else _stem_and_number(first)
    number += 1 if taken else 0
    while f"{stem}{number}" in taken:
        number += 1
    return f"{stem}{number}"


def next_outlet_id(record: Record, room: Room) -> str:
    """The id that the next outlet of a room gets: in the manner of most outlets there."""
    everywhere = {each.id for each in record.session.outlets}
    here = [_stem_and_number(each.id) for each in record.session.outlets if each.room == room.id]
    if here:
        stem = Counter(stem for stem, _ in here).most_common(1)[0][0]
        number = max(number for each, number in here if each == stem) + 1
    else:
        words = re.findall(r"\w+", room.name)
        letters = "".join(word if word.isdigit() else word[0].upper() for word in words)
        stem, number = f"{letters or 'X'}-", 1
    while f"{stem}{number}" in everywhere:
        number += 1
    return f"{stem}{number}"


def _stem_and_number(id: str) -> tuple[str, int]:
    found = re.fullmatch(r"(.*?)(\d+)", id)
    return (found[1], int(found[2])) if found else (f"{id}-", 0)


def new_prompt(record: Record, kind: str, near: Subject) -> Prompt:
    """The prompt whose answer adds a subject of that kind."""
    session = record.session
    match kind:
        case "panel":
            known = f" (panel {len(session.panels) + 1})" if session.panels else ""
            ask = f"Where is the panel{known}, or what is it called?"
            offered = None if session.panels else "Main panel"
            told = "Panelboards come first; circuits hang on them."
            return Prompt(NEW + kind, ask, "text", (), told, offered, OFFERED, can_skip=False)
        case "circuit":
            panel = panel_near(record, near)
            taken = [each.id for each in session.circuits if each.panel == panel.id]
            where = f" of {panel.name or panel.id}" if len(session.panels) > 1 else ""
            return Prompt(
                NEW + kind,
                f"Number of the next circuit{where}?",
                "text",
                (),
                "As in the panel directory. Enter takes the one offered.",
                next_id(taken, "C1"),
                OFFERED,
                can_skip=False,
            )
        case "room" if record.book.room_templates:
            ask = "What is the next room or area called?"
            return Prompt(NEW + kind, ask, "choice", _room_names(record), can_skip=False)
        case "room" | "room by name":
            told = "Its own name, such as Dressing room or Bath upstairs."
            ask = "What is it called?"
            return Prompt(NEW + kind, ask, "text", (), told, can_skip=False)
        case "like":
            return _like_prompt(record, near)
        case "limit":
            return _limit_prompt()
        case "several":
            told = "Everything is copied but what an instrument shows; that is asked at each."
            ask = f"How many more like {near.id}? (1 to {MOST_ALIKE})"
            return Prompt(NEW + kind, ask, "number", (), told, can_skip=False)
        case _:
            room = room_near(record, near)
            return Prompt(
                NEW + kind,
                f"Id of the next outlet in {room.name}?",
                "text",
                (),
                "Any short name; it stands on the report and on labels.",
                next_outlet_id(record, room),
                OFFERED,
                can_skip=False,
            )


def _room_names(record: Record) -> tuple[Choice, ...]:
    """The rooms that the ruleset knows by their names, numbered where there is one already."""
    taken = {each.name.casefold() for each in record.session.rooms}
    choices: list[Choice] = []
    for id, template in record.book.room_templates.items():
        plain = template.words[0].capitalize()
        name, number = plain, 2
        while name.casefold() in taken:
            name, number = f"{plain} {number}", number + 1
        choices.append(Choice(id, name))
    return (*choices, Choice(OTHER_NAME, "Another name: type it"))


def _like_prompt(record: Record, near: Subject) -> Prompt:
    room = room_near(record, near)
    others = [each for each in reversed(record.session.outlets) if each is not near]
    told = "Everything is copied but what an instrument shows."
    return Prompt(
        NEW + LIKE,
        f"Like which outlet is {next_outlet_id(record, room)}, in {room.name}?",
        "pick",
        tuple(Choice(each.id, each.at or each.room) for each in others),
        told,
        can_skip=False,
    )


def _limit_prompt() -> Prompt:
    told = "It stands among the limits of the report."
    ask = "What did the survey as a whole leave out? (such as: smoke alarms: not operated)"
    return Prompt(NEW + LIMIT, ask, "text", (), told, can_skip=False)


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
    return add_alike(record, like, room), "" if like.room == room.id else FIELD + "circuit"


def _added(record: Record, kind: str, near: Subject, text: str) -> Subject:
    text = " ".join(text.split())
    if not text or not text.isprintable():
        raise Refused("a short name is needed")
    match kind:
        case "panel":
            return _add_panel(record, text)
        case "circuit":
            return _add_circuit(record, near, text)
        case "room" if record.book.room_templates:
            return _add_known_room(record, text)
        case "room" | "room by name":
            return _add_room(record, text, {})
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


def _add_panel(record: Record, name: str) -> Panel:
    panels = record.session.panels
    panel = Panel(id=next_id([each.id for each in panels], "P1"), name=name)
    panels.append(panel)
    record.change(panel, NEW + "panel")
    return panel


def _add_circuit(record: Record, near: Subject, id: str) -> Circuit:
    session = record.session
    panel = panel_near(record, near)
    if any(each.id == id and each.panel == panel.id for each in session.circuits):
        raise Refused(f"{panel.id} has a circuit {id} already")
    if "/" in id:
        raise Refused("a circuit number has no '/'")
    circuit = Circuit(id=id, panel=panel.id)
    session.add_circuit(circuit)
    record.change(circuit, NEW + "circuit")
    return circuit


def _add_known_room(record: Record, template: str) -> Room:
    """A room chosen by the name of a template: what that name says is taken over, as carried."""
    names = {choice.value: choice.label for choice in _room_names(record)}
    return _add_room(record, names[template], record.book.room_templates[template].answers)


def _add_room(record: Record, name: str, told: Mapping[str, AnswerValue]) -> Room:
    rooms = record.session.rooms
    taken = {each.id for each in rooms}
    stem = "-".join(re.findall(r"\w+", name.lower())) or "room"
    id, number = stem, 2
    while id in taken:
        id, number = f"{stem}-{number}", number + 1
    room = Room(id=id, name=name, answers=dict(told), carried=sorted(told))
    rooms.append(room)
    record.change(room, NEW + "room")
    return room


def add_outlet(record: Record, room: Room, id: str) -> Outlet:
    """Add an outlet; until its circuit is told it stands on that of the one before."""
    session = record.session
    if not session.circuits:
        raise Refused("enter a circuit first: every outlet hangs on one")
    if id == PANEL or session.outlet(id) is not None:
        raise Refused(f"there is an outlet {id} already; expected another id")
    near = [each.circuit for each in session.outlets if each.room == room.id]
    last = session.outlets[-1].circuit if session.outlets else ""
    circuit = near[-1] if near else last or session.reference(session.circuits[0])
    outlet = Outlet(id=id, room=room.id, circuit=circuit)
    session.outlets.append(outlet)
    record.change(outlet, NEW + "outlet")
    return outlet


def add_alike(record: Record, like: Outlet, room: Room, count: int = 1) -> Outlet:
    """Add outlets like one to a room: everything is copied but what an instrument shows.

    What was copied is marked as carried until it is answered here. Each is taken to be fed from the
    one before, if that was entered just before it in the same room; that is worked out and not
    seen, so it proves no protection. Else what feeds it is not known. Returns the first.
    """
    first: Outlet | None = None
    is_next = like is record.session.outlets[-1] and like.room == room.id
    before = like if is_next else None
    words = copied(record, like, room)
    for _ in range(count):
        known = before is not None and before.order_known_by != "unknown"
        outlet = Outlet(
            id=next_outlet_id(record, room),
            room=room.id,
            circuit=like.circuit,
            fed_from=before.id if before is not None else "",
            order_known_by="inferred" if known else "unknown",
            answers={word: like.answers[word] for word in words if word in like.answers},
            cannot_tell=[word for word in words if word in like.cannot_tell],
            carried=words,
        )
        record.session.outlets.append(outlet)
        record.note(outlet, NEW + "outlet")
        first, before = first or outlet, outlet
    record.changed()
    assert first is not None
    return first


def panel_near(record: Record, near: Subject) -> Panel:
    """The panel of a subject, else the last one."""
    panels = record.session.panels
    for each in record.house.belongs_to(near) if not isinstance(near, Panel) else (near,):
        if isinstance(each, Panel):
            return each
    if not panels:
        raise Refused("enter a panel first")
    return panels[-1]


def room_near(record: Record, near: Subject) -> Room:
    """The room of a subject, else the last one."""
    for each in record.house.belongs_to(near):
        if isinstance(each, Room):
            return each
    if not record.session.rooms:
        raise Refused("enter a room first")
    return record.session.rooms[-1]
