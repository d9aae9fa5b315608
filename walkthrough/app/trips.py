"""The trip-and-probe log: what can be tripped, and the outlets to look at afterwards."""

from __future__ import annotations

from typing import get_args

from walkthrough.app.feeds import is_same_circuit
from walkthrough.app.fields import circuit_choices
from walkthrough.app.prompt import OFFERED, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.judge.house import device_tables
from walkthrough.survey.model import Action, Outlet, Subject, Trip

AT = "trip:at"
RESET = "trip:reset"
ACTION = "trip:action"
_ACTIONS: dict[str, str] = {
    "test button": "Its own TEST button was pressed",
    "plug-in tester": "A plug-in tester was used there",
    "breaker off": "The breaker was switched off",
}


def at_prompt(record: Record, focus: Subject) -> Prompt:
    """Asks for the device or breaker; protective devices come first."""
    tables = device_tables(record.book)
    session = record.session
    outlets = session.references(session.outlets)
    protective = {
        name: each
        for name, each in outlets.items()
        if tables.device.get(str(each.answer("device")))
    }
    choices = [Choice(name, each.at) for name, each in (protective | outlets).items()]
    taken = {each.value for each in choices}
    choices += [each for each in circuit_choices(record) if each.value not in taken]
    told = "Warn the household first: freezers, sump pumps, medical and alarm equipment."
    best, settles = next_test(record)
    if best:
        told = f"{best} settles most now: {settles} outlets. {told}"
    offered = best or (session.reference(focus) if isinstance(focus, Outlet) else None)
    ask = "Which device or breaker?"
    return Prompt(
        AT, ask, "pick", tuple(choices), told, offered, OFFERED if offered else "", can_skip=False
    )


def next_test(record: Record) -> tuple[str, int]:
    """The device or breaker whose TEST can settle most outlets of unknown protection; how many."""
    house, session = record.house, record.session
    tables = device_tables(record.book)
    done = {trip.at for trip in session.trips if trip.action == "test button"}
    best, most = "", 0
    for circuit in session.circuits:
        outlets = house.wiring.on(circuit)
        unknown = [each for each in outlets if _is_open(record, each)]
        protective = (each for each in outlets if tables.device.get(str(each.answer("device"))))
        devices = [session.reference(each) for each in protective]
        if tables.breaker.get(str(circuit.answer("breaker"))):
            devices.append(session.reference(circuit))
        for device in devices:
            if device not in done and len(unknown) > most:
                best, most = device, len(unknown)
    return best, most


def _is_open(record: Record, outlet: Outlet) -> bool:
    kinds = ("gfci", "afci")
    return any(record.house.tracer.protection(outlet, k).state == "unknown" for k in kinds)


def left_tripped(record: Record) -> list[str]:
    """What was tripped and not reset yet; nothing may be left so."""
    return list(dict.fromkeys(trip.at for trip in record.session.trips if trip.left_tripped))


def reset_prompt(at: str) -> Prompt:
    """Asks whether what was tripped is on again."""
    told = "RESET it now, and look that what hangs on it runs again: freezers above all."
    return Prompt(RESET, f"Is {at} reset and on again?", "yes-no", (), told, can_skip=False)


def set_reset(record: Record, focus: Subject, at: str) -> None:
    """Note that something is on again, and save."""
    for trip in record.session.trips:
        if trip.at == at:
            trip.left_tripped = False
    record.change(focus, "")


def action_prompt(record: Record, at: str) -> Prompt:
    """Asks what was done; only an outlet takes a tester, only a breaker is switched off."""
    is_outlet = record.session.outlet(at) is not None
    left_out = "breaker off" if is_outlet else "plug-in tester"
    ways = tuple(Choice(each, label) for each, label in _ACTIONS.items() if each != left_out)
    ask = f"What was done at {at}?"
    return Prompt(ACTION, ask, "choice", ways, "", ways[0].value, OFFERED, can_skip=False)


def action(value: str) -> Action:
    """The action of that name."""
    known: tuple[Action, ...] = get_args(Action)
    return next(each for each in known if each == value)


def near_first(record: Record, at: str) -> list[Outlet]:
    """All outlets, those of the circuit (and of the one that shares its neutral) first."""
    session = record.session
    outlet = session.outlet(at)
    circuit = session.circuit(outlet.circuit if outlet is not None else at)
    if circuit is None:
        return list(session.outlets)
    near = (session.reference(circuit), circuit.shares_neutral_with)
    return sorted(
        session.outlets,
        key=lambda each: not any(is_same_circuit(session, each.circuit, other) for other in near),
    )


def add_trip(
    record: Record, focus: Subject, at: str, done: Action, dead: list[str], live: list[str]
) -> None:
    """Add a step to the log, and save."""
    trips = record.session.trips
    is_off = done != "plug-in tester" or bool(dead)
    trips.append(Trip(at=at, action=done, went_dead=dead, stayed_live=live, left_tripped=is_off))
    record.change(focus, "")
