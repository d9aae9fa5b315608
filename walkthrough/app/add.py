"""Adds panels, circuits, rooms, outlets and limits, with the id that comes next."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

from walkthrough.app.carry import copied
from walkthrough.app.fields import FIELD, Refused
from walkthrough.app.prompt import OFFERED, Choice, Prompt
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

NEW = "new:"
"""Prompts that add something have ids that begin so."""

LIMIT = "limit"
SEVERAL = "several"
UNIT = "unit"
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
    """The id that the next outlet of a room gets: in the manner of most outlets there.

    The first of a room has letters that no other room has: B-1 in the bath, BE-1 in the bedroom.
    """
    taken = _taken(record, "outlet", room.unit)
    named = record.session.reference(room)
    here = [_stem_and_number(each.id) for each in record.session.outlets if each.room == named]
    if here:
        stem = Counter(stem for stem, _ in here).most_common(1)[0][0]
        number = max(number for each, number in here if each == stem) + 1
    else:
        used = {_stem_and_number(each)[0] for each in taken}
        stems = _stems(room.name)
        stem, number = next((each for each in stems if each not in used), stems[0]), 1
    while f"{stem}{number}" in taken:
        number += 1
    return f"{stem}{number}"


def _stems(name: str) -> list[str]:
    """What ids in a room may begin with: its initials, then with more of its first word."""
    words = re.findall(r"\w+", name) or ["X"]
    rest = "".join(word if word.isdigit() else word[0].upper() for word in words[1:])
    lengths = range(len(words[0]) if words[0].isdigit() else 1, len(words[0]) + 1)
    return [f"{words[0][:length].upper()}{rest}-" for length in lengths]


def _taken(record: Record, kind: str, unit: str) -> list[str]:
    """The ids that the subjects of a kind have in one unit: there each has its own."""
    session = record.session
    return [each.id for each in session.all_of(kind) if session.unit_of(each) == unit]


def _stem_and_number(id: str) -> tuple[str, int]:
    found = re.fullmatch(r"(.*?)(\d+)", id)
    return (found[1], int(found[2])) if found else (f"{id}-", 0)


def new_prompt(record: Record, kind: str, near: Subject) -> Prompt:
    """The prompt whose answer adds a subject of that kind."""
    session = record.session
    match kind:
        case "unit":
            told = "A short name such as A or Upstairs. It stands before the ids of what is in it."
            ask = "What is the next dwelling unit of this building called?"
            return Prompt(NEW + kind, ask, "text", (), told, can_skip=False)
        case "panel":
            return _panel_prompt(record, near)
        case "circuit":
            panel = panel_near(record, near)
            taken = [each.id for each in session.circuits if session.panel(each.panel) is panel]
            where = f" of {panel.name or panel.id}" if len(session.panels) > 1 else ""
            where += f", {session.home(panel)}" if session.units else ""
            return Prompt(
                NEW + kind,
                f"Number of the next circuit{where}?",
                "text",
                (),
                f"As in the panel directory: {EXAMPLES}. Enter takes the one offered.",
                next_id(taken, "C1"),
                OFFERED,
                can_skip=False,
            )
        case "room" | "room by name":
            home = _home_near(record, near)
            ask = f"What is the next room or area{home and f' of {home}'} called?"
            if kind == "room" and record.book.room_templates:
                names = _room_names(record, near)
                return Prompt(NEW + kind, ask, "choice", names, can_skip=False)
            told = "Its own name, such as Dressing room or Bath upstairs."
            return Prompt(NEW + kind, ask, "text", (), told, can_skip=False)
        case "like":
            return _like_prompt(record, near)
        case "limit":
            return _limit_prompt()
        case "several":
            told = "Everything is copied but what an instrument shows; that is asked at each."
            ask = f"How many more like {session.reference(near)}? (1 to {MOST_ALIKE})"
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


def _panel_prompt(record: Record, near: Subject) -> Prompt:
    here = len(_taken(record, "panel", record.session.unit_of(near)))
    home = _home_near(record, near)
    known = f" (panel {here + 1})" if here else ""
    ask = f"Where is the panel{home and f' of {home}'}{known}, or what is it called?"
    offered = None if here else "Main panel"
    told = "Panelboards come first; circuits hang on them."
    return Prompt(NEW + "panel", ask, "text", (), told, offered, OFFERED, can_skip=False)


def _home_near(record: Record, near: Subject) -> str:
    """The unit in hand in words, "" where there is one dwelling."""
    home = record.session.home(near)
    return f"the {home.lower()}" if home and not record.session.unit_of(near) else home


def _room_names(record: Record, near: Subject) -> tuple[Choice, ...]:
    """The rooms that the ruleset knows by their names, numbered where the unit has one already."""
    unit = record.session.unit_of(near)
    taken = {each.name.casefold() for each in record.session.rooms if each.unit == unit}
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
        tuple(Choice(record.session.reference(each), each.at or each.room) for each in others),
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
    panel = Panel(id=next_id(_taken(record, "panel", unit), "P1"), unit=unit, name=name)
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
    names = {choice.value: choice.label for choice in _room_names(record, near)}
    return _add_room(record, near, names[template], record.book.room_templates[template].answers)


def _add_room(record: Record, near: Subject, name: str, told: Mapping[str, AnswerValue]) -> Room:
    unit = record.session.unit_of(near)
    taken = _taken(record, "room", unit)
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
    if id == PANEL or id in _taken(record, "outlet", room.unit):
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
            at=_next_after(record, room),
        )
        naming.add(session, outlet)
        record.note(outlet, NEW + "outlet")
        first, before = first or outlet, outlet
    record.changed()
    assert first is not None
    return first


def _next_after(record: Record, room: Room) -> str:
    """Where an outlet is of which that is not told: one goes round a room in order."""
    named = record.session.reference(room)
    before = [each.id for each in record.session.outlets if each.room == named]
    return f"next after {before[-1]}" if before else ""


def panel_near(record: Record, near: Subject) -> Panel:
    """The panel of a subject, else the last one of its unit, else the last one."""
    panels = record.session.panels
    for each in record.house.belongs_to(near) if not isinstance(near, Panel) else (near,):
        if isinstance(each, Panel):
            return each
    if not panels:
        raise Refused("enter a panel first")
    own = [each for each in panels if each.unit == record.session.unit_of(near)]
    return (own or panels)[-1]


def room_near(record: Record, near: Subject) -> Room:
    """The room of a subject, else the last one of its unit."""
    for each in record.house.belongs_to(near):
        if isinstance(each, Room):
            return each
    own = [each for each in record.session.rooms if each.unit == record.session.unit_of(near)]
    if not own:
        raise Refused("enter a room first")
    return own[-1]
