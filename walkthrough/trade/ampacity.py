"""What a conductor may carry where it lies, and the largest overcurrent device ahead of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from walkthrough.trade.tables import NOTHING, Figure, Ground, NoRow, Tables
from walkthrough.trade.working import Step, Value, Verdict, Working, told

Metal = Literal["copper", "aluminum", "copper-clad"]
COLUMNS = (60, 75, 90)
_SHORT = {"copper": "cu", "aluminum": "al", "copper-clad": "cca"}
_HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class Conductor:
    """AWG size such as "12" or "1/0"; insulation by its type or by 60, 75 or 90 degrees C."""

    size: str
    metal: Metal
    insulation: str


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Where the conductor lies: ambient in degrees C, and what lies beside it.

    `conductors` are the current-carrying ones in one raceway or bundle; `cables` are so many
    cables of so many such conductors. `length_in` is the length of the raceway or bundle.
    """

    ambient_c: Decimal = Decimal(30)
    conductors: int | None = None
    cables: tuple[int, int] | None = None
    length_in: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Use:
    """What is connected; amperes. `terminals_c` is a temperature marked on all terminals.

    `receptacles` on the circuit are for loads with cord and plug; None where it is not told.
    """

    breaker_a: Decimal | None = None
    terminals_c: int | None = None
    receptacles: int | None = None
    motor_or_hvac: bool = False
    continuous_a: Decimal = Decimal(0)
    other_a: Decimal = Decimal(0)


@dataclass(slots=True)
class _Sheet:
    """The paper: steps and remarks in the order in which they are written."""

    tables: Tables
    steps: list[Step] = field(default_factory=list)
    caveats: list[str] = field(default_factory=list)

    def write(self, label: str, formula: str, value: Decimal, unit: str, ground: Ground) -> Decimal:
        self.steps.append(Step(label, formula, value, unit, ground))
        return value


def ampacity(conductor: Conductor, around: Surroundings, use: Use, tables: Tables) -> Working:
    """Ampacity and overcurrent protection, step by step.

    The column of the insulation, times the factors of ambient and number; then the caps of the
    terminals and of the cable; at last the standard sizes and the limit for small conductors.
    Raises NoRow where the ruleset lacks a figure.
    """
    sheet = _Sheet(tables)
    insulation_c = _insulation(conductor, sheet)
    if not _listed(conductor, insulation_c, tables):
        return _not_listed(conductor, use, sheet)
    base = _value(conductor, insulation_c, tables)
    column = f"{conductor.size} AWG {conductor.metal}, {insulation_c} C column"
    sheet.write("ampacity in the table", column, base.value, "A", base.ground)
    ambient = _ambient(around.ambient_c, insulation_c, sheet)
    share = _number_factor(around, sheet)
    adjusted = base.value * ambient * share
    formula = f"{told(base.value)} A x {told(ambient)} x {told(share)}"
    sheet.write("corrected and adjusted", formula, adjusted, "A", base.ground)
    cap = _caps(conductor, insulation_c, use, sheet)
    final = min(adjusted, cap)
    sheet.write(
        "ampacity", f"the smaller of {told(adjusted)} and {told(cap)} A", final, "A", NOTHING
    )
    one, several = _largest(final, sheet)
    limit = _small_limit(conductor, use, sheet)
    one, several = _capped(one, limit), _capped(several, limit)
    largest = several if _several(use, tables) else one
    result: dict[str, Value] = {
        "table_a": base.value,
        "ambient_factor": ambient,
        "number_factor": share,
        "adjusted_a": adjusted,
        "cap_a": cap,
        "ampacity_a": final,
        "small_conductor_limit_a": limit,
        "largest_breaker_a": largest,
        "largest_breaker_several_receptacles_a": several,
    }
    if use.motor_or_hvac:
        result["largest_breaker_a"] = result["largest_breaker_several_receptacles_a"] = None
        sheet.caveats.append(
            "The breaker of a motor, air conditioner or heating circuit goes by the nameplate and "
            "the equipment's own article: it can rightly be larger than these figures."
        )
    judged = [*_loads(cap, final, largest, use, sheet, result)]
    judged += _breaker(one, several, use, sheet)
    judged += _on_conditions(conductor, use, sheet)
    verdict, because = _verdict(judged, final, largest, use)
    if use.receptacles is None and one != several and use.breaker_a is None:
        shown = f"{told(several)} A at most" if several is not None else "no standard size is left"
        sheet.caveats.append(
            f"Where the circuit has several receptacles for cord-and-plug loads: {shown}."
        )
    return Working(tuple(sheet.steps), result, verdict, because, tuple(sheet.caveats))


def _insulation(conductor: Conductor, sheet: _Sheet) -> int:
    if conductor.insulation.isdigit():
        return int(conductor.insulation)
    figure = sheet.tables.figure("insulation_c", conductor.insulation)
    sheet.write("insulation", conductor.insulation, figure.value, "C", figure.ground)
    return int(figure.value)


def _table(conductor: Conductor) -> str:
    return "ampacity_copper" if conductor.metal == "copper" else "ampacity_aluminum"


def _only_90(conductor: Conductor, tables: Tables) -> bool:
    return conductor.metal == "copper" and tables.has("ampacity_copper_90_only", conductor.size)


def _listed(conductor: Conductor, insulation_c: int, tables: Tables) -> bool:
    if _only_90(conductor, tables):
        return insulation_c == COLUMNS[-1]
    return tables.has(_table(conductor), conductor.size)


def _value(conductor: Conductor, column_c: int, tables: Tables) -> Figure:
    if _only_90(conductor, tables):
        return tables.figure("ampacity_copper_90_only", conductor.size)
    return tables.figure(_table(conductor), conductor.size, COLUMNS.index(column_c))


def _ambient(ambient_c: Decimal, insulation_c: int, sheet: _Sheet) -> Decimal:
    row = sheet.tables.up_to("ambient_factor", ambient_c)
    if row is None:
        raise NoRow(f"no correction factor for an ambient of {told(ambient_c)} C")
    figure = sheet.tables.figure("ambient_factor", row, COLUMNS.index(insulation_c))
    formula = f"{told(ambient_c)} C ambient, {insulation_c} C insulation"
    if not figure.value:
        sheet.caveats.append(f"{insulation_c} C insulation may carry nothing at this ambient.")
    return sheet.write("factor for ambient", formula, figure.value, "", figure.ground)


def _number_factor(around: Surroundings, sheet: _Sheet) -> Decimal:
    """The factor for the conductors that lie together; 1 where none counts."""
    tables = sheet.tables
    first = tables.rows("count_factor_percent")[0]
    number = around.conductors or int(first)
    ground = NOTHING
    told_as = f"{number} current-carrying conductors"
    if around.cables is not None:
        cables, each = around.cables
        free = tables.figure("cables_together", "without_adjustment")
        ground = free.ground
        number = cables * each
        told_as = f"{cables} cables x {each} = {number} current-carrying conductors"
        if cables <= free.value:
            formula = f"{told_as}; no more than {told(free.value)} cables together"
            return sheet.write("factor for number", formula, Decimal(1), "", ground)
    if around.length_in is not None:
        short = tables.figure("short_bundle_in", "up_to")
        if around.length_in <= short.value:
            formula = f"{told_as}, for {told(around.length_in)} in.: {told(short.value)} at most"
            return sheet.write("factor for number", formula, Decimal(1), "", short.ground)
    row = tables.up_to("count_factor_percent", Decimal(number))
    assert row is not None
    figure = tables.figure("count_factor_percent", row)
    formula = f"{told_as}: {told(figure.value)} %"
    factor = figure.value / _HUNDRED
    return sheet.write("factor for number", formula, factor, "", ground + figure.ground)


def _caps(conductor: Conductor, insulation_c: int, use: Use, sheet: _Sheet) -> Decimal:
    """The smaller of what the terminals and the cable allow."""
    tables = sheet.tables
    if _only_90(conductor, tables):
        figure = _value(conductor, insulation_c, tables)
        sheet.caveats.append(f"The table has no 60 or 75 C value for {conductor.size} AWG.")
        return figure.value
    row = _terminal_row(conductor, use, tables)
    terminal = tables.figure("terminal_column_c", row)
    mark = ", no mark for 75 C told" if row == "small" else ""
    column = min(int(terminal.value), insulation_c)
    value = _value(conductor, column, tables)
    ground = terminal.ground + value.ground
    caps = [sheet.write("terminals", f"{column} C column{mark}", value.value, "A", ground)]
    if tables.has("cable_limit_c", conductor.insulation):
        limit = tables.figure("cable_limit_c", conductor.insulation)
        value = _value(conductor, min(int(limit.value), insulation_c), tables)
        formula = f"{conductor.insulation}: {told(limit.value)} C column"
        ground = limit.ground + value.ground
        caps.append(sheet.write("cable", formula, value.value, "A", ground))
    return min(caps)


def _terminal_row(conductor: Conductor, use: Use, tables: Tables) -> str:
    size_limit = tables.word("terminal_column_c", "small_up_to_size")
    amps_limit = tables.number("terminal_column_c", "small_up_to_a")
    large = use.breaker_a is not None and use.breaker_a > amps_limit
    if large or thickness(conductor.size) > thickness(size_limit):
        return "large"
    return "small_marked" if use.terminals_c == COLUMNS[1] else "small"


def thickness(size: str) -> int:
    """AWG sizes in order, thicker ones larger: 14 before 1, 1 before 1/0, 1/0 before 4/0."""
    return int(size.split("/")[0]) if "/" in size else 1 - int(size)


def _small_limit(conductor: Conductor, use: Use, sheet: _Sheet) -> Decimal | None:
    key = _SHORT[conductor.metal] + conductor.size
    if use.motor_or_hvac or not sheet.tables.has("small_conductor_limit", key):
        return None
    figure = sheet.tables.figure("small_conductor_limit", key)
    formula = f"{conductor.size} AWG {conductor.metal}"
    sheet.write("limit for a small conductor", formula, figure.value, "A", figure.ground)
    return figure.value


def _on_conditions(conductor: Conductor, use: Use, sheet: _Sheet) -> list[tuple[Verdict, str]]:
    """The thinnest conductors carry only a small continuous load, behind a device made for them."""
    key = _SHORT[conductor.metal] + conductor.size
    if use.motor_or_hvac or not sheet.tables.has("small_conductor_continuous_a", key):
        return []
    most = sheet.tables.figure("small_conductor_continuous_a", key)
    formula = f"{conductor.size} AWG {conductor.metal}"
    sheet.write("most continuous load", formula, most.value, "A", most.ground)
    if use.continuous_a > most.value:
        says = f"Continuous load of {told(use.continuous_a)} A; {told(most.value)} A at most."
        return [("fail", says)]
    says = (
        f"{conductor.size} AWG is allowed only on conditions: {told(most.value)} A of continuous "
        "load at most, and a breaker or fuse listed for this size."
    )
    if use.breaker_a is None and not use.continuous_a + use.other_a:
        sheet.caveats.append(says)
        return []
    return [("cannot assess", says)]


def _capped(device: Decimal | None, limit: Decimal | None) -> Decimal | None:
    return device if device is None or limit is None else min(device, limit)


def _largest(final: Decimal, sheet: _Sheet) -> tuple[Decimal | None, Decimal | None]:
    """The largest device: where the next size up is allowed, and where it is not."""
    tables = sheet.tables
    sizes = [
        tables.figure("standard_overcurrent_a", row)
        for row in tables.rows("standard_overcurrent_a")
    ]
    below = [each.value for each in sizes if each.value <= final]
    above = [each.value for each in sizes if each.value >= final]
    largest, up = max(below, default=None), min(above, default=None)
    ground = sizes[0].ground
    most = tables.figure("next_size_up", "up_to_a")
    if final in below or up is None or up > most.value or not final:
        up = largest
        _standard(f"largest standard size not above {told(final)} A", largest, ground, sheet)
    else:
        _standard(f"next above {told(final)} A, one outlet", up, ground + most.ground, sheet)
        _standard(f"not above {told(final)} A, several receptacles", largest, ground, sheet)
    return up, largest


def _standard(formula: str, value: Decimal | None, ground: Ground, sheet: _Sheet) -> None:
    if value is None:
        sheet.steps.append(Step("overcurrent device", f"{formula}: there is none", ground=ground))
    else:
        sheet.write("overcurrent device", formula, value, "A", ground)


def _several(use: Use, tables: Tables) -> bool:
    most = tables.number("next_size_up", "receptacles_at_most")
    return use.receptacles is not None and use.receptacles > most


def _loads(
    cap: Decimal,
    final: Decimal,
    largest: Decimal | None,
    use: Use,
    sheet: _Sheet,
    result: dict[str, Value],
) -> list[tuple[Verdict, str]]:
    """The loads against the conductor before and after adjustment, and against the device."""
    load = use.continuous_a + use.other_a
    if not load:
        return []
    percent = sheet.tables.figure("continuous_load", "percent")
    needed = use.continuous_a * percent.value / _HUNDRED + use.other_a
    formula = f"{told(percent.value)} % x {told(use.continuous_a)} A + {told(use.other_a)} A"
    sheet.write("continuous and other load", formula, needed, "A", percent.ground)
    result |= {"load_a": load, "needed_a": needed}
    device = sheet.tables.up_to("standard_overcurrent_a", needed)
    result["smallest_breaker_a"] = Decimal(device) if device is not None else None
    judged: list[tuple[Verdict, str]] = [
        _judge(
            needed <= cap,
            f"Before adjustment the conductor carries {told(cap)} A, {told(needed)} A are needed.",
        ),
        _judge(
            load <= final,
            f"Where it lies the conductor carries {told(final)} A, the load is {told(load)} A.",
        ),
    ]
    if use.breaker_a is not None:
        says = f"The device of {told(use.breaker_a)} A, {told(needed)} A are needed."
        judged.append(_judge(needed <= use.breaker_a, says))
    elif not use.motor_or_hvac:
        smallest = Decimal(device) if device is not None else None
        fits = smallest is not None and largest is not None and smallest <= largest
        shown = told(smallest) if smallest is not None else "no"
        says = f"The load needs a device of {shown} A, {told(largest or Decimal(0))} A is the most."
        judged.append(_judge(fits, says))
    return judged


def _breaker(
    one: Decimal | None, several: Decimal | None, use: Use, sheet: _Sheet
) -> list[tuple[Verdict, str]]:
    if use.breaker_a is None:
        return []
    breaker = use.breaker_a
    if not sheet.tables.has("standard_overcurrent_a", told(breaker)):
        sheet.caveats.append(f"{told(breaker)} A is not among the standard sizes of this edition.")
    if use.motor_or_hvac:
        return [("cannot assess", "The device goes by the nameplate of the equipment.")]
    largest = several if _several(use, sheet.tables) else one
    says = f"A device of {told(breaker)} A; {told(largest or Decimal(0))} A is the most."
    fits = largest is not None and breaker <= largest
    if fits and use.receptacles is None and (several is None or breaker > several):
        return [
            (
                "cannot assess",
                f"{told(breaker)} A is the next size up: allowed unless the circuit has several "
                "receptacles for cord-and-plug loads, which was not told.",
            )
        ]
    return [_judge(fits, says)]


def _judge(fits: bool, says: str) -> tuple[Verdict, str]:
    return ("pass" if fits else "fail"), says


def _verdict(
    judged: Sequence[tuple[Verdict, str]], final: Decimal, largest: Decimal | None, use: Use
) -> tuple[Verdict, str]:
    for word in ("fail", "cannot assess"):
        found = [says for verdict, says in judged if verdict == word]
        if found:
            return ("fail" if word == "fail" else "cannot assess"), " ".join(found)
    shown = f"Ampacity {told(final)} A"
    if largest is not None and not use.motor_or_hvac:
        shown += f"; overcurrent device of {told(largest)} A at most"
    if not judged:
        return "calculated", shown + "."
    return "pass", " ".join([shown + ".", *(says for _, says in judged)])


def _not_listed(conductor: Conductor, use: Use, sheet: _Sheet) -> Working:
    """A size without an ampacity: only the limit for small conductors can be told."""
    limit = _small_limit(conductor, use, sheet)
    told_as = f"{conductor.size} AWG {conductor.metal}"
    result: dict[str, Value] = {
        "ampacity_a": None,
        "small_conductor_limit_a": limit,
        "largest_breaker_a": limit,
    }
    because = f"The edition's ampacity table has no value for {told_as} with this insulation."
    over = limit is not None and use.breaker_a is not None and use.breaker_a > limit
    if over and limit is not None:
        because += f" A device above {told(limit)} A is too large in any case."
    verdict: Verdict = "fail" if over else "cannot assess"
    return Working(tuple(sheet.steps), result, verdict, because, tuple(sheet.caveats))
