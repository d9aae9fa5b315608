"""Protection tracing: which outlet is protected, by which device, on what ground.

A device earns credit only when it works (its TEST was recorded good) and is wired right. What a
trip test showed outranks the recorded order of the wiring, and where the two disagree the
contradiction is told. What cannot be known stays unknown: it is never taken for protection.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

from walkthrough.survey.model import Circuit, Outlet
from walkthrough.trade.wiring import SURE, Wiring, weakest

TEST_OF = {
    Outlet.of: ("device", "test_result"),
    Circuit.of: ("breaker", "breaker_test_result"),
}
"""The answer that says which device or breaker it is, and the reading of its own TEST."""

State = Literal["yes", "no", "unknown"]
Credit = Literal["good", "miswired", "failed", "unknown"]
Open = tuple[str, str]
"""A question that would settle something: subject and question id; TRIP_TEST for a probe."""

TRIP_TEST = "trip test"
ORDER = "wiring order"


@dataclass(frozen=True)
class DeviceTables:
    """What the ruleset says of devices; each maps a recorded choice to what it means.

    `device` and `breaker` give the kinds of protection a device can give. `credit` turns a TEST
    result into good, miswired or failed. `points` lists the kinds of point that hold a device,
    each with what it is: a receptacle, or only a device.
    """

    device: Mapping[str, Collection[str]]
    breaker: Mapping[str, Collection[str]]
    credit: Mapping[str, str]
    points: Mapping[str, str]

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of protection that devices and breakers give, each once."""
        rows = (*self.device.values(), *self.breaker.values())
        return tuple(dict.fromkeys(kind for row in rows for kind in row))


class Giver(NamedTuple):
    """What gives protection: the device of an outlet, or the breaker of a circuit.

    An outlet and a circuit may have the same reference, so `of` says which of them it is.
    """

    of: str
    name: str


@dataclass(frozen=True)
class Protection:
    """The protection of one outlet of one kind.

    `givers` are the devices and breakers that protect, `by` their references; `known_by` is the
    ground; `notes` say why candidates earn no credit; `waits_for` what would settle
    an unknown.
    """

    state: State
    givers: tuple[Giver, ...] = ()
    known_by: str = ""
    notes: tuple[str, ...] = ()
    waits_for: tuple[Open, ...] = ()

    @property
    def by(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(each.name for each in self.givers))


@dataclass(frozen=True)
class _Claim:
    state: State
    by: Giver
    known_by: str
    note: str = ""
    waits_for: tuple[Open, ...] = ()


class Tracer:
    """Traces protection over one record; answers are worked out once and kept."""

    def __init__(
        self,
        wiring: Wiring,
        tables: DeviceTables,
        is_void: Callable[[Outlet], bool | None] = lambda _: False,
    ) -> None:
        """`is_void` tells whether a TEST at which nothing happened tells nothing."""
        self.wiring = wiring
        self.tables = tables
        self._is_void = is_void
        self._traced: dict[tuple[str, str], Protection] = {}
        self.receptacle_points = frozenset(
            point for point, holds in tables.points.items() if holds == "receptacle"
        )

    def protection(self, outlet: Outlet, kind: str) -> Protection:
        """Whether a kind of protection can be credited to an outlet."""
        key = (self.wiring.name(outlet), kind)
        if key not in self._traced:
            self._traced[key] = self._trace(outlet, kind)
        return self._traced[key]

    def device_credit(self, outlet: Outlet) -> Credit:
        """Whether a device works and is wired right: its own reading, else the trip tests."""
        recorded, shown = self.recorded_credit(outlet), self.shown_credit(outlet)
        if recorded is None or shown is None:
            return recorded or shown or "unknown"
        # A reading and a trip test that disagree are told as a contradiction and earn nothing.
        return recorded if recorded == shown or recorded != "good" else "unknown"

    def shown_credit(self, outlet: Outlet) -> Credit | None:
        """What the trip tests of a device show; None where none tells of its own face."""
        name = self.wiring.name(outlet)
        return _agreed(
            "good" if name in test.went_dead else "miswired" if test.went_dead else "failed"
            for test in self.wiring.tests.get(name, ())
            if name in test.went_dead or name in test.stayed_live
        )

    def recorded_credit(self, outlet: Outlet) -> Credit | None:
        """What the device's own TEST reading says; None where no reading is recorded."""
        reading = outlet.readings.get("test_result")
        if reading is None:
            return None
        credit = _credit(self.tables.credit.get(str(reading)))
        # As long as nobody knows better, it had power, and no credit is given.
        is_void = credit == "failed" and self._is_void(outlet) is True
        return "unknown" if is_void else credit

    def breaker_credit(self, circuit: Circuit) -> Credit:
        """Whether a protective breaker tripped on its own TEST."""
        recorded = self.recorded_breaker_credit(circuit)
        shown = self.shown_breaker_credit(circuit)
        if recorded is None or shown is None:
            return recorded or shown or "unknown"
        return recorded if recorded == shown or recorded != "good" else "unknown"

    def recorded_breaker_credit(self, circuit: Circuit) -> Credit | None:
        """What the breaker's own TEST reading says; None where no reading is recorded."""
        reading = circuit.readings.get("breaker_test_result")
        return None if reading is None else _credit(self.tables.credit.get(str(reading)))

    def shown_breaker_credit(self, circuit: Circuit) -> Credit | None:
        """What the trip tests of a breaker show; None where there are none."""
        return _agreed(
            "good" if test.went_dead else "failed"
            for test in self.wiring.tests_of(circuit)
            if test.went_dead or test.stayed_live
        )

    def at_origin(self, circuit: Circuit, kind: str) -> Protection:
        """Protection that the breaker of a circuit, or of its feeder, gives to all of it."""
        claims = [self._breaker_claim(each, kind) for each in self.wiring.feeders(circuit)]
        return _sum(claims)

    def at_first_receptacle(self, circuit: Circuit, kind: str) -> Protection:
        """Whether every first receptacle outlet of a circuit is a working device of that kind."""
        wiring = self.wiring
        outlets = wiring.on(circuit)
        receptacles = {
            wiring.name(each)
            for each in outlets
            if each.answer("point") is None or str(each.answer("point")) in self.receptacle_points
        }
        giving = [each for each in outlets if self._gives(each, kind) is not False]
        if not giving:
            return Protection("no")
        first = wiring.first_receptacles(circuit, receptacles)
        if first is None:
            loose = [each for each in outlets if not wiring.path_is_known(each)]
            waits = tuple((wiring.name(each), ORDER) for each in loose)
            return Protection("unknown", waits_for=waits)
        claims = [
            self._own_claim(each, kind) or _Claim("no", self._device(each), "opened")
            for each in first
        ]
        if not claims or any(claim.state == "no" for claim in claims):
            return Protection("no", notes=tuple(claim.note for claim in claims if claim.note))
        unsure = [each for each in first if each.order_known_by not in SURE]
        waits = tuple(item for claim in claims for item in claim.waits_for)
        waits += tuple((wiring.name(each), ORDER) for each in unsure)
        if waits:
            return Protection("unknown", waits_for=waits)
        return Protection("yes", tuple(claim.by for claim in claims), "observed")

    def _trace(self, outlet: Outlet, kind: str) -> Protection:
        claims: list[_Claim] = []
        name = self.wiring.name(outlet)
        own = self._own_claim(outlet, kind)
        if own is not None:
            claims.append(own)
        circuit = self.wiring.circuit_of(outlet)
        if circuit is None:
            waits: tuple[Open, ...] = ((name, "circuit"),)
            claims.append(_Claim("unknown", Giver(Circuit.of, ""), "unknown", waits_for=waits))
            return _sum(claims)
        claims += [self._breaker_claim(each, kind, outlet) for each in self.wiring.feeders(circuit)]
        # A test may show that a device of another circuit reaches here: it counts as seen.
        tested = {at for at, tests in self.wiring.tests.items() if _names(tests, name)}
        others = {self.wiring.name(each): each for each in self.wiring.on(circuit)}
        others.update({at: self.wiring.outlets[at] for at in tested if at in self.wiring.outlets})
        others.pop(name, None)
        for device in others.values():
            claim = self._device_claim(device, outlet, kind)
            if claim is not None:
                claims.append(claim)
        return _sum(claims)

    def _own_claim(self, outlet: Outlet, kind: str) -> _Claim | None:
        gives = self._gives(outlet, kind)
        if gives is False:
            return None
        if gives is None:
            question = "device" if outlet.answer("point") is not None else "point"
            name = self.wiring.name(outlet)
            waits: tuple[Open, ...] = ((name, question),)
            return _Claim("unknown", self._device(outlet), "unknown", waits_for=waits)
        return self._credited(outlet, "opened")

    def _device_claim(self, device: Outlet, outlet: Outlet, kind: str) -> _Claim | None:
        gives = self._gives(device, kind)
        if gives is False:
            return None
        hangs, ground = self._hangs_on(device, outlet)
        if hangs is False:
            return None
        name = self.wiring.name(device)
        if gives is None:
            waits: tuple[Open, ...] = ((name, "device"),)
            return _Claim("unknown", self._device(device), ground, waits_for=waits)
        claim = self._credited(device, ground)
        if hangs is None and claim.state != "no":
            waits = (*claim.waits_for, (name, TRIP_TEST))
            note = f"whether {name} reaches here has not been seen"
            return _Claim("unknown", self._device(device), ground, note, waits)
        return claim

    def _device(self, outlet: Outlet) -> Giver:
        return Giver(Outlet.of, self.wiring.name(outlet))

    def _credited(self, device: Outlet, ground: str) -> _Claim:
        by, credit = self._device(device), self.device_credit(device)
        name = by.name
        if credit == "good":
            return _Claim("yes", by, ground)
        if credit == "unknown":
            waits: tuple[Open, ...] = ((name, "test_result"),)
            note = f"the TEST of {name} is not recorded"
            if self.recorded_credit(device) == "unknown":
                note = f"the TEST of {name} tells nothing: it had no power"
            elif self.recorded_credit(device) or self.wiring.tests.get(name):
                note = f"the TESTs recorded of {name} contradict each other"
            return _Claim("unknown", by, ground, note, waits)
        if credit == "miswired":
            what = "its own face stays live on TEST (line and load swapped)"
            note = f"no credit for {name}: {what}"
        else:
            note = f"no credit for {name}: its TEST does nothing"
        return _Claim("no", by, ground, note)

    def _breaker_claim(self, circuit: Circuit, kind: str, outlet: Outlet | None = None) -> _Claim:
        reference = self.wiring.name(circuit)
        by = Giver(Circuit.of, reference)
        breaker = circuit.answers.get("breaker")
        if breaker is None:
            return _Claim("unknown", by, "unknown", waits_for=((reference, "breaker"),))
        if kind not in self.tables.breaker.get(str(breaker), ()):
            return _Claim("no", by, "opened")
        credit = self.breaker_credit(circuit)
        tests = self.wiring.tests_of(circuit)
        name = self.wiring.name(outlet) if outlet is not None else ""
        if any(name in test.stayed_live for test in tests):
            note = f"no credit for the breaker of {reference}: this outlet stayed live on its TEST"
            return _Claim("no", by, "observed", note)
        if credit == "good":
            return _Claim("yes", by, "observed")
        if credit == "unknown":
            note = f"the TEST of the breaker of {reference} is not recorded"
            if self.recorded_breaker_credit(circuit) or tests:
                note = f"the TESTs recorded of the breaker of {reference} contradict each other"
            waits: tuple[Open, ...] = ((reference, "breaker_test_result"),)
            return _Claim("unknown", by, "unknown", note, waits)
        note = f"no credit for the breaker of {reference}: its TEST does nothing"
        return _Claim("no", by, "observed", note)

    def _may_hold_device(self, outlet: Outlet) -> bool:
        point = outlet.answer("point")
        return point is None or str(point) in self.tables.points

    def _gives(self, outlet: Outlet, kind: str) -> bool | None:
        """Whether an outlet's own device gives that kind; None where the device is not known."""
        if not self._may_hold_device(outlet):
            return False
        device = outlet.answer("device")
        return None if device is None else kind in self.tables.device.get(str(device), ())

    def seen_to_hang(self, device: Outlet, outlet: Outlet) -> set[bool]:
        """What the trip tests of a device showed of an outlet; two values where they disagree.

        An outlet that stayed live tells something only of a device that opened its circuit.
        """
        name = self.wiring.name(outlet)
        return {
            name in test.went_dead
            for test in self.wiring.tests.get(self.wiring.name(device), ())
            if name in test.went_dead
            or (
                name in test.stayed_live
                and (test.went_dead or self.recorded_credit(device) == "good")
            )
        }

    def _hangs_on(self, device: Outlet, outlet: Outlet) -> tuple[bool | None, str]:
        """As `_hangs`, but what a trip test showed comes first, and a guess is not credited."""
        seen = self.seen_to_hang(device, outlet)
        if seen:
            only = seen.pop() if len(seen) == 1 else None
            return only, "observed"
        ground = "opened"
        for step in self.wiring.upstream(outlet):
            ground = weakest(ground, step.known_by)
            if step.outlet is device:
                if step.side == "load":
                    return (True if ground in SURE else None), ground
                return False, ground
        return (False, ground) if self.wiring.path_is_known(outlet) else (None, "unknown")


def _names(tests: Collection[object], outlet_id: str) -> bool:
    return any(outlet_id in getattr(test, "went_dead", ()) for test in tests)


def _agreed(shown: Iterable[Credit]) -> Credit | None:
    """What several tests show together: unknown where they disagree, None where there are none."""
    credits = set(shown)
    if not credits:
        return None
    return credits.pop() if len(credits) == 1 else "unknown"


def _credit(word: str | None) -> Credit:
    match word:
        case "good" | "miswired" | "failed":
            return word
        case _:
            return "unknown"


def _sum(claims: Collection[_Claim]) -> Protection:
    notes = tuple(dict.fromkeys(claim.note for claim in claims if claim.note))
    given = [claim for claim in claims if claim.state == "yes"]
    if given:
        givers = tuple(dict.fromkeys(claim.by for claim in given))
        ground = weakest(*(claim.known_by for claim in given[:1]))
        return Protection("yes", givers, ground, notes)
    unsure = [claim for claim in claims if claim.state == "unknown"]
    if unsure:
        waits = tuple(dict.fromkeys(item for claim in unsure for item in claim.waits_for))
        return Protection("unknown", known_by="unknown", notes=notes, waits_for=waits)
    return Protection("no", notes=notes)
