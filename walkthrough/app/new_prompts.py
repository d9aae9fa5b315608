"""How it is asked for what is added: a panel, a circuit, a room, an outlet, a limit."""

from __future__ import annotations

from walkthrough.app.next_ids import next_id, next_outlet_id, panel_near, room_near, taken_ids
from walkthrough.app.prompt import OFFERED, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.survey.circuit_number import EXAMPLES
from walkthrough.survey.model import Room, Subject

NEW = "new:"
"""Prompts that add something have ids that begin so."""
LIMIT = "limit"
SEVERAL = "several"
UNIT = "unit"
LIKE = "like"
ROOM_BY_NAME = "room by name"
OTHER_NAME = "another name"
MOST_ALIKE = 20


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
                names = room_names(record, near)
                return Prompt(NEW + kind, ask, "choice", names, can_skip=False)
            told = "Its own name, such as Dressing room or Bath upstairs."
            return Prompt(NEW + kind, ask, "text", (), told, can_skip=False)
        case "like":
            return _like_prompt(record, near)
        case "limit":
            return _limit_prompt(record, near)
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
    here = len(taken_ids(record, "panel", record.session.unit_of(near)))
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


def room_names(record: Record, near: Subject) -> tuple[Choice, ...]:
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


def _limit_prompt(record: Record, near: Subject) -> Prompt:
    told = "It stands among the limits of the report."
    ask = "What did the survey as a whole leave out? (such as: smoke alarms: not operated)"
    if not isinstance(near, Room) or record.house.children(near, "outlet"):
        return Prompt(NEW + LIMIT, ask, "text", (), told, can_skip=False)
    home = record.session.home(near)
    offered = f"{near.name}{f' ({home})' if home else ''}: not entered"
    return Prompt(NEW + LIMIT, ask, "text", (), told, offered, OFFERED, can_skip=False)
