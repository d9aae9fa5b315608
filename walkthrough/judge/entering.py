"""What shows in the order of a record of how far it was entered."""

from __future__ import annotations

from walkthrough.survey.model import Subject
from walkthrough.trade.wiring import Wiring


def is_left(wiring: Wiring, room: Subject) -> bool:
    """Whether whoever entered the outlets of a room went on to another one.

    That shows where the last outlet of the record is in another room and the room has one. Where
    rooms are entered before any outlet, a room without one is left once a later room has one.
    """
    where = [wiring.rooms.get(each.room) for each in wiring.session.outlets]
    if any(each is room for each in where) and where[-1] is not room:
        return True
    order = [id(each) for each in wiring.session.rooms]
    later = set(order[order.index(id(room)) + 1 :])
    return any(id(each) in later for each in where)
