"""Readings at a receptacle turned into what can be matched against wiring faults."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from decimal import Decimal

from walkthrough.trade.tables import Ground, Tables
from walkthrough.trade.trip_time import TripReading
from walkthrough.trade.wiring_faults import TWO_WIRE, Seen
from walkthrough.trade.working import Step, told

_HUNDRED = Decimal(100)
_LINE_V = Decimal(120)


@dataclass(frozen=True, slots=True)
class Readings:
    """What was read at one receptacle; None where it was not. Volts, amperes, ohms, mA and ms.

    The names are those of the questions of the record. The words: `tester_lamps` names the lamps
    that are lit, such as "hn_hg", or "none" or "all"; `gfci_own_test` "trips", "nothing",
    "no_power" or "none"; `plug_in_tester_trips` "trips" or "nothing"; `probe_at_ground` "silent" or
    "sounds"; `ground_analyzer` "good", "false" or "none"; `box_look` "sound", "jumper", "crossed"
    or "loose". `gfci_trip_ma` with a time is the current that flowed, without one that at which it
    tripped.
    """

    tester_lamps: str | None = None
    gfci_own_test: str | None = None
    plug_in_tester_trips: str | None = None
    probe_at_ground: str | None = None
    volts_hot_neutral: Decimal | None = None
    volts_hot_ground: Decimal | None = None
    volts_neutral_ground: Decimal | None = None
    load_amps: Decimal | None = None
    loaded_hot_neutral: Decimal | None = None
    loaded_hot_ground: Decimal | None = None
    loaded_neutral_ground: Decimal | None = None
    ground_analyzer: str | None = None
    ground_path_ohms: Decimal | None = None
    volts_hot_earth: Decimal | None = None
    volts_ground_earth: Decimal | None = None
    box_look: str | None = None
    gfci_trip_ma: Decimal | None = None
    gfci_trip_ms: Decimal | None = None
    two_wire: bool = False

    @property
    def trip(self) -> TripReading | None:
        """Current and time of the GFCI, where they were measured."""
        if self.gfci_trip_ma is None:
            return None
        if self.gfci_trip_ms is None:
            return TripReading(tripped_at_ma=self.gfci_trip_ma)
        return TripReading(current_ma=self.gfci_trip_ma, seconds=self.gfci_trip_ms / 1000)


_AS_READ = (
    "tester_lamps",
    "probe_at_ground",
    "volts_hot_neutral",
    "volts_hot_ground",
    "volts_neutral_ground",
    "ground_analyzer",
    "ground_path_ohms",
    "volts_hot_earth",
    "volts_ground_earth",
    "box_look",
)
READING_NAMES = tuple(each.name for each in fields(Readings) if each.name != TWO_WIRE)


@dataclass
class Observed:
    """What the readings show, the steps to it, and what could not be used.

    `closed` names observations that cannot be made as things stand.
    """

    seen: dict[str, Seen] = field(default_factory=dict)
    steps: list[Step] = field(default_factory=list)
    caveats: list[str] = field(default_factory=list)
    closed: list[str] = field(default_factory=list)


def observed(readings: Readings, tables: Tables) -> Observed:
    """Take readings as they are, and work out what a load and a GFCI test show. Raises NoRow."""
    found = Observed()
    for name in _AS_READ:
        value = getattr(readings, name)
        if value is not None:
            found.seen[name] = value
    if readings.two_wire:
        found.seen[TWO_WIRE] = "yes"
    _gfci(readings, found)
    if readings.volts_hot_neutral is not None:
        found.steps.append(_comment(readings.volts_hot_neutral, tables))
    found.caveats += _sum(readings, tables)
    _load(readings, tables, found)
    if readings.ground_path_ohms is not None:
        found.steps += _ground_path(readings.ground_path_ohms, tables)
    return found


def _gfci(readings: Readings, found: Observed) -> None:
    own, button = readings.gfci_own_test, readings.plug_in_tester_trips
    if button == "trips" or (button == "nothing" and own == "trips"):
        found.seen["plug_in_tester_trips"] = button
    elif button == "nothing":
        found.caveats.append(
            "That the plug-in tester trips nothing tells of the wiring only behind a GFCI that has "
            "tripped on its own TEST: it was not used."
        )
    if own in ("nothing", "no_power", "none"):
        found.closed.append("plug_in_tester_trips")
    if own == "nothing" and button == "trips":
        found.caveats.append(
            "The GFCI does nothing on its own TEST although the plug-in tester trips it: the "
            "device's own test governs; it is to be replaced."
        )
    elif own == "nothing":
        found.caveats.append(
            "A GFCI that does nothing on its own TEST is inoperable, an old one with line and load "
            "reversed, or not the one that protects this outlet."
        )
    elif own == "no_power":
        found.caveats.append(
            "A GFCI without power could not be tested: look at its RESET, and at the breaker and "
            "the GFCI ahead."
        )


def _comment(volts: Decimal, tables: Tables) -> Step:
    table = "voltage_comment"
    for row in tables.rows(table):
        low, high = tables.span(table, row)
        if low <= volts <= high:
            formula = f"{told(volts)} V lies within {told(low)} to {told(high)} V: {row}"
            return Step("supply voltage", formula, ground=tables.ground(table, row))
    rows = tables.rows(table)
    says = f"{told(volts)} V lies outside all ranges: utility or electrician"
    return Step("supply voltage", says, ground=tables.ground(table, rows[-1]) if rows else Ground())


def _sum(readings: Readings, tables: Tables) -> Iterator[str]:
    """The three voltages belong together: the largest is the sum of the two others."""
    taken = (readings.volts_hot_neutral, readings.volts_hot_ground, readings.volts_neutral_ground)
    volts = [each for each in taken if each is not None]
    if len(volts) < len(taken):
        return
    *others, largest = sorted(volts)
    off = abs(largest - sum(others, Decimal(0)))
    if off > tables.number("load_test", "sum_tolerance_v"):
        yield (
            f"The three voltages do not add up by {told(off)} V: one was misread, the voltage "
            "moved between the readings, or an open wire floats."
        )


def _load(readings: Readings, tables: Tables, found: Observed) -> None:
    loaded = (readings.loaded_hot_neutral, readings.loaded_hot_ground)
    if loaded == (None, None) and readings.loaded_neutral_ground is None:
        return
    meant = tables.figure("load_test", "amps")
    least = tables.figure("load_test", "least_amps")
    amps = readings.load_amps
    if amps is not None and amps < least.value:
        found.caveats.append(
            f"A load of {told(amps)} A is too small to tell (from {told(least.value)} A on): the "
            "readings with load were not used."
        )
        return
    factor = meant.value / amps if amps is not None else Decimal(1)
    at = f" x {told(meant.value)} A / {told(amps)} A" if amps is not None else ""
    if amps is None:
        found.caveats.append(
            f"The load was not told: the readings with load are taken as at {told(meant.value)} A."
        )
    drop = _loss("drop_percent", readings, factor, at, meant.ground, found)
    _loss("hot_ground_drop_percent", readings, factor, at, meant.ground, found)
    between = readings.loaded_neutral_ground
    if between is None:
        return
    value = between * factor
    found.seen["loaded_neutral_ground"] = value
    formula = f"{told(between)} V{at}"
    found.steps.append(Step("neutral-ground under load", formula, value, "V", meant.ground))
    needed = tables.number("load_test", "least_loss_v")
    if drop is not None and drop >= needed:
        share = between / drop * _HUNDRED
        found.seen["neutral_share_percent"] = share
        formula = f"{told(between)} V / {told(drop)} V"
        found.steps.append(Step("neutral's share of the loss", formula, share, "%"))
    elif drop is not None:
        found.closed.append("neutral_share_percent")


def _loss(
    name: str, readings: Readings, factor: Decimal, at: str, ground: Ground, found: Observed
) -> Decimal | None:
    """The loss of one voltage under load, in volts as measured; None where a reading lacks."""
    pair = name.removesuffix("_drop_percent") if name != "drop_percent" else "hot_neutral"
    before, after = getattr(readings, f"volts_{pair}"), getattr(readings, f"loaded_{pair}")
    told_pair = pair.replace("_", "-")
    if after is not None and not before:
        found.caveats.append(f"The loss of {told_pair} needs the reading without load too.")
    if after is None or not before:
        return None
    drop: Decimal = before - after
    percent = drop / before * _HUNDRED * factor
    found.seen[name] = percent
    formula = f"({told(before)} V - {told(after)} V) / {told(before)} V{at}"
    found.steps.append(Step(f"loss of {told_pair} under load", formula, percent, "%", ground))
    if name == "drop_percent" and readings.load_amps:
        loop = drop / readings.load_amps
        formula = f"{told(drop)} V / {told(readings.load_amps)} A"
        found.steps.append(Step("impedance of the loop", formula, loop, "ohm"))
    return drop


def _ground_path(ohms: Decimal, tables: Tables) -> Iterator[Step]:
    usual = tables.figure("ground_path_ohm", "usual")
    electronics = tables.number("ground_path_ohm", "electronics")
    word = "within" if ohms <= usual.value else "above"
    says = (
        f"{told(ohms)} ohm is {word} the {told(usual.value)} ohm of the tester trade "
        f"({told(electronics)} ohm for electronics); no limit of the code"
    )
    yield Step("ground-path impedance", says, ground=usual.ground)
    if ohms:
        formula = f"{told(_LINE_V)} V / {told(ohms)} ohm"
        yield Step("current of a fault to ground", formula, _LINE_V / ohms, "A")
