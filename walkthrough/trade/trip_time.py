"""How fast a class A ground-fault circuit interrupter must trip, and whether a reading is good."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from walkthrough.trade.tables import Tables
from walkthrough.trade.working import Step, Value, Verdict, Working, rounded, told


@dataclass(frozen=True, slots=True)
class TripReading:
    """Currents in milliamperes, times in seconds.

    `current_ma` flowed steadily and the device took `seconds`, or `did_not_trip`; `tripped_at_ma`
    is where a slowly rising current made it trip.
    """

    current_ma: Decimal | None = None
    seconds: Decimal | None = None
    did_not_trip: bool = False
    tripped_at_ma: Decimal | None = None


def longest_seconds(current_ma: Decimal, tables: Tables) -> Decimal | None:
    """The longest time allowed, in seconds; None where no time is set. Raises NoRow.

    Source of the formula: the table `gfci_class_a`.
    """
    if not _figure(tables, "must_trip_from_ma") <= current_ma:
        return None
    if current_ma > _figure(tables, "formula_up_to_ma"):
        return None
    base = _figure(tables, "formula_constant") / current_ma
    return base ** _figure(tables, "formula_exponent")


def trip_time(reading: TripReading, tables: Tables) -> Working:
    """A reading against the curve; equal to the limit passes. Raises NoRow."""
    steps: list[Step] = []
    judged: list[tuple[Verdict, str]] = []
    result: dict[str, Value] = {}
    if reading.current_ma is not None:
        judged.append(_by_time(reading, tables, steps, result))
    if reading.tripped_at_ma is not None:
        judged.append(_by_current(reading.tripped_at_ma, tables, steps))
    order: tuple[Verdict, ...] = ("fail", "cannot assess", "pass", "calculated")
    verdict = min((word for word, _ in judged), key=order.index)
    because = " ".join(says for word, says in judged if word == verdict)
    caveats = (
        "The device's own TEST button governs. A plug-in tester trips nothing where there is no "
        "equipment ground, and the currents of plug-in testers are rough.",
    )
    return Working(tuple(steps), result, verdict, because, caveats)


def _by_time(
    reading: TripReading, tables: Tables, steps: list[Step], result: dict[str, Value]
) -> tuple[Verdict, str]:
    current = reading.current_ma
    assert current is not None
    below = _figure(tables, "must_not_trip_below_ma")
    from_ma = _figure(tables, "must_trip_from_ma")
    up_to = _figure(tables, "formula_up_to_ma")
    ground = tables.ground("gfci_class_a", "formula_exponent")
    tripped = reading.seconds is not None
    longest = longest_seconds(current, tables)
    result |= {"current_ma": current, "longest_s": longest}
    if current < from_ma:
        result["must"] = "not trip" if current < below else "may trip or not"
        between = f"between {told(below)} and {told(from_ma)} mA: may trip or not"
        where = f"below {told(below)} mA: must not trip" if current < below else between
        formula = f"{told(current)} mA, {where}"
        steps.append(Step("what is asked", formula, ground=ground))
        if current < below and tripped:
            return "fail", f"It tripped at {told(current)} mA: it must not below {told(below)} mA."
        if not (tripped or reading.did_not_trip):
            return "calculated", f"No time is set: {formula}."
        return "pass", f"No time is set: {formula}."
    result["must"] = "trip"
    if longest is None:
        says = f"{told(current)} mA is beyond the curve, which ends at {told(up_to)} mA."
        steps.append(Step("what is asked", says, ground=ground))
        if reading.did_not_trip:
            return (
                "fail",
                f"It did not trip at {told(current)} mA: it must from {told(from_ma)} mA.",
            )
        return "cannot assess", says
    constant, exponent = _figure(tables, "formula_constant"), _figure(tables, "formula_exponent")
    formula = f"({told(constant)} / {told(current)} mA) ^ {told(exponent)}"
    steps.append(Step("longest time", formula, longest, "s", ground))
    if reading.did_not_trip:
        return "fail", f"It did not trip at {told(current)} mA: it must within {told(longest)} s."
    if reading.seconds is None:
        return "calculated", f"It must trip within {told(longest)} s."
    steps.append(Step("time measured", "as told", reading.seconds, "s"))
    result["measured_s"] = reading.seconds
    # The curve is published, and tripping times are read, in whole milliseconds.
    limit = rounded(longest, 3)
    fits = reading.seconds <= limit
    word = "within" if fits else "longer than"
    says = f"{told(reading.seconds)} s, {word} {told(limit)} s at {told(current)} mA."
    return ("pass" if fits else "fail"), says


def _by_current(tripped_at: Decimal, tables: Tables, steps: list[Step]) -> tuple[Verdict, str]:
    below = _figure(tables, "must_not_trip_below_ma")
    from_ma = _figure(tables, "must_trip_from_ma")
    ground = tables.ground("gfci_class_a", "must_trip_from_ma")
    formula = f"not below {told(below)} mA, at {told(from_ma)} mA at the latest"
    steps.append(Step("current at which it tripped", formula, tripped_at, "mA", ground))
    if tripped_at < below:
        return "fail", f"Tripped at {told(tripped_at)} mA: it must not below {told(below)} mA."
    if tripped_at > from_ma:
        return "fail", f"Tripped only at {told(tripped_at)} mA: it must from {told(from_ma)} mA."
    return "pass", f"Tripped at {told(tripped_at)} mA: {formula}."


def _figure(tables: Tables, row: str) -> Decimal:
    return tables.number("gfci_class_a", row)
