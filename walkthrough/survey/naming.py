"""Keeps references clear while subjects come and go: each is as short as it can be."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import Any, NamedTuple

from walkthrough.survey.model import (
    PANEL,
    Circuit,
    Outlet,
    Panel,
    Room,
    Session,
    Subject,
    Trip,
    Unit,
)

KINDS = ("panel", "circuit", "room", "outlet")
"""The kinds of subject that are named by references."""


class Place(NamedTuple):
    """One place in a record that names a subject, and the kinds that it may be, the likest first.

    `number` is its place where the field is a list.
    """

    holder: Any
    field: str
    kinds: tuple[str, ...]
    number: int | None = None

    @property
    def name(self) -> str:
        """The name that stands there, "" for none."""
        held = getattr(self.holder, self.field)
        return str(held if self.number is None else held[self.number])

    def put(self, name: str) -> None:
        """Write another name there."""
        if self.number is None:
            setattr(self.holder, self.field, name)
        else:
            getattr(self.holder, self.field)[self.number] = name


def add(session: Session, subject: Subject) -> None:
    """Add a subject; names that it would make unclear are written out."""
    with _names_kept_beside(session, subject):
        _home(session, subject).append(subject)


def take_out(session: Session, subject: Subject) -> None:
    """Take a subject out; names that need not be written out any more become short."""
    with _names_kept_beside(session, subject):
        home = _home(session, subject)
        del home[next(number for number, each in enumerate(home) if each is subject)]


def shorten(session: Session) -> None:
    """Write every clear name of a record with units as short as it can be.

    Who writes a record by hand may name the unit everywhere; from here on there is one name.
    """
    if session.units:
        short = _short(session)
        for place, subject in _named(session):
            place.put(short[id(subject)])


@contextlib.contextmanager
def names_kept(session: Session) -> Iterator[None]:
    """Within this the units and ids of a record may change; what was named stays named."""
    before, held = _short(session), _named(session)
    yield
    now = _short(session)
    for place, subject in held:
        name = now.get(id(subject), "")
        if name and name != before[id(subject)]:
            place.put(name)


def _names_kept_beside(
    session: Session, subject: Subject
) -> contextlib.AbstractContextManager[None]:
    """As `names_kept`; where nothing else has its id, no name can change."""
    alike = any(
        each.id == subject.id and each is not subject for each in session.all_of(subject.of)
    )
    return names_kept(session) if alike else contextlib.nullcontext()


def _short(session: Session) -> dict[int, str]:
    return {
        id(subject): name
        for kind in KINDS
        for name, subject in session.references(session.all_of(kind)).items()
    }


def _home(session: Session, subject: Subject) -> list[Any]:
    match subject:
        case Unit():
            return session.units
        case Panel():
            return session.panels
        case Circuit():
            return session.circuits
        case Room():
            return session.rooms
        case Outlet():
            return session.outlets
    raise TypeError(f"a {subject.of} is neither added nor taken out")


def _named(session: Session) -> list[tuple[Place, Subject]]:
    """Every place that names something clearly, with what it names."""
    # Most names are the short ones; they are looked up, the others are searched for.
    short = {kind: session.references(session.all_of(kind)) for kind in KINDS}
    found: list[tuple[Place, Subject]] = []
    for place in _places(session):
        name = place.name
        kinds = [kind for kind in place.kinds if name and kind in KINDS]
        meant = (short[kind].get(name) or session.meant(kind, name) for kind in kinds)
        subject = next((each for each in meant if each is not None), None)
        if subject is not None:
            found.append((place, subject))
    return found


def _places(session: Session) -> Iterator[Place]:
    for panel in session.panels:
        yield Place(panel, "fed_from", ("circuit",))
    for circuit in session.circuits:
        yield Place(circuit, "panel", ("panel",))
        yield Place(circuit, "shares_neutral_with", ("circuit",))
    for outlet in session.outlets:
        yield Place(outlet, "room", ("room",))
        yield Place(outlet, "circuit", ("circuit",))
        if outlet.fed_from != PANEL:
            yield Place(outlet, "fed_from", ("outlet",))
    for trip in session.trips:
        yield Place(trip, "at", kinds_at(trip))
        for field in ("went_dead", "stayed_live"):
            for number in range(len(getattr(trip, field))):
                yield Place(trip, field, ("outlet",), number)
    for finding in session.findings:
        yield Place(finding, "subject", (finding.of,))
    for limit in session.limits:
        # A text of one's own; now and then it is just the name of something.
        yield Place(limit, "subject", ("outlet", "circuit", "panel", "room"))


def kinds_at(trip: Trip) -> tuple[str, ...]:
    """What can be named as the place of a trip test, the likest first."""
    only = {"breaker off": ("circuit",), "plug-in tester": ("outlet",)}
    return only.get(trip.action, ("outlet", "circuit"))
