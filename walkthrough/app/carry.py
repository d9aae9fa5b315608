"""The answer of the subject before, offered again where a question says so."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from walkthrough.app.feeds import is_same_circuit
from walkthrough.app.record import Record
from walkthrough.survey.model import AnswerValue, Outlet, Room, Subject


def carried(record: Record, subject: Subject, word: str) -> AnswerValue | None:
    """What the nearest subject entered before answered to the same question, if it carries."""
    question = record.question(word)
    if question.carry == "never" or question.reading:
        return None
    if question.carry == "room" and isinstance(subject, Room):
        # What goes by the room says nothing of another one: the yard is not as dry as the bedroom.
        return None
    for other in _before(record, subject):
        if isinstance(subject, Outlet) and isinstance(other, Outlet):
            if question.carry == "room" and other.room != subject.room:
                continue
            if question.carry == "circuit" and not is_same_circuit(
                record.session, other.circuit, subject.circuit
            ):
                continue
        answer = other.answer(word)
        if answer is not None:
            return answer
    return None


def copied(record: Record, like: Outlet, room: Room, circuit: str) -> list[str]:
    """The questions whose answers "the same again" takes over into a room, on a circuit.

    No readings, nothing that was seen at that very point, in another room nothing that goes by the
    room, and on another circuit nothing that goes by the circuit. What could not be told there is
    not asked again either, unless that was because it could not be reached or tested.
    """
    session = record.session
    is_elsewhere = session.room(like.room) is not room
    is_other_circuit = not is_same_circuit(session, like.circuit, circuit)
    kept: list[str] = []
    for word in (*like.answers, *(() if like.limits else like.cannot_tell)):
        question = record.question(word)
        goes_by_room = question.of_its_room or question.carry == "room" or "room" in question.of
        by_room = is_elsewhere and goes_by_room
        by_circuit = is_other_circuit and question.carry == "circuit"
        if not (question.reading or question.here_only or by_room or by_circuit):
            kept.append(word)
    return sorted(kept)


def told_by_name(record: Record, room: Room, word: str) -> AnswerValue | None:
    """What the name of a room lets expect; the word that stands last in it counts most."""
    found: tuple[tuple[int, int], AnswerValue] | None = None
    for template in record.book.room_templates.values():
        if word not in template.answers:
            continue
        for each in template.words:
            at = re.search(rf"\b{re.escape(each)}\b", room.name.casefold())
            place = (at.end(), len(each)) if at is not None else None
            if place is not None and (found is None or place > found[0]):
                found = place, template.answers[word]
    return found[1] if found is not None else None


def _before(record: Record, subject: Subject) -> Iterator[Subject]:
    session = record.session
    kinds: dict[str, Sequence[Subject]] = {
        "outlet": session.outlets,
        "room": session.rooms,
        "circuit": session.circuits,
        "panel": session.panels,
    }
    before: list[Subject] = []
    for each in kinds.get(subject.of, ()):
        if each is subject:
            break
        before.append(each)
    yield from reversed(before)
