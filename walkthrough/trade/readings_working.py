"""A diagnosis from readings as it is written on paper, each instrument with its blind spots."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from walkthrough.trade.diagnosis import ANYONE, Diagnosis, NextReading, Possibility, diagnose
from walkthrough.trade.readings import Observed, Readings, observed
from walkthrough.trade.tables import Ground, Tables
from walkthrough.trade.trip_time import trip_time
from walkthrough.trade.wiring_faults import TWO_WIRE, Fault, Faults
from walkthrough.trade.working import Step, Value, Verdict, Working

MOST_NAMED = 6
"""So many faults are named in a line; of more only the number is told."""
NO_PROOF = (
    "Two-wire house: no tester result is proof of a ground. A correct reading is taken as a false "
    "ground until the box, and the cable's way to the panel, show a grounding conductor."
)
_ONE_AT_A_TIME = (
    "Matched one fault at a time, and in the pairs that are listed; other faults together can "
    "read differently. Ranked by the readings each explains; how often a fault occurs is not "
    "published."
)
_STOP = "Stop: switch the circuit off and leave it to a licensed electrician."


def diagnosis(readings: Readings, tables: Tables) -> tuple[Diagnosis, Observed, Faults]:
    """What readings leave possible, what they showed, and the faults asked. Raises NoRow."""
    faults = Faults.of(tables)
    shown = observed(readings, tables)
    # A record can hold words that tell nothing, such as "not tried".
    shown.seen = {
        name: seen
        for name, seen in shown.seen.items()
        if name == TWO_WIRE or isinstance(seen, Decimal) or seen in faults.told_apart(name)
    }
    return diagnose(shown.seen, faults, shown.closed), shown, faults


def readings_working(readings: Readings, tables: Tables) -> Working:
    """The whole of it: readings, what each rules out, possibilities, the next. Raises NoRow."""
    found, shown, faults = diagnosis(readings, tables)
    steps = [*shown.steps, *_elimination(found, shown, faults)]
    steps += [
        Step(f"possibility {number}", told_possibility(each, faults), ground=each.ground)
        for number, each in enumerate(found.possibilities, start=1)
    ]
    device: Verdict | None = None
    result: dict[str, Value] = {}
    caveats = [*shown.caveats]
    trip = readings.trip
    if trip is not None:
        working = trip_time(trip, tables)
        steps += working.steps
        device = working.verdict
        result["gfci_device"] = {"verdict": device, "because": working.because}
        caveats += working.caveats
    steps.append(Step("next", next_in_words(found)))
    if found.easier is not None:
        steps.append(Step("or first", easier_in_words(found)))
    if readings.two_wire:
        caveats.insert(0, NO_PROOF)
    blind = blind_spots(shown, faults, tables)
    caveats += [f"{name}: {says}" for name, says in blind]
    caveats.append(_ONE_AT_A_TIME)
    result = _result(found, readings, blind, result)
    return Working(
        tuple(steps), result, _verdict(found, device), _because(found, readings), tuple(caveats)
    )


def told_possibility(possibility: Possibility, faults: Faults) -> str:
    """A possibility with what speaks for and against it."""
    told = f"{possibility.fault.says}; for it: {_labels(possibility.usual, faults) or 'nothing'}"
    if possibility.can_be:
        told += f"; against it, but possible: {_labels(possibility.can_be, faults)}"
    if possibility.silent:
        told += f"; says nothing of: {_labels(possibility.silent, faults)}"
    return told


def next_in_words(found: Diagnosis) -> str:
    """The next measurement and what it is good for, or why there is none."""
    if found.stop:
        return _STOP
    if not found.possibilities:
        return "Take these readings again, beginning with those named above."
    ahead = found.next
    if ahead is None:
        one = len(found.possibilities) == 1
        return (
            "Nothing is left to tell apart."
            if one
            else "No further reading tells these apart: trace the wiring, box by box, with the "
            "power off."
        )
    return _next_told(ahead, len(found.possibilities))


def easier_in_words(found: Diagnosis) -> str:
    """The best next reading that anyone may take; "" where the best of all is one."""
    return _next_told(found.easier, len(found.possibilities)) if found.easier is not None else ""


def _next_told(ahead: NextReading, left: int) -> str:
    by = "anyone" if ahead.observation.done_by == ANYONE else f"a {ahead.observation.done_by}"
    told = f"{ahead.observation.how} By {by}. "
    told += f"Of {left} possibilities at most {ahead.at_most} are left then"
    if ahead.pairs:
        pairs = f"{ahead.pairs} pair{'s' if ahead.pairs > 1 else ''}"
        told += f"; it tells {pairs} of them apart for certain"
    return f"{told}."


def blind_spots(shown: Observed, faults: Faults, tables: Tables) -> tuple[tuple[str, str], ...]:
    """For each instrument that was used, what it cannot show. Raises NoRow."""
    used = dict.fromkeys(each.instrument for each in faults.observations if each.name in shown.seen)
    return tuple((name, tables.word("instrument_cannot_show", name)) for name in used)


def _labels(names: Sequence[str], faults: Faults) -> str:
    return ", ".join(
        "a two-wire house" if name == TWO_WIRE else faults.observation(name).label for name in names
    )


def _elimination(found: Diagnosis, shown: Observed, faults: Faults) -> Iterator[Step]:
    left = len(faults.faults)
    for name, gone in found.ruled_out.items():
        left -= len(gone)
        if name == TWO_WIRE:
            says, label = "yes", "two-wire house"
        else:
            observation = faults.observation(name)
            says, label = observation.told(shown.seen[name]), observation.label
        ground = sum((faults.ground(each, name) for each in gone), Ground())
        yield Step(label, f"{says}: {_gone(gone)}{left} left", ground=ground)


def _gone(gone: Sequence[Fault]) -> str:
    if not gone:
        return "rules nothing out; "
    if len(gone) > MOST_NAMED:
        return f"rules {len(gone)} out; "
    return f"rules out {'; '.join(each.says for each in gone)}; "


def _verdict(found: Diagnosis, device: Verdict | None) -> Verdict:
    """What all that is left agrees on; a GFCI that fails the curve fails in any case."""
    verdicts = {each.verdict for each in found.faults}
    if device == "fail":
        return "fail"
    return verdicts.pop() if len(verdicts) == 1 else "cannot assess"


def _because(found: Diagnosis, readings: Readings) -> str:
    if not found.possibilities:
        return "The readings contradict each other: no fault of the table shows all of them."
    first = found.possibilities[0].fault
    number = len(found.possibilities)
    told = f"First of {number} possibilities: {first.says}. {first.means}"
    if number == 1:
        told = f"Only one possibility is left: {first.says}. {first.means}"
    if found.stop:
        told = f"{_STOP} {told}"
    return f"{told} {NO_PROOF}" if readings.two_wire else told


def _result(
    found: Diagnosis,
    readings: Readings,
    blind: tuple[tuple[str, str], ...],
    result: dict[str, Value],
) -> dict[str, Value]:
    told: dict[str, Value] = {
        "left": len(found.possibilities),
        "possibilities": tuple(
            {
                "possibility": each.fault.id,
                "says": each.fault.says,
                "means": each.fault.means,
                "faults_at_once": each.fault.at_once,
                "for": each.usual,
                "against": each.can_be,
                "silent": each.silent,
                "confidence": each.ground.confidence,
            }
            for each in found.possibilities
        ),
        "next": _as_result(found.next),
        "easier": _as_result(found.easier),
        "stop": bool(found.stop),
        "two_wire": readings.two_wire,
        "cannot_show": tuple({"instrument": name, "cannot_show": says} for name, says in blind),
    }
    if not found.possibilities:
        told["fits_without"] = found.without
    return told | result


def _as_result(ahead: NextReading | None) -> Value:
    if ahead is None:
        return None
    return {
        "measurement": ahead.observation.name,
        "how": ahead.observation.how,
        "done_by": ahead.observation.done_by,
        "left_at_most": ahead.at_most,
        "pairs_told_apart": ahead.pairs,
    }
