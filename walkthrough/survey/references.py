"""Checks that a record holds together: ids are unique, and whatever is named is there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TypeAlias

from walkthrough.rulebook.problems import nearest
from walkthrough.survey.model import PANEL, Circuit, Outlet, Session, Subject

Path: TypeAlias = tuple[str | int, ...]
Slip: TypeAlias = tuple[Path, str]
"""Where in the file something is wrong, as a path of keys, and what."""


def check_references(session: Session) -> list[Slip]:
    """Every id that stands twice or names nothing, and every loop in what feeds what."""
    circuits = _circuit_names(session)
    outlets = {outlet.id: outlet for outlet in session.outlets}
    slips = [
        *_twins("panel", session.panels),
        *_twins("room", session.rooms),
        *_twins("outlet", session.outlets),
        *_circuits(session, circuits),
        *_outlets(session, circuits, outlets),
        *_trips(session, circuits, outlets),
        *_both_ways(session),
    ]
    if not slips:
        slips = [
            *_mistakable(session, circuits),
            *_outlet_loops(session, outlets),
            *_panel_loops(session, circuits),
        ]
    return slips


def _twins(kind: str, subjects: Sequence[Subject]) -> Iterator[Slip]:
    seen = set()
    for number, subject in enumerate(subjects):
        if subject.id in seen:
            yield (
                (kind, number, "id"),
                f"{kind} '{subject.id}' stands here a second time; expected an id of its own",
            )
        seen.add(subject.id)


def _circuit_names(session: Session) -> dict[str, Circuit]:
    """Every circuit reference that is clear, with the circuit it means."""
    names = {f"{each.panel}/{each.id}": each for each in session.circuits}
    # Counted by panel: twins within one panel are told as such, not as unclear references.
    panels = Counter(id for _, id in {(each.panel, each.id) for each in session.circuits})
    return names | {each.id: each for each in session.circuits if panels[each.id] == 1}


def _missing_circuit(path: Path, reference: str, names: Mapping[str, Circuit]) -> Iterator[Slip]:
    if reference in names:
        return
    full = sorted(name for name, each in names.items() if each.id == reference)
    if full:
        yield path, f"circuit '{reference}' is in several panels; expected {' or '.join(full)}"
    else:
        yield from _absent(path, "circuit", reference, names)


def _absent(path: Path, kind: str, id: str, known: Iterable[str]) -> Iterator[Slip]:
    known = list(known)
    if id not in known:
        hint = nearest(id, known)
        yield path, f"there is no {kind} '{id}'; expected the id of one in this record; {hint}"


def _circuits(session: Session, names: Mapping[str, Circuit]) -> Iterator[Slip]:
    panels = [panel.id for panel in session.panels]
    for number, panel in enumerate(session.panels):
        if panel.fed_from:
            yield from _missing_circuit(("panel", number, "fed_from"), panel.fed_from, names)
    seen = set()
    for number, circuit in enumerate(session.circuits):
        path: Path = ("circuit", number)
        yield from _absent((*path, "panel"), "panel", circuit.panel, panels)
        here = (circuit.panel, circuit.id)
        if here in seen:
            yield (
                (*path, "id"),
                f"panel '{circuit.panel}' has a circuit '{circuit.id}' already; "
                "expected an id of its own within the panel",
            )
        seen.add(here)
        if circuit.shares_neutral_with:
            where = (*path, "shares_neutral_with")
            yield from _missing_circuit(where, circuit.shares_neutral_with, names)
            if names.get(circuit.shares_neutral_with) is circuit:
                yield where, f"circuit '{circuit.id}' shares with itself; expected another circuit"


def _mistakable(session: Session, names: Mapping[str, Circuit]) -> Iterator[Slip]:
    """Circuits that cannot be named, because another's bare id reads like PANEL/ID of this one."""
    for number, circuit in enumerate(session.circuits):
        reference = session.reference(circuit)
        if names[reference] is not circuit:
            yield (
                ("circuit", number, "id"),
                f"'{reference}' also means another circuit; expected an id without '/' for that",
            )


def _outlets(
    session: Session, circuits: Mapping[str, Circuit], outlets: Mapping[str, Outlet]
) -> Iterator[Slip]:
    rooms = [room.id for room in session.rooms]
    for number, outlet in enumerate(session.outlets):
        path: Path = ("outlet", number)
        if outlet.id == PANEL:
            yield (*path, "id"), f"'{PANEL}' cannot be an outlet; expected another id"
        yield from _absent((*path, "room"), "room", outlet.room, rooms)
        yield from _missing_circuit((*path, "circuit"), outlet.circuit, circuits)
        if outlet.fed_from and outlet.fed_from not in outlets and outlet.fed_from != PANEL:
            hint = nearest(outlet.fed_from, [*outlets, PANEL])
            yield (
                (*path, "fed_from"),
                f"there is no outlet '{outlet.fed_from}'; expected '{PANEL}' or the id of the "
                f"outlet that feeds this one; {hint}",
            )


def _trips(
    session: Session, circuits: Mapping[str, Circuit], outlets: Mapping[str, Outlet]
) -> Iterator[Slip]:
    for number, trip in enumerate(session.trips):
        path: Path = ("trip", number)
        at = (*path, "at")
        if trip.action == "breaker off":
            yield from _missing_circuit(at, trip.at, circuits)
        elif trip.action == "plug-in tester":
            yield from _absent(at, "outlet", trip.at, outlets)
        elif trip.at not in circuits:
            yield from _absent(at, "outlet or circuit", trip.at, [*outlets, *circuits])
        for key, ids in (("went_dead", trip.went_dead), ("stayed_live", trip.stayed_live)):
            for place, id in enumerate(ids):
                yield from _absent((*path, key, place), "outlet", id, outlets)
        for id in sorted(set(trip.went_dead) & set(trip.stayed_live)):
            yield path, f"outlet '{id}' went dead and stayed live; expected one of the two"


def _both_ways(session: Session) -> Iterator[Slip]:
    """Questions that are answered twice, or answered and marked as not to be told."""
    for path, subject in subjects_with_paths(session):
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
    groups: tuple[Sequence[Subject], ...] = (
        session.panels,
        session.circuits,
        session.rooms,
        session.outlets,
    )
    for group in groups:
        for number, subject in enumerate(group):
            yield (subject.of, number), subject


def _outlet_loops(session: Session, outlets: Mapping[str, Outlet]) -> Iterator[Slip]:
    feeds = {id: outlet.fed_from for id, outlet in outlets.items()}
    places = {outlet.id: number for number, outlet in enumerate(session.outlets)}
    return _loops("outlet", list(outlets), feeds.get, places)


def _panel_loops(session: Session, circuits: Mapping[str, Circuit]) -> Iterator[Slip]:
    feeds = {panel.id: circuits[panel.fed_from].panel for panel in session.panels if panel.fed_from}
    places = {panel.id: number for number, panel in enumerate(session.panels)}
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
