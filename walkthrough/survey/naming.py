"""Keeps references clear while subjects come and go: each is as short as it can be."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from walkthrough.survey.model import (
    COMMON,
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

KINDS = ("panel", "room", "circuit", "outlet")
"""The kinds of subject that are named by references; what others belong to comes first."""


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
    """Add a subject; names that it would make unclear are written out, also its own."""
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
        short = {id(each): name for kind in KINDS for name, each in _called(session, kind)}
        for place, subject in _named(session):
            place.put(short[id(subject)])


@contextlib.contextmanager
def names_kept(session: Session, coming: Subject | None = None) -> Iterator[None]:
    """Within this the units and ids of a record may change; what was named stays named.

    `coming` is a subject that is not there yet, with names as they are now.
    """
    before = {id(each): name for kind in KINDS for name, each in _called(session, kind)}
    held = _named(session, () if coming is None else _places_in(coming))
    yield
    for kind in KINDS:
        # One kind after the other: the unit of an outlet is that of its room, which must be clear.
        now = {id(each): name for name, each in _called(session, kind)}
        for place, subject in held:
            name = now.get(id(subject), "")
            if name and name != before.get(id(subject)):
                place.put(name)


def follow_findings(before: Session, now: Session) -> None:
    """Name what findings tell of as the record names it now, where it is another state of it."""
    for finding in now.findings:
        subject = before.meant(finding.of, finding.subject)
        if subject is None:
            continue
        full = before.names(subject)[-1]
        meant = now.meant(finding.of, full if now.units else full.removeprefix(f"{COMMON}/"))
        if meant is not None:
            finding.subject = now.reference(meant)


def _names_kept_beside(
    session: Session, subject: Subject
) -> contextlib.AbstractContextManager[None]:
    """As `names_kept`; where nothing else has its id, no name can change."""
    alike = any(
        each.id == subject.id and each is not subject for each in session.all_of(subject.of)
    )
    return names_kept(session, subject) if alike else contextlib.nullcontext()


def _called(session: Session, kind: str) -> Iterable[tuple[str, Subject]]:
    return session.references(session.all_of(kind)).items()


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


def _named(session: Session, also: Iterable[Place] = ()) -> list[tuple[Place, Subject]]:
    """Every place that names something clearly, with what it names."""
    # Most names are the short ones; they are looked up, the others are searched for.
    short = {kind: session.references(session.all_of(kind)) for kind in KINDS}
    found: list[tuple[Place, Subject]] = []
    for place in (*_places(session), *also):
        name = place.name
        kinds = [kind for kind in place.kinds if name and kind in KINDS]
        meant = (short[kind].get(name) or session.meant(kind, name) for kind in kinds)
        subject = next((each for each in meant if each is not None), None)
        if subject is not None:
            found.append((place, subject))
    return found


def _places_in(subject: Subject) -> Iterator[Place]:
    match subject:
        case Panel():
            yield Place(subject, "fed_from", ("circuit",))
        case Circuit():
            yield Place(subject, "panel", ("panel",))
            yield Place(subject, "shares_neutral_with", ("circuit",))
        case Outlet():
            yield Place(subject, "room", ("room",))
            yield Place(subject, "circuit", ("circuit",))
            if subject.fed_from != PANEL:
                yield Place(subject, "fed_from", ("outlet",))


def _places(session: Session) -> Iterator[Place]:
    for subject in session.subjects():
        yield from _places_in(subject)
    for trip in session.trips:
        yield Place(trip, "at", kinds_at(trip))
        for field in ("went_dead", "stayed_live"):
            for number in range(len(getattr(trip, field))):
                yield Place(trip, field, ("outlet",), number)
    for finding in session.findings:
        yield Place(finding, "subject", (finding.of,))
    for recheck in session.rechecks:
        yield Place(recheck, "subject", (recheck.of,))
    for limit in session.limits:
        # A text of one's own; now and then it is just the name of something.
        yield Place(limit, "subject", ("outlet", "circuit", "panel", "room"))


def kinds_at(trip: Trip) -> tuple[str, ...]:
    """What can be named as the place of a trip test, the likest first."""
    only = {"breaker off": ("circuit",), "plug-in tester": ("outlet",)}
    return only.get(trip.action, ("outlet", "circuit"))
