"""Puts what was answered about the shape of the record, and what follows from it."""

from __future__ import annotations

from walkthrough.app.feeds import is_fed_through, is_same_circuit, starts_below
from walkthrough.app.fields import FIELD, Refused
from walkthrough.app.not_tested import (
    NO_REASON,
    OTHER_REASON,
    STATES,
    TESTED,
    own_words,
    reason_of,
)
from walkthrough.app.photos import add_photo
from walkthrough.app.record import Record
from walkthrough.survey import photos
from walkthrough.survey.model import (
    COMMON,
    UNSEEN,
    AnswerValue,
    Circuit,
    Limit,
    Outlet,
    Panel,
    Room,
    Subject,
)
from walkthrough.survey.naming import names_kept


def set_field(record: Record, subject: Subject, name: str, value: AnswerValue | None) -> None:
    """Put a field, and save; None means that it cannot be told."""
    text = "" if value is None else str(value).strip()
    match subject, name:
        case Outlet(), "state":
            kept = [limit for limit in subject.limits if limit.what not in STATES]
            # Why it was not tested stays told where only the kind of limit is another one.
            fresh = [] if text in (TESTED, "") else [Limit(what=text, reason=reason_of(subject))]
            subject.limits = fresh + kept
            if text in UNSEEN:
                _leave_unseen(subject)
        case Outlet(), "reason" | "in_words":
            _put_reason(subject, text)
        case Outlet(), "fed_from":
            if is_fed_through(record.session, text, subject):
                named = record.session.reference(subject)
                raise Refused(f"{text} is fed from {named}, so it cannot feed it")
            subject.fed_from = text
            subject.side = "through"
            subject.order_known_by = "unknown"
        case Panel(), "fed_from":
            feeder = record.session.circuit(text)
            if feeder is not None and starts_below(record.session, feeder, subject):
                named = record.session.reference(subject)
                raise Refused(f"{text} starts at {named} or below, so it cannot feed it")
            subject.fed_from = text
        case ((Panel() | Room()), "unit"):
            _put_in(record, subject, "" if text == COMMON else text)
        case Circuit(), "shares_neutral_with":
            _share_neutral(record, subject, text)
        case _, "photos":
            try:
                add_photo(record, subject, text)
            except photos.Refused as refused:
                raise Refused(str(refused)) from None
        case Outlet(), "circuit" if text:
            _move(record, subject, text)
        case Outlet(), "side" | "order_known_by":
            setattr(subject, name, text or ("through" if name == "side" else "unknown"))
        case _:
            if name in ("circuit", "name") and not text:
                raise Refused("this cannot be left empty")
            setattr(subject, name, text)
    record.change(subject, FIELD + name)


def _put_reason(outlet: Outlet, text: str) -> None:
    if not outlet.limits:
        raise Refused("it counts as reached and tested; Ctrl+L says first that it was not")
    if text == OTHER_REASON and own_words(outlet):
        # They stay until others are typed.
        return
    reason = text or NO_REASON
    outlet.limits = [outlet.limits[0].model_copy(update={"reason": reason}), *outlet.limits[1:]]


def _put_in(record: Record, subject: Panel | Room, unit: str) -> None:
    """Put a panel or a room into another unit; refused where an id is taken there already."""
    session = record.session
    moved: list[Subject] = [subject]
    if isinstance(subject, Room):
        moved += record.house.children(subject, "outlet")
    for each in moved:
        there = (other for other in session.all_of(each.of) if session.unit_of(other) == unit)
        if any(other.id == each.id and other is not each for other in there):
            raise Refused(f"there is a {each.of} {each.id} in that unit already")
    with names_kept(session):
        subject.unit = unit


def _move(record: Record, outlet: Outlet, circuit: str) -> None:
    """Put an outlet on another circuit: what was copied from one of the old circuit goes."""
    session = record.session
    if not is_same_circuit(session, outlet.circuit, circuit):
        old = [word for word in outlet.carried if record.question(word).carry == "circuit"]
        outlet.answers = {w: told for w, told in outlet.answers.items() if w not in old}
        outlet.cannot_tell = [word for word in outlet.cannot_tell if word not in old]
        outlet.carried = [word for word in outlet.carried if word not in old]
        feeder = session.outlet(outlet.fed_from)
        if feeder is not None and not is_same_circuit(session, feeder.circuit, circuit):
            outlet.fed_from, outlet.side, outlet.order_known_by = "", "through", "unknown"
    outlet.circuit = circuit


def _leave_unseen(outlet: Outlet) -> None:
    """What was copied to an outlet that nobody saw is not known, but for what it is taken to be."""
    gone = [word for word in outlet.carried if word != "point"]
    outlet.answers = {w: told for w, told in outlet.answers.items() if w not in gone}
    outlet.cannot_tell = sorted({*outlet.cannot_tell, *gone})
    outlet.carried = [word for word in outlet.carried if word not in gone]


def _share_neutral(record: Record, circuit: Circuit, partner: str) -> None:
    other = record.session.circuit(partner) if partner else None
    circuit.shares_neutral_with = partner
    if other is not None and not other.shares_neutral_with:
        other.shares_neutral_with = record.session.reference(circuit)
