"""Checks that a record holds together: ids are unique, and whatever is named is there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, Generic, TypeAlias

from walkthrough.rulebook.problems import nearest
from walkthrough.survey.model import (
    COMMON,
    PANEL,
    AnySubject,
    Circuit,
    Outlet,
    Panel,
    Room,
    Session,
    Subject,
    Unit,
)

Path: TypeAlias = tuple[str | int, ...]
Slip: TypeAlias = tuple[Path, str]
"""Where in the file something is wrong, as a path of keys, and what."""


class _Names(Generic[AnySubject]):
    """What the subjects of one kind can be called, and which of their names are clear."""

    def __init__(self, session: Session, kind: str, subjects: Sequence[AnySubject]) -> None:
        self.kind = kind
        self._session = session
        self._subjects = subjects
        if not session.units and kind != "circuit":
            self.clear = {each.id: each for each in subjects}
            return
        # Counted by home: twins within one home are told as such, not as unclear names.
        homes = Counter(id for _, id in {(_home(session, each), each.id) for each in subjects})
        full: dict[str, list[AnySubject]] = {}
        for each in subjects:
            for name in session.names(each)[1:]:
                full.setdefault(name, []).append(each)
        self.clear = {
            name: means[-1]
            for name, means in full.items()
            if len({_home(session, each) for each in means}) == 1
        } | {each.id: each for each in subjects if homes[each.id] == 1}

    def unclear(self, name: str) -> list[str]:
        """What a name that means several may mean, each clearly; nothing where it means none."""
        if name in self.clear:
            return []
        means = (each for each in self._subjects if name in self._session.names(each))
        clearly = {self._session.reference(each) for each in means}
        # What stands under an unclear name itself cannot be named before that is mended.
        return sorted(clearly & self.clear.keys())

    def missing(self, path: Path, name: str, or_else: str = "") -> Iterator[Slip]:
        """What is wrong with a name that does not clearly mean one of these.

        `or_else` is a word that may stand there as well.
        """
        if name in self.clear:
            return
        full = self.unclear(name)
        if full:
            homes = "panels" if self.kind == "circuit" else "units"
            yield path, f"{self.kind} '{name}' is in several {homes}; expected {' or '.join(full)}"
        elif or_else:
            hint = nearest(name, [*self.clear, or_else])
            yield (
                path,
                f"there is no {self.kind} '{name}'; expected '{or_else}' or the id of the "
                f"{self.kind} that feeds this one; {hint}",
            )
        else:
            yield from _absent(path, self.kind, name, self.clear)


class _All:
    """The names of all kinds."""

    def __init__(self, session: Session) -> None:
        self.panels = _Names(session, "panel", session.panels)
        self.circuits = _Names(session, "circuit", session.circuits)
        self.rooms = _Names(session, "room", session.rooms)
        self.outlets = _Names(session, "outlet", session.outlets)


def _home(session: Session, subject: Subject) -> str:
    """Within what an id must be its own: the panel of a circuit, else the unit."""
    return subject.panel if isinstance(subject, Circuit) else session.unit_of(subject)


def check_references(session: Session, answered: Subject | None = None) -> list[Slip]:
    """Every id that stands twice or names nothing, and every loop in what feeds what.

    `answered` is given where nothing but answers of that subject changed since nothing was wrong.
    """
    if answered is not None:
        return list(_both_ways(session, answered))
    units = list(_units(session))
    if units:
        # Which names are clear hangs on the units.
        return [*units, *_both_ways(session)]
    names = _All(session)
    slips = [
        *_twins(session, "panel", session.panels),
        *_twins(session, "room", session.rooms),
        *_twins(session, "outlet", session.outlets),
        *_circuits(session, names),
        *_outlets(session, names),
        *_trips(session, names),
        *_both_ways(session),
    ]
    if not slips:
        slips = [
            *_mistakable(session, names),
            *_outlet_loops(session, names),
            *_panel_loops(session, names),
        ]
    return slips


def _units(session: Session) -> Iterator[Slip]:
    """Units that cannot be named, and names of units that are not there."""
    yield from _twins(session, "unit", session.units)
    for number, unit in enumerate(session.units):
        if unit.id in (COMMON, session.dwelling.id):
            yield ("unit", number, "id"), f"'{unit.id}' cannot be a unit; expected another id"
        elif "/" in unit.id:
            yield ("unit", number, "id"), f"found '{unit.id}'; expected an id without '/'"
    known = [unit.id for unit in session.units]
    kinds: tuple[tuple[str, Sequence[Panel | Room]], ...] = (
        ("panel", session.panels),
        ("room", session.rooms),
    )
    for kind, subjects in kinds:
        for number, subject in enumerate(subjects):
            if subject.unit:
                yield from _absent((kind, number, "unit"), "unit", subject.unit, known)


def _twins(session: Session, kind: str, subjects: Sequence[Subject]) -> Iterator[Slip]:
    if not session.units and len({each.id for each in subjects}) == len(subjects):
        return
    seen = set()
    for number, subject in enumerate(subjects):
        if session.units and isinstance(subject, Outlet) and session.room(subject.room) is None:
            # Told where the room is looked for; without it nobody knows the unit.
            continue
        here = ("" if isinstance(subject, Unit) else session.unit_of(subject), subject.id)
        if here in seen:
            where = f" in unit '{here[0]}'" if here[0] else ""
            yield (
                (kind, number, "id"),
                f"{kind} '{subject.id}' stands here a second time{where}; "
                "expected an id of its own",
            )
        seen.add(here)


def _absent(path: Path, kind: str, id: str, known: Iterable[str]) -> Iterator[Slip]:
    known = list(known)
    if id not in known:
        hint = nearest(id, known)
        yield path, f"there is no {kind} '{id}'; expected the id of one in this record; {hint}"


def _circuits(session: Session, names: _All) -> Iterator[Slip]:
    for number, panel in enumerate(session.panels):
        if panel.fed_from:
            yield from names.circuits.missing(("panel", number, "fed_from"), panel.fed_from)
    seen = set()
    for number, circuit in enumerate(session.circuits):
        path: Path = ("circuit", number)
        yield from names.panels.missing((*path, "panel"), circuit.panel)
        panel_here = names.panels.clear.get(circuit.panel)
        here = (circuit.panel if panel_here is None else id(panel_here), circuit.id)
        if here in seen:
            yield (
                (*path, "id"),
                f"panel '{circuit.panel}' has a circuit '{circuit.id}' already; "
                "expected an id of its own within the panel",
            )
        seen.add(here)
        if circuit.shares_neutral_with:
            where = (*path, "shares_neutral_with")
            yield from names.circuits.missing(where, circuit.shares_neutral_with)
            if names.circuits.clear.get(circuit.shares_neutral_with) is circuit:
                yield where, f"circuit '{circuit.id}' shares with itself; expected another circuit"


def _mistakable(session: Session, names: _All) -> Iterator[Slip]:
    """Subjects that cannot be named, because the bare id of another reads like their reference."""
    kinds: list[_Names[Any]] = [names.circuits]
    if session.units:
        kinds += [names.panels, names.rooms, names.outlets]
    for each in kinds:
        subjects = session.all_of(each.kind)
        if not any("/" in subject.id for subject in subjects):
            continue
        for number, subject in enumerate(subjects):
            reference = session.reference(subject)
            if each.clear[reference] is not subject:
                yield (
                    (each.kind, number, "id"),
                    f"'{reference}' also means another {each.kind}; "
                    "expected an id without '/' for that",
                )


def _outlets(session: Session, names: _All) -> Iterator[Slip]:
    for number, outlet in enumerate(session.outlets):
        path: Path = ("outlet", number)
        if outlet.id == PANEL:
            yield (*path, "id"), f"'{PANEL}' cannot be an outlet; expected another id"
        yield from names.rooms.missing((*path, "room"), outlet.room)
        yield from names.circuits.missing((*path, "circuit"), outlet.circuit)
        if outlet.fed_from not in ("", PANEL):
            yield from names.outlets.missing((*path, "fed_from"), outlet.fed_from, PANEL)


def _trips(session: Session, names: _All) -> Iterator[Slip]:
    circuits, outlets = names.circuits, names.outlets
    for number, trip in enumerate(session.trips):
        path: Path = ("trip", number)
        at = (*path, "at")
        if trip.action == "breaker off":
            yield from circuits.missing(at, trip.at)
        elif trip.action == "plug-in tester":
            yield from outlets.missing(at, trip.at)
        elif trip.at not in circuits.clear and trip.at not in outlets.clear:
            unclear = next((each for each in (outlets, circuits) if each.unclear(trip.at)), None)
            known = [*outlets.clear, *circuits.clear]
            yield from (
                unclear.missing(at, trip.at)
                if unclear is not None
                else _absent(at, "outlet or circuit", trip.at, known)
            )
        for key, ids in (("went_dead", trip.went_dead), ("stayed_live", trip.stayed_live)):
            for place, id in enumerate(ids):
                yield from outlets.missing((*path, key, place), id)
        for id in sorted(set(trip.went_dead) & set(trip.stayed_live)):
            yield path, f"outlet '{id}' went dead and stayed live; expected one of the two"


def _both_ways(session: Session, only: Subject | None = None) -> Iterator[Slip]:
    """Questions that are answered twice, or answered and marked as not to be told."""
    for path, subject in subjects_with_paths(session):
        if only is not None and subject is not only:
            continue
        # Seldom anything is wrong, and this is looked for at each save.
        if subject.answers.keys().isdisjoint(subject.readings) and not subject.cannot_tell:
            continue
        for question in sorted(subject.answers.keys() & subject.readings.keys()):
            yield (
                (*path, "readings", question),
                f"'{question}' stands among the answers too; expected it once",
            )
        for place, question in enumerate(subject.cannot_tell):
            if subject.answer(question) is not None:
                yield (
                    (*path, "cannot_tell", place),
                    f"'{question}' is answered too; expected it in one place only",
                )


def subjects_with_paths(session: Session) -> Iterator[tuple[Path, Subject]]:
    """Every subject of the record with the path of its table in the file."""
    yield ("dwelling",), session.dwelling
    groups: tuple[tuple[str, Sequence[Subject]], ...] = (
        ("unit", session.units),
        ("panel", session.panels),
        ("circuit", session.circuits),
        ("room", session.rooms),
        ("outlet", session.outlets),
    )
    for key, group in groups:
        for number, subject in enumerate(group):
            yield (key, number), subject


def _outlet_loops(session: Session, names: _All) -> Iterator[Slip]:
    known = names.outlets.clear
    called = session.references(session.outlets)
    names_of = {id(outlet): name for name, outlet in called.items()}
    feeds = {
        name: names_of.get(id(known[outlet.fed_from]))
        for name, outlet in called.items()
        if outlet.fed_from in known
    }
    places = {name: number for number, name in enumerate(called)}
    return _loops("outlet", list(called), feeds.get, places)


def _panel_loops(session: Session, names: _All) -> Iterator[Slip]:
    panels, circuits = names.panels.clear, names.circuits.clear
    called = session.references(session.panels)
    feeds = {
        name: session.reference(panels[circuits[panel.fed_from].panel])
        for name, panel in called.items()
        if panel.fed_from
    }
    places = {name: number for number, name in enumerate(called)}
    return _loops("panel", list(places), feeds.get, places)


def _loops(
    kind: str,
    ids: Sequence[str],
    feeder: Callable[[str], str | None],
    places: Mapping[str, int],
) -> Iterator[Slip]:
    """Each loop once, told at its member that stands first in the file."""
    cleared: set[str] = set()
    for start in ids:
        way: list[str] = []
        here: str | None = start
        while here is not None and here in places and here not in cleared and here not in way:
            way.append(here)
            here = feeder(here)
        if here is not None and here in way:
            loop = way[way.index(here) :]
            told = " from ".join([*loop, loop[0]])
            yield (
                (kind, places[loop[0]], "fed_from"),
                f"{kind} {told}: the feed runs in a circle; expected it to come from the panel",
            )
        cleared.update(way)
