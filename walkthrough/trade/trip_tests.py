"""The trip tests of one circuit as the record has them, and the order of outlets that they show."""

from __future__ import annotations

from dataclasses import dataclass

from walkthrough.survey.model import PANEL, Circuit, Outlet, Side
from walkthrough.trade.inference import BREAKER, Inference, TripTest, infer
from walkthrough.trade.protection import Tracer

Tested = tuple[list[str], list[str], list[TripTest]]
"""Devices, outlets and tests, as `infer` takes them."""


@dataclass(frozen=True)
class Order:
    """What feeds an outlet of which the record does not say it."""

    outlet: Outlet
    fed_from: str
    side: Side


def inferred(tracer: Tracer, circuit: Circuit) -> Inference:
    """What the trip tests of a circuit tell of its wiring."""
    return infer(*noted(tracer, circuit))


def noted(tracer: Tracer, circuit: Circuit) -> Tested:
    """The devices, outlets and tests of one circuit.

    A device is what the record calls one, or where TEST was pressed. What died with a device of
    the circuit is taken as on it, whatever the record says. A plug-in tester is left out: it does
    not tell which device it made trip.
    """
    wiring = tracer.wiring
    here = wiring.on(circuit)
    devices = [wiring.name(each) for each in here if _is_device(tracer, each)]
    tests = [
        TripTest(device, tuple(trip.went_dead), tuple(trip.stayed_live))
        for device in devices
        for trip in wiring.tests.get(device, ())
    ]
    tests += [
        TripTest(device, *_face(tracer, wiring.outlets[device]))
        for device in devices
        if not any(device in (*test.dead, *test.live) for test in tests if test.at == device)
    ]
    died = (name for test in tests for name in test.dead if name in wiring.outlets)
    outlets = list(dict.fromkeys((*map(wiring.name, here), *died)))
    tests += [
        TripTest(BREAKER, tuple(trip.went_dead), tuple(trip.stayed_live))
        for trip in wiring.session.trips
        if trip.action == "breaker off" and wiring.circuits.get(trip.at) is circuit
    ]
    return devices, outlets, [_only(test, outlets) for test in tests]


def order_shown(tracer: Tracer, circuit: Circuit, told: Inference) -> list[Order]:
    """The feeds that follow from the tests where the record has none.

    A trip test does not show the order within a reach. But where a device reaches one outlet
    alone, or one and besides only what is in the reach of that one, none of the recorded outlets
    can be between the two; and so at the panel, where all hangs on the LOAD side of one device.
    """
    outlets = tracer.wiring.on(circuit)
    names = {tracer.wiring.name(each): each for each in outlets}
    if any(place.outlet not in names for place in told.places):
        return []
    found: list[Order] = []
    for name, each in names.items():
        reach = {name, *told.reach(name)}
        if each.fed_from:
            continue
        if len(reach) > 1 and reach == {place.outlet for place in told.places}:
            found.append(Order(each, PANEL, "through"))
        found += [
            Order(each, device, "load")
            for device, face in told.faces.items()
            if face == "goes dead"
            and told.is_settled(device)
            and name in told.reach(device)
            and reach >= set(told.reach(device))
        ]
    return found


def _is_device(tracer: Tracer, outlet: Outlet) -> bool:
    gives = tracer.tables.device.get(str(outlet.answer("device")), ())
    return bool(gives) or tracer.wiring.name(outlet) in tracer.wiring.tests


def _face(tracer: Tracer, device: Outlet) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What the reading of its own TEST says of its face, where no trip test does."""
    name = tracer.wiring.name(device)
    match tracer.recorded_credit(device):
        case "good":
            return (name,), ()
        case "miswired" | "failed":
            return (), (name,)
        case _:
            return (), ()


def _only(test: TripTest, outlets: list[str]) -> TripTest:
    dead = tuple(each for each in test.dead if each in outlets)
    return TripTest(test.at, dead, tuple(each for each in test.live if each in outlets))
