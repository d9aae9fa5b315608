"""The trip-and-probe log: what can be tripped, and the outlets to look at afterwards."""

from __future__ import annotations

from collections import Counter
from typing import get_args

from walkthrough.app.feeds import is_same_circuit
from walkthrough.app.field_prompts import circuit_choices
from walkthrough.app.prompt import OFFERED, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.judge.traced import device_tables
from walkthrough.survey.model import Action, Circuit, Outlet, Subject, Trip
from walkthrough.trade.contradictions import contradictions
from walkthrough.trade.protection import TRIP_TEST
from walkthrough.trade.trip_tests import inferred

AT = "trip:at"
RESET = "trip:reset"
ACTION = "trip:action"
_TESTS = (TRIP_TEST, "test_result", "breaker_test_result")
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
        told = f"{best} settles most now: {settles}. {told}"
    offered = best or (session.reference(focus) if isinstance(focus, Outlet) else None)
    ask = "Which device or breaker?"
    return Prompt(
        AT, ask, "pick", tuple(choices), told, offered, OFFERED if offered else "", can_skip=False
    )


def next_test(record: Record) -> tuple[str, str]:
    """The device or breaker whose TEST settles most now, and what it settles; "" for none.

    Protection comes first, because findings wait for it: the circuit on which most outlets wait
    for a TEST. Its breaker settles all of them at once; else the device is taken whose TEST leaves
    fewest ways in which the circuit can be wired. Where no protection waits, a device is named
    that can still tell where outlets hang of which the record does not know it.
    """
    told = [(each, _waiting(record, each)) for each in record.session.circuits]
    told.sort(key=lambda each: max(each[1].values(), default=0), reverse=True)
    if told and told[0][1]:
        return _for_protection(record, *told[0])
    return _for_wiring(record)


def _for_protection(record: Record, circuit: Circuit, waiting: Counter[str]) -> tuple[str, str]:
    ranked = [each.at for each in inferred(record.house.tracer, circuit).proposals]

    def worth(at: str) -> tuple[bool, int]:
        rank = ranked.index(at) if at in ranked else len(ranked)
        return record.session.outlet(at) is None, -rank

    best = max(sorted(waiting), key=worth)
    return best, f"protection of {_outlets(waiting[best])}"


def _for_wiring(record: Record) -> tuple[str, str]:
    best, most = "", 0
    for circuit in record.session.circuits:
        for proposal in inferred(record.house.tracer, circuit).proposals:
            unplaced = sum(_is_unplaced(record, id) for id in proposal.open if id != proposal.at)
            if unplaced > most and _may_work(record, proposal.at):
                best, most = proposal.at, unplaced
                break
    return best, f"feed of {_outlets(most)}" if best else ""


def _waiting(record: Record, circuit: Circuit) -> Counter[str]:
    """For each device and breaker, how many outlets of a circuit wait for its TEST."""
    waiting: Counter[str] = Counter()
    tracer = record.house.tracer
    for outlet in record.house.wiring.on(circuit):
        traced = [tracer.protection(outlet, kind) for kind in tracer.tables.kinds]
        waits = (wait for each in traced for wait in each.waits_for)
        waiting.update({at for at, asked in waits if asked in _TESTS})
    return waiting


def _is_unplaced(record: Record, id: str) -> bool:
    outlet = record.session.outlet(id)
    return outlet is not None and not record.house.wiring.path_is_known(outlet)


def _may_work(record: Record, id: str) -> bool:
    outlet = record.session.outlet(id)
    return outlet is not None and record.house.tracer.device_credit(outlet) != "failed"


def _outlets(count: int) -> str:
    return "1 outlet" if count == 1 else f"{count} outlets"


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
    # What is known to have no TEST was switched off, or a tester was plugged in there.
    offered = ways[-1] if _has_no_test(record, at) else ways[0]
    ask = f"What was done at {at}?"
    told = "Then each outlet is marked that went dead by it, or that stayed live."
    return Prompt(ACTION, ask, "choice", ways, told, offered.value, OFFERED, can_skip=False)


def _has_no_test(record: Record, at: str) -> bool:
    tables, session = device_tables(record.book), record.session
    outlet, circuit = session.outlet(at), session.circuit(at)
    kind = outlet.answer("device") if outlet else circuit.answer("breaker") if circuit else None
    gives = tables.device if outlet else tables.breaker
    return kind is not None and not gives.get(str(kind))


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


def fresh_device(record: Record, focus: Subject) -> str:
    """The protective device in hand, if it was not trip tested yet; "" where there is none."""
    if not isinstance(focus, Outlet) or left_tripped(record):
        return ""
    protects = device_tables(record.book).device.get(str(focus.answer("device")))
    name = record.session.reference(focus)
    tested = any(trip.at == name for trip in record.session.trips)
    return name if protects and not tested else ""


def is_told_dead(record: Record, id: str) -> bool:
    """Whether the TEST reading of a device says that its own face went dead."""
    outlet = record.session.outlet(id)
    return outlet is not None and record.house.tracer.recorded_credit(outlet) == "good"


def add_trip(
    record: Record,
    focus: Subject,
    at: str,
    done: Action,
    dead: list[str],
    live: list[str],
    is_reset: bool = False,
) -> list[str]:
    """Add a step to the log, and save; returns what contradicts the rest since then."""
    before = contradictions(record.house.tracer)
    trips = record.session.trips
    is_off = not is_reset and (done != "plug-in tester" or bool(dead))
    trips.append(Trip(at=at, action=done, went_dead=dead, stayed_live=live, left_tripped=is_off))
    record.change(focus, "")
    after = contradictions(record.house.tracer)
    return [f"{each.outlet}: {each.says}" for each in after if each not in before]
