"""What is asked about the shape of the record itself, and in which order."""

from __future__ import annotations

from walkthrough.app.not_tested import OTHER_REASON
from walkthrough.app.photos import PHOTOS
from walkthrough.app.record import Record
from walkthrough.judge.traced import device_tables
from walkthrough.survey.model import Circuit, Outlet, Panel, Room, Subject, Unit

UNIT = "unit"
FIELD = "field:"
"""Prompts about the shape of the record have ids that begin so."""
NOTE = "note"
"""A field that is never asked for, but can be filled in."""
_FIELDS: dict[str, tuple[str, ...]] = {
    "panel": ("name", "fed_from"),
    "circuit": ("serves", "shares_neutral_with"),
    "room": ("name",),
    "outlet": (
        "circuit",
        "at",
        "fed_from",
        "side",
        "order_known_by",
        "state",
        "reason",
        "in_words",
    ),
}


class Refused(Exception):
    """An answer that the record cannot take; says why."""


def fields_of(record: Record, subject: Subject) -> tuple[str, ...]:
    """The names of what can be told about the shape of a subject, its note and its pictures."""
    own = ("name",) if isinstance(subject, Unit) else _FIELDS.get(subject.of, ())
    if isinstance(subject, Outlet):
        # A reason belongs to something that was not tested; its words are told with it.
        without = ("in_words",) if subject.limits else ("in_words", "reason")
        own = tuple(name for name in own if name not in without)
    # Where it was put in is never asked again, but it can be changed.
    moves = record.session.units and isinstance(subject, Panel | Room)
    pictures = (PHOTOS,) if subject.photos else ()
    return (*own, *((UNIT,) if moves else ()), NOTE, *pictures)


def open_field(record: Record, subject: Subject, passed: set[str]) -> str | None:
    """The next thing to ask about the shape of a subject; `passed` was put in this sitting.

    Once an ordinary question was answered, the shape counts as told: only the reason of a limit,
    the partner of a shared neutral, and the ground of a feed told just now are still asked.
    """
    names = _FIELDS.get(subject.of, ())
    started = bool(subject.answers or subject.readings or subject.cannot_tell)
    done = {name for name in names if _is_set(subject, name)}
    told = max((names.index(name) for name in done), default=-1)
    for number, name in enumerate(names):
        if name in passed or name in done or not _makes_sense(record, subject, name):
            continue
        late = name in ("reason", "in_words", "shares_neutral_with") or (
            name in ("side", "order_known_by")
            and "fed_from" in passed
            and "order_known_by" not in done
        )
        # Copied to hang on the outlet before it: whether on its LOAD is seen only here.
        late = late or (name == "side" and bool(subject.carried) and "fed_from" not in passed)
        if late or not (started or number < told):
            return name
    return None


def _is_set(subject: Subject, name: str) -> bool:
    match subject, name:
        case Outlet(), "state":
            return bool(subject.limits)
        case Outlet(), "reason":
            return any(limit.reason for limit in subject.limits)
        case Outlet(), "circuit" | "in_words":
            return False
        case Outlet(), "side":
            return subject.side != "through"
        case Outlet(), "order_known_by":
            return subject.order_known_by != "unknown"
    return bool(getattr(subject, name))


def _makes_sense(record: Record, subject: Subject, name: str) -> bool:
    match subject, name:
        case Panel(), "fed_from":
            panels = record.session.panels
            return subject is not next(each for each in panels if each.unit == subject.unit)
        case Circuit(), "shares_neutral_with":
            others = len(record.session.circuits) > 1
            return others and subject.answer("shares_neutral") is True
        case Outlet(), "side":
            return _feeder_may_protect(record, subject)
        case Outlet(), "order_known_by":
            return subject.fed_from != ""
        case Outlet(), "reason":
            return bool(subject.limits)
        case Outlet(), "in_words":
            return any(limit.reason == OTHER_REASON for limit in subject.limits)
    return True


def _feeder_may_protect(record: Record, outlet: Outlet) -> bool:
    feeder = record.session.outlet(outlet.fed_from)
    if feeder is None:
        return False
    device = feeder.answer("device")
    return device is None or device_tables(record.book).device.get(str(device), ("",)) != ()
