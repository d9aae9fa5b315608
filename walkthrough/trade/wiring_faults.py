"""Wiring faults of a receptacle, and which readings each of them can show, out of the tables."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import pairwise
from typing import Literal

from walkthrough.trade.tables import NOTHING, Ground, NoRow, Tables
from walkthrough.trade.working import VERDICTS, Verdict, told

TWO_WIRE = "two_wire"
"""The circumstance that a house is wired without equipment grounds; it is matched as a reading."""

Seen = Decimal | str
"""What an instrument showed: a number in the unit of the observation, or one of its words."""

Fit = Literal["usual", "can be", "says nothing", "ruled out"]


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing that can be seen or measured at a receptacle; `unit` is "" for words."""

    name: str
    label: str
    unit: str
    instrument: str
    done_by: str
    how: str

    def told(self, seen: Seen) -> str:
        """A reading as a person would note it."""
        if isinstance(seen, Decimal):
            return f"{told(seen, 2)} {self.unit}".rstrip()
        if self.name == "tester_lamps":
            return {"none": "none lit", "all": "all lit"}.get(seen, seen.upper().replace("_", "+"))
        return seen.replace("_", " ")


@dataclass(frozen=True, slots=True)
class Fault:
    """One state of the wiring; `at_once` counts the faults in it, none where it is sound."""

    id: str
    says: str
    means: str
    at_once: int
    verdict: Verdict
    tester_answer: str


@dataclass(frozen=True, slots=True)
class _Band:
    """Where a reading lies for a fault: between two numbers, both included, or at a word."""

    name: str
    low: Decimal = Decimal(0)
    high: Decimal = Decimal(0)
    ground: Ground = NOTHING

    def holds(self, seen: Seen) -> bool:
        return self.low <= seen <= self.high if isinstance(seen, Decimal) else seen == self.name


@dataclass(frozen=True)
class Faults:
    """All faults and observations of a ruleset, in the order of its tables."""

    faults: tuple[Fault, ...]
    observations: tuple[Observation, ...]
    _bands: dict[tuple[str, str], tuple[_Band, ...]] = field(repr=False)
    _grounds: dict[tuple[str, str], Ground] = field(repr=False)
    _stops: dict[str, tuple[_Band, ...]] = field(repr=False)

    @classmethod
    def of(cls, tables: Tables) -> Faults:
        """Read from the tables of a ruleset; raises NoRow where they lack or misname something."""
        observations = tuple(_observation(name, tables) for name in tables.rows("observation"))
        faults = tuple(_fault(id, tables) for id in tables.rows("wiring_fault"))
        if not faults or not observations:
            raise NoRow("the ruleset has no tables 'wiring_fault' and 'observation'")
        bands: dict[tuple[str, str], tuple[_Band, ...]] = {}
        grounds: dict[tuple[str, str], Ground] = {}
        units = {each.name: each.unit for each in observations} | {TWO_WIRE: ""}
        for name, unit in units.items():
            for row in tables.rows(f"wiring_{name}"):
                if all(row != fault.id for fault in faults):
                    raise NoRow(f"table 'wiring_{name}' has a row '{row}', which is no fault")
                found = tuple(_bands(f"wiring_{name}", row, unit, tables))
                bands[row, name] = found
                grounds[row, name] = tables.ground(f"wiring_{name}", row)
                for band in found:
                    grounds[row, name] += Ground((), band.ground.confidence)
        stops = {
            name: tuple(_bands("reading_stops", name, units.get(name, ""), tables))
            for name in tables.rows("reading_stops")
        }
        return cls(faults, observations, bands, grounds, stops)

    def observation(self, name: str) -> Observation:
        """An observation by its name; raises NoRow."""
        found = next((each for each in self.observations if each.name == name), None)
        if found is None:
            raise NoRow(f"there is no row '{name}' in a table 'observation'")
        return found

    def fit(self, fault: Fault, name: str, seen: Seen) -> Fit:
        """How a reading goes with a fault."""
        bands = self._bands.get((fault.id, name))
        if bands is None:
            return "says nothing"
        if bands[0].holds(seen):
            return "usual"
        return "can be" if any(band.holds(seen) for band in bands) else "ruled out"

    def ground(self, fault: Fault, name: str) -> Ground:
        """What it rests on that a fault shows this."""
        return self._grounds.get((fault.id, name), NOTHING)

    def stops(self, name: str, seen: Seen) -> bool:
        """Whether a reading means that nothing more is to be tried."""
        return any(band.holds(seen) for band in self._stops.get(name, ()))

    def told_apart(self, name: str) -> tuple[Seen, ...]:
        """One reading of every kind between which an observation distinguishes.

        Words as they are; of numbers one between each two neighbouring ends of bands. A reading
        right at an end would belong to both sides, and is left out.
        """
        bands = [b for (_, each), row in self._bands.items() if each == name for b in row]
        if not self.observation(name).unit:
            return tuple(dict.fromkeys(band.name for band in bands))
        ends = sorted({end for band in bands for end in (band.low, band.high)})
        return tuple((a + b) / 2 for a, b in pairwise(ends))


def _observation(name: str, tables: Tables) -> Observation:
    cell = tables.words("observation", name)
    if len(cell) != 3:
        raise NoRow(f"row '{name}' of table 'observation': expected instrument, unit and who may")
    instrument, unit, done_by = cell
    label, how = tables.word("observation_label", name), tables.word("observation_how", name)
    return Observation(name, label, unit, instrument, done_by, how)


def _fault(id: str, tables: Tables) -> Fault:
    cell = tables.words("wiring_fault", id)
    verdicts = [each for each in VERDICTS if each == cell[-1]]
    if len(cell) != 3 or not cell[1].isdecimal() or not verdicts:
        raise NoRow(f"row '{id}' of table 'wiring_fault': expected what it is, a count, a verdict")
    has_answer = tables.has("wiring_tester_answer", id)
    answer = tables.word("wiring_tester_answer", id) if has_answer else ""
    means = tables.word("wiring_fault_means", id)
    return Fault(id, cell[0], means, int(cell[1]), verdicts[0], answer)


def _bands(table: str, row: str, unit: str, tables: Tables) -> Iterator[_Band]:
    for name in tables.words(table, row):
        if unit:
            low, high = tables.span("reading_band", name)
            yield _Band(name, low, high, tables.ground("reading_band", name))
        else:
            yield _Band(name)
