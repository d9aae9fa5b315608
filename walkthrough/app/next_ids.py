"""What the next subject is called, and where it is: its panel, its room, its place in that."""

from __future__ import annotations

import re
from collections import Counter

from walkthrough.app.fields import Refused
from walkthrough.app.record import Record
from walkthrough.survey.model import Panel, Room, Subject


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
    taken = taken_ids(record, "outlet", room.unit)
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


def taken_ids(record: Record, kind: str, unit: str) -> list[str]:
    """The ids that the subjects of a kind have in one unit: there each has its own."""
    session = record.session
    return [each.id for each in session.all_of(kind) if session.unit_of(each) == unit]


def _stem_and_number(id: str) -> tuple[str, int]:
    found = re.fullmatch(r"(.*?)(\d+)", id)
    return (found[1], int(found[2])) if found else (f"{id}-", 0)


def likely_place(record: Record, room: Room) -> str:
    """Where the next outlet of a room is, as long as nobody tells: one goes round it in order."""
    named = record.session.reference(room)
    before = [each.id for each in record.session.outlets if each.room == named]
    return next_after(before[-1]) if before else ""


def next_after(id: str) -> str:
    """The place of an outlet that was entered just after another one of its room."""
    return f"next after {id}"


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
