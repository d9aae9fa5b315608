"""The wiring tree of a record: which outlet hangs on which, on which side, and how surely."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from walkthrough.survey.model import PANEL, Circuit, Outlet, Session, Side, Subject, Trip

# From surest to least sure; a path is only as sure as its weakest step.
CERTAINTIES = ("opened", "observed", "inferred", "told", "unknown")
SURE = ("opened", "observed")


@dataclass(frozen=True)
class Step:
    """One outlet upstream of another: the side on which the lower one is fed from it."""

    outlet: Outlet
    side: Side
    known_by: str


class Wiring:
    """The recorded tree with quick look-ups by reference; it never changes the record."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.trips = session.trips
        """The list out of which it was built: another list is another wiring."""
        self.outlets = session.references(session.outlets)
        self.circuits = session.references(session.circuits)
        self.panels = session.references(session.panels)
        self.rooms = session.references(session.rooms)
        self._names: dict[int, str] = {
            id(subject): name
            for called in (self.outlets, self.circuits, self.panels, self.rooms)
            for name, subject in called.items()
        }
        for circuit in session.circuits:
            self.circuits.setdefault(f"{circuit.panel}/{circuit.id}", circuit)
        self._on_circuit: dict[int, list[Outlet]] = {}
        for outlet in session.outlets:
            fed_by = self.circuits.get(outlet.circuit)
            if fed_by is not None:
                self._on_circuit.setdefault(id(fed_by), []).append(outlet)
        self._upstream: dict[str, tuple[Step, ...]] = {}
        self.tests: dict[str, list[Trip]] = {}
        for trip in session.trips:
            if trip.action == "test button":
                self.tests.setdefault(trip.at, []).append(trip)

    def name(self, subject: Subject) -> str:
        """How the record names a subject."""
        return self._names.get(id(subject)) or self.session.reference(subject)

    def sharing_neutral(self, circuit: Circuit) -> list[Circuit]:
        """A circuit and those that share its neutral, whichever says so, in the record's order."""
        partner = self.circuits.get(circuit.shares_neutral_with)
        return [
            each
            for each in self.session.circuits
            if each is circuit
            or each is partner
            or self.circuits.get(each.shares_neutral_with) is circuit
        ]

    def unit_of(self, subject: Subject) -> str:
        """The id of the dwelling unit that a subject belongs to; "" for what belongs to none."""
        if isinstance(subject, Outlet):
            room = self.rooms.get(subject.room)
            return room.unit if room is not None else ""
        if isinstance(subject, Circuit):
            panel = self.panels.get(subject.panel)
            return panel.unit if panel is not None else ""
        return self.session.unit_of(subject)

    def circuit_of(self, outlet: Outlet) -> Circuit | None:
        return self.circuits.get(outlet.circuit)

    def tests_of(self, circuit: Circuit) -> list[Trip]:
        """The trip tests made at the breaker of a circuit, by whichever name it was noted."""
        names = dict.fromkeys((self.name(circuit), f"{circuit.panel}/{circuit.id}"))
        # Where an outlet has the name of a circuit, a test noted under it was made at the outlet.
        return [
            test for name in names if name not in self.outlets for test in self.tests.get(name, ())
        ]

    def on(self, circuit: Circuit) -> list[Outlet]:
        """The outlets recorded on a circuit, in the order of the record."""
        return self._on_circuit.get(id(circuit), [])

    def upstream(self, outlet: Outlet) -> tuple[Step, ...]:
        """The outlets between this one and its panel, nearest first; ends where not known."""
        name = self.name(outlet)
        if name not in self._upstream:
            self._upstream[name] = tuple(self._walk_up(outlet))
        return self._upstream[name]

    def _walk_up(self, outlet: Outlet) -> Iterator[Step]:
        seen = {self.name(outlet)}
        worst = "opened"
        here = outlet
        while here.fed_from not in ("", PANEL) and here.fed_from not in seen:
            feeder = self.outlets.get(here.fed_from)
            if feeder is None:
                return
            worst = weakest(worst, here.order_known_by)
            yield Step(feeder, here.side, worst)
            seen.add(here.fed_from)
            here = feeder

    def path_is_known(self, outlet: Outlet) -> bool:
        """Whether every step up to the panel is recorded at all, on whatever ground."""
        chain = [outlet, *(step.outlet for step in self.upstream(outlet))]
        return chain[-1].fed_from == PANEL and all(
            each.order_known_by != "unknown" for each in chain
        )

    def first_receptacles(self, circuit: Circuit, is_receptacle: set[str]) -> list[Outlet] | None:
        """The receptacle outlets with no receptacle upstream; None where the order is not known."""
        outlets = self.on(circuit)
        if not all(self.path_is_known(outlet) for outlet in outlets):
            return None
        return [
            outlet
            for outlet in outlets
            if self.name(outlet) in is_receptacle
            and not any(self.name(step.outlet) in is_receptacle for step in self.upstream(outlet))
        ]

    def feeders(self, circuit: Circuit) -> Iterator[Circuit]:
        """The circuit itself, then the feeder of its panel, and so on up to the service."""
        seen: set[int] = set()
        here: Circuit | None = circuit
        while here is not None and id(here) not in seen:
            seen.add(id(here))
            yield here
            panel = self.panels.get(here.panel)
            here = self.circuits.get(panel.fed_from) if panel and panel.fed_from else None


def weakest(*grounds: str) -> str:
    """The least sure of several grounds of knowledge."""
    return max(grounds, key=CERTAINTIES.index)
