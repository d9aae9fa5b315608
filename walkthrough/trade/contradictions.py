"""Where a trip test and the record cannot both be right."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from walkthrough.survey.model import Circuit, Outlet, Trip
from walkthrough.trade.inference import conflicts
from walkthrough.trade.protection import Tracer
from walkthrough.trade.trip_tests import noted


@dataclass(frozen=True)
class Contradiction:
    """What is told of `outlet`, or of a circuit, that does not go with what is told at `at`."""

    at: str
    outlet: str
    says: str


def contradictions(tracer: Tracer) -> list[Contradiction]:
    """Every trip test that the recorded wiring, circuits or readings do not allow."""
    found: list[Contradiction] = []
    wiring = tracer.wiring
    for trip in wiring.session.trips:
        both = set(trip.went_dead) & set(trip.stayed_live)
        found += [
            Contradiction(trip.at, each, "recorded both as dead and as live") for each in both
        ]
        device = wiring.outlets.get(trip.at)
        if device is not None and trip.action == "test button":
            found += _against_tree(tracer, device, trip.went_dead, trip.stayed_live)
        circuit = wiring.circuits.get(trip.at) if device is None else None
        if circuit is not None:
            found += _against_circuit(tracer, circuit, trip)
    return found + _across_circuits(tracer) + _between_tests(tracer) + _between_devices(tracer)


def _between_tests(tracer: Tracer) -> list[Contradiction]:
    """Outlets that died in one test of a device and stayed live in another."""
    found: list[Contradiction] = []
    for trips in tracer.wiring.tests.values():
        opened = [trip for trip in trips if trip.went_dead]
        dead = {each for trip in opened for each in trip.went_dead}
        live = {each for trip in trips for each in trip.stayed_live if opened}
        twice = {each for trip in trips for each in set(trip.went_dead) & set(trip.stayed_live)}
        found += [
            Contradiction(trips[0].at, each, "died in one test and stayed live in another")
            for each in sorted(dead & live - twice)
        ]
    return found


def _between_devices(tracer: Tracer) -> list[Contradiction]:
    """Tests of several devices that no wiring allows together, whatever the record says of it."""
    return [
        Contradiction(clash.devices[0], clash.outlets[0], clash.says)
        for circuit in tracer.wiring.session.circuits
        for clash in conflicts(*noted(tracer, circuit))
        if len(clash.devices) > 1
    ]


def _across_circuits(tracer: Tracer) -> list[Contradiction]:
    wiring = tracer.wiring
    return [
        Contradiction(
            outlet.fed_from,
            wiring.name(outlet),
            f"is fed from {outlet.fed_from}, which is on another circuit",
        )
        for outlet in wiring.session.outlets
        if (feeder := wiring.outlets.get(outlet.fed_from)) is not None
        and wiring.circuit_of(feeder) is not wiring.circuit_of(outlet)
    ]


def _against_tree(
    tracer: Tracer, device: Outlet, dead: Collection[str], live: Collection[str]
) -> list[Contradiction]:
    found: list[Contradiction] = []
    name, credit = tracer.wiring.name(device), tracer.recorded_credit(device)
    own_dead = name in dead
    if credit == "good" and name in live:
        says = "its TEST is recorded as good, but its own face stayed live"
        found.append(Contradiction(name, name, says))
    if credit in ("failed", "miswired") and own_dead:
        says = "its TEST is recorded as bad, but its own face went dead"
        found.append(Contradiction(name, name, says))
    for each in dead:
        outlet = tracer.wiring.outlets.get(each)
        if outlet is not None and outlet is not device and _hangs(tracer, device, outlet) is False:
            says = f"died on the test of {name}, but is not recorded on its LOAD side"
            found.append(Contradiction(name, each, says))
    for each in live if dead or credit == "good" else ():
        outlet = tracer.wiring.outlets.get(each)
        if outlet is not None and outlet is not device and _hangs(tracer, device, outlet):
            says = f"stayed live on the test of {name}, but is recorded on its LOAD side"
            found.append(Contradiction(name, each, says))
    return found


def _against_circuit(tracer: Tracer, circuit: Circuit, trip: Trip) -> list[Contradiction]:
    wrong = [
        Contradiction(trip.at, each, f"died with {trip.at} off, but is recorded on another circuit")
        for each in trip.went_dead
        if not _is_fed_through(tracer, circuit, each)
    ]
    # A breaker whose TEST does nothing leaves its outlets live; one that opened does not.
    opened = (
        trip.action == "breaker off"
        or bool(trip.went_dead)
        or tracer.recorded_breaker_credit(circuit) == "good"
    )
    wrong += [
        Contradiction(trip.at, each, f"stayed live with {trip.at} off, but is recorded on it")
        for each in trip.stayed_live
        if opened and _is_fed_through(tracer, circuit, each)
    ]
    return wrong


def _is_fed_through(tracer: Tracer, circuit: Circuit, outlet_id: str) -> bool:
    outlet = tracer.wiring.outlets.get(outlet_id)
    own = tracer.wiring.circuit_of(outlet) if outlet is not None else None
    return own is not None and any(each is circuit for each in tracer.wiring.feeders(own))


def _hangs(tracer: Tracer, device: Outlet, outlet: Outlet) -> bool | None:
    """Whether the recorded tree puts an outlet behind a device's LOAD terminals."""
    for step in tracer.wiring.upstream(outlet):
        if step.outlet is device:
            return step.side == "load"
    return False if tracer.wiring.path_is_known(outlet) else None
