"""Box fill: how many cubic inches the wires, devices and clamps in a box take, step by step."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

# Commonest first: where no count is known yet, this is the order in which they are asked for.
WIRE_SIZES = ("14", "12", "10", "18", "16", "8", "6")


class NoRow(ValueError):
    """The edition's tables lack a row that a box needs."""


@dataclass(frozen=True, slots=True)
class Device:
    """The devices of one yoke: the gangs that their mounting takes and their largest wire."""

    gangs: int
    wire: str


@dataclass(frozen=True, slots=True)
class BoxContents:
    """What takes room in a box; wire sizes are AWG numbers such as "14"."""

    wires: Mapping[str, int] = field(default_factory=dict)
    """Wires that come into the box by size, grounds left out; a long unbroken loop is two."""
    grounds: int = 0
    ground_size: str = ""
    clamps: bool = False
    devices: tuple[Device, ...] = ()
    support_fittings: int = 0
    terminal_blocks: int = 0


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the sum: so many allowances of so many cubic inches."""

    label: str
    count: float
    each_in3: float

    @property
    def in3(self) -> float:
        """The volume of this line."""
        return float(_exact(self.count) * _exact(self.each_in3))


@dataclass(frozen=True, slots=True)
class Fill:
    """The volume taken, with the steps of the sum so that a person can check it."""

    steps: tuple[Step, ...]

    @property
    def total_in3(self) -> float:
        """The volume that the box must at least have."""
        exact = (_exact(step.count) * _exact(step.each_in3) for step in self.steps)
        return float(sum(exact, Decimal(0)))

    def fits(self, volume_in3: float) -> bool:
        """Whether a box of this volume is large enough; one that is exactly full is."""
        return self.total_in3 <= volume_in3


def fill(
    contents: BoxContents, allowance: Mapping[str, float], counts: Mapping[str, float]
) -> Fill:
    """Add up a box by the edition's tables.

    `allowance` gives cubic inches per wire size, `counts` how many allowances each thing takes
    and how many grounds the first ground allowance covers. Raises NoRow where the tables lack
    something that is in the box.
    """
    for size in _sizes(contents):
        if size not in allowance:
            raise NoRow(f"no volume allowance for {size} AWG wire")

    def allowances(number: float, item: str) -> float:
        if not number:
            return 0
        if item not in counts:
            raise NoRow(f"no count of allowances for '{item}'")
        return number * counts[item]

    steps = [
        Step(f"{size} AWG wires", contents.wires[size], allowance[size])
        for size in sorted(contents.wires, key=int, reverse=True)
        if contents.wires[size]
    ]
    if contents.grounds:
        further = max(0.0, contents.grounds - allowances(1, "grounds_in_first"))
        count = allowances(1, "first_grounds") + allowances(further, "per_further_ground")
        steps.append(Step("grounding wires", count, allowance[contents.ground_size]))
    # Without a single conductor the clamps and fittings have no size to be measured by.
    largest = max((allowance[size] for size in _sizes(contents)), default=0.0)
    steps.append(Step("clamps inside", allowances(contents.clamps, "clamps"), largest))
    fittings = allowances(contents.support_fittings, "support_fitting")
    steps.append(Step("luminaire studs and hickeys", fittings, largest))
    steps.extend(
        Step(f"device on {device.wire} AWG", allowances(device.gangs, "per_gang"), each)
        for device, each in sorted(
            ((device, allowance[device.wire]) for device in contents.devices if device.gangs),
            key=lambda pair: (pair[1], pair[0].gangs),
        )
    )
    # The wires that end on a terminal block are not asked for: the largest never counts too low.
    blocks = allowances(contents.terminal_blocks, "terminal_block")
    steps.append(Step("terminal blocks", blocks, largest))
    return Fill(tuple(step for step in steps if step.count and step.each_in3))


def contents_from(answers: Mapping[str, object]) -> BoxContents | tuple[str, ...]:
    """What is in the box by the answers, or the questions that are still open.

    A person counts the sizes that are there and skips the rest: once some wire is counted, a size
    without an answer is none. A lone "no 18 AWG wires" says nothing yet about the other sizes.
    """
    counted = {size: _count(answers, f"box_wires_{size}") for size in WIRE_SIZES}
    open_sizes = [f"box_wires_{size}" for size, number in counted.items() if number is None]
    grounds = _count(answers, "box_grounds")
    clamps = answers.get("box_clamps")
    gangs = _count(answers, "box_device_gangs")
    ground_size = _size(answers, "box_ground_size")
    device_wire = _size(answers, "box_device_wire")

    missing = [] if any(counted.values()) else open_sizes
    if grounds is None:
        missing.append("box_grounds")
    elif grounds > 0 and not ground_size:
        missing.append("box_ground_size")
    if not isinstance(clamps, bool):
        missing.append("box_clamps")
    if gangs is None:
        missing.append("box_device_gangs")
    elif gangs > 0 and not device_wire:
        missing.append("box_device_wire")
    if missing or grounds is None or gangs is None:
        return tuple(missing)
    return BoxContents(
        wires={size: number for size, number in counted.items() if number},
        grounds=grounds,
        ground_size=ground_size if grounds else "",
        clamps=clamps is True,
        devices=(Device(gangs, device_wire),) if gangs else (),
        support_fittings=_count(answers, "box_support_fittings") or 0,
        terminal_blocks=_count(answers, "box_terminal_blocks") or 0,
    )


def _sizes(contents: BoxContents) -> set[str]:
    """Every size of conductor that is present in the box."""
    present = {size for size, number in contents.wires.items() if number}
    present.update(device.wire for device in contents.devices if device.gangs)
    if contents.grounds:
        present.add(contents.ground_size)
    return present


def _exact(value: float) -> Decimal:
    """The decimal number as written: binary fractions would make a full box look over-full."""
    return Decimal(str(value))


def _count(answers: Mapping[str, object], question: str) -> int | None:
    value = answers.get(question)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return None
    return int(value)


def _size(answers: Mapping[str, object], question: str) -> str:
    value = answers.get(question)
    return value.removeprefix("awg") if isinstance(value, str) else ""
