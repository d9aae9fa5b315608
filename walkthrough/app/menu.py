"""What can come after a subject is finished: the next of its kind, another room, a list."""

from __future__ import annotations

from collections.abc import Callable

from walkthrough.app.add import (
    NEW,
    add_alike,
    add_outlet,
    new_prompt,
    next_outlet_id,
    room_near,
)
from walkthrough.app.fields import Refused
from walkthrough.app.prompt import OFFERED, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.survey.model import Circuit, Outlet, Panel, Room, Subject

MENU = "menu:"
"""Prompts that choose the way have ids that begin so."""

GO = "go:"
ALIKE = "alike"
CHANGE = "change"
FINDINGS = "findings"
OPEN = "open"


def onward(record: Record, done: Subject, is_fresh: bool) -> Prompt | Subject:
    """What comes after a finished subject: a prompt, or a subject to go to at once.

    Enter goes on only where it was finished just now: who only looks in adds nothing by mistake.
    """
    session = record.session
    if done.of == "dwelling" and not session.outlets:
        if not session.panels:
            return new_prompt(record, "panel", done)
        if not session.circuits:
            return session.panels[0]
        if not session.rooms:
            return session.circuits[-1]
    choices = [
        *_ways(record, done),
        Choice(OPEN, "What is still open elsewhere"),
        Choice(CHANGE, "Change an answer here"),
        Choice(FINDINGS, "See the deficiencies"),
    ]
    return Prompt(
        MENU + done.of,
        f"{_name(record, done)} is complete. What next?",
        "choice",
        tuple(choices),
        default=choices[0].value if is_fresh else None,
        default_from=OFFERED if is_fresh else "",
        can_skip=False,
    )


def choose(
    record: Record, done: Subject, way: str, is_open: Callable[[Subject], bool]
) -> tuple[Subject, str]:
    """Go the chosen way: the subject to go to, and the prompt to put there ("" for the next)."""
    if way == OPEN:
        # Looked for only when asked: over a large record it takes a moment.
        for subject in record.house.subjects.values():
            if subject is not done and is_open(subject):
                return subject, ""
        raise Refused("nothing else is open")
    if way == ALIKE and isinstance(done, Outlet):
        return add_alike(record, done), ""
    if way == "next":
        room = room_near(record, done)
        return add_outlet(record, room, next_outlet_id(record, room)), ""
    if way.startswith(GO):
        of, _, id = way.removeprefix(GO).partition(":")
        return record.house.subjects[of, id], ""
    if way.startswith(NEW):
        # Looked at beforehand, so that what cannot be added is refused here.
        new_prompt(record, way.removeprefix(NEW), done)
        return done, way
    raise Refused("choose one of these")


def _ways(record: Record, done: Subject) -> list[Choice]:
    session = record.session
    circuit = Choice(NEW + "circuit", "Next circuit of this panel")
    room = Choice(NEW + "room", "Another room or area")
    if isinstance(done, Panel):
        return [circuit, Choice(NEW + "panel", "Another panel"), *_to_rooms(record)]
    if isinstance(done, Circuit):
        return [circuit, *_to_rooms(record)]
    if isinstance(done, Room | Outlet) and session.circuits:
        here = room_near(record, done)
        offered = next_outlet_id(record, here)
        alike = [Choice(ALIKE, f"The same again: {offered} like {done.id}, but for readings")]
        return [
            Choice("next", f"Next outlet in {here.name}: {offered}"),
            *(alike if isinstance(done, Outlet) else []),
            Choice(NEW + "outlet", "Next outlet, with an id of my own"),
            room,
        ]
    return [room]


def _to_rooms(record: Record) -> list[Choice]:
    rooms = record.session.rooms
    if not rooms:
        return [Choice(NEW + "room", "On to the rooms")]
    return [Choice(f"{GO}room:{rooms[-1].id}", f"Back to {rooms[-1].name}")]


def _name(record: Record, subject: Subject) -> str:
    if isinstance(subject, Circuit):
        return f"Circuit {record.session.reference(subject)}"
    if isinstance(subject, Room):
        return subject.name
    if subject.of == "dwelling":
        return "The dwelling"
    return f"{subject.of.capitalize()} {subject.id}"
