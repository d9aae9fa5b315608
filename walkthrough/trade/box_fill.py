"""Box fill: how many cubic inches the wires, devices and clamps in a box take, step by step."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from walkthrough.trade.tables import NoRow, exact

# Commonest first: where no count is known yet, this is the order in which they are asked for.
WIRE_SIZES = ("14", "12", "10", "18", "16", "8", "6")

_COUNT_OF = {"box_ground_size": "box_grounds", "box_device_wire": "box_device_gangs"}


@dataclass(frozen=True, slots=True)
class Device:
    """The devices of one yoke: the gangs that their mounting takes and their largest wire."""

    gangs: int
    wire: str


@dataclass(frozen=True, slots=True)
class BoxContents:
    """What takes room in a box; wire sizes are AWG numbers such as "14"."""

    wires: Mapping[str, int] = field(default_factory=dict)
    """Wires that come into the box by size, grounds left out; long loops are two or stand below."""
    loops: Mapping[str, int] = field(default_factory=dict)
    """Unbroken loops long enough to count double, by size."""
    grounds: int = 0
    ground_size: str = ""
    isolated_grounds: int = 0
    isolated_ground_size: str = ""
    clamps: bool = False
    devices: tuple[Device, ...] = ()
    support_fittings: int = 0
    terminal_blocks: int = 0
    """Blocks of which it is not told what ends on them: the largest wire never counts too low."""
    terminal_block_wires: tuple[str, ...] = ()
    """The largest wire that ends on each other block."""
    uncounted: tuple[str, ...] = ()
    """Sizes of pigtails and the like: they take no room, but may be the largest in the box."""


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the sum: so many allowances of so many cubic inches.

    `rows` are the rows of the table of counts that it rests on, `wire` the size that measures it.
    """

    label: str
    count: float
    each_in3: float
    rows: tuple[str, ...] = ()
    wire: str = ""

    @property
    def in3(self) -> float:
        """The volume of this line."""
        return float(exact(self.count) * exact(self.each_in3))


@dataclass(frozen=True, slots=True)
class Fill:
    """The volume taken, with the steps of the sum so that a person can check it."""

    steps: tuple[Step, ...]

    @property
    def total_in3(self) -> float:
        """The volume that the box must at least have."""
        lines = (exact(step.count) * exact(step.each_in3) for step in self.steps)
        return float(sum(lines, Decimal(0)))

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

    def line(label: str, number: float, row: str, wire: str) -> Step:
        if not number or not wire:
            return Step(label, 0, 0)
        return Step(label, _times(number, row, counts), allowance[wire], (row,), wire)

    # Without a single conductor the clamps and fittings have no size to be measured by.
    largest = max(_sizes(contents), key=lambda size: allowance[size], default="")
    devices = sorted(
        (each for each in contents.devices if each.gangs),
        key=lambda each: (allowance[each.wire], each.gangs),
    )
    steps = [
        *(
            Step(f"{size} AWG wires", number, allowance[size], ("wire",), size)
            for size, number in _by_size(contents.wires)
        ),
        *(
            line(f"long loops of {size} AWG", number, "long_loop", size)
            for size, number in _by_size(contents.loops)
        ),
        _ground_step(contents, allowance, counts),
        line(
            "isolated grounding wires",
            min(contents.isolated_grounds, 1),
            "isolated_ground_set",
            contents.isolated_ground_size,
        ),
        line("clamps inside", contents.clamps, "clamps", largest),
        line("luminaire studs and hickeys", contents.support_fittings, "support_fitting", largest),
        *(
            line(f"device on {each.wire} AWG", each.gangs, "per_gang", each.wire)
            for each in devices
        ),
        line("terminal blocks", contents.terminal_blocks, "terminal_block", largest),
        *(
            line(f"terminal block with {wire} AWG", 1, "terminal_block", wire)
            for wire in sorted(contents.terminal_block_wires, key=int)
        ),
    ]
    return Fill(tuple(step for step in steps if step.count and step.each_in3))


def _ground_step(
    contents: BoxContents, allowance: Mapping[str, float], counts: Mapping[str, float]
) -> Step:
    """All grounds together: the first few make one allowance, each further one a part of it."""
    if not contents.grounds:
        return Step("grounding wires", 0, 0)
    rows: tuple[str, ...] = ("first_grounds", "grounds_in_first")
    count = _times(1, "first_grounds", counts)
    further = contents.grounds - _times(1, "grounds_in_first", counts)
    if further > 0:
        rows += ("per_further_ground",)
        count += _times(further, "per_further_ground", counts)
    size = contents.ground_size
    return Step("grounding wires", count, allowance[size], rows, size)


def _times(number: float, item: str, counts: Mapping[str, float]) -> float:
    if item not in counts:
        raise NoRow(f"no count of allowances for '{item}'")
    return number * counts[item]


def _by_size(numbers: Mapping[str, int]) -> list[tuple[str, int]]:
    """Sizes that are there with their number, the thinnest first."""
    there = [(size, number) for size, number in numbers.items() if number]
    return sorted(there, key=lambda each: int(each[0]), reverse=True)


_SIZE = "box_wires_"


def worth_asking(missing: tuple[str, ...], cannot_tell: Collection[str]) -> tuple[str, ...]:
    """Of the questions that are open about a box, those with which anybody could still go on.

    Of a sum of which one part cannot be told, the other parts settle nothing. A size that was
    passed over is no such part, as long as another size may be counted.
    """
    sizes = [each for each in missing if each.startswith(_SIZE)]
    lost = [each for each in missing if each in cannot_tell and each not in sizes]
    if sizes and all(each in cannot_tell for each in sizes):
        lost += sizes
    return tuple(lost) or missing


def contents_from(answers: Mapping[str, object]) -> BoxContents | tuple[str, ...]:
    """What is in the box by the answers, or the questions that are still open.

    A person counts the sizes that are there and skips the rest: once some wire is counted, a size
    without an answer is none. A lone "no 18 AWG wires" says nothing yet about the other sizes.
    """
    counted = {size: _count(answers, f"{_SIZE}{size}") for size in WIRE_SIZES}
    open_sizes = [f"{_SIZE}{size}" for size, number in counted.items() if number is None]
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


def contents_so_far(answers: Mapping[str, object]) -> BoxContents:
    """What is in the box by the answers that are there; what is still open takes no room yet."""
    missing = contents_from(answers)
    if isinstance(missing, BoxContents):
        return missing
    # Without its size a count cannot be added up.
    words = (_COUNT_OF.get(word, word) for word in missing)
    found = contents_from({**answers, **{w: False if w == "box_clamps" else 0 for w in words}})
    assert isinstance(found, BoxContents)
    return found


def largest_wire(contents: BoxContents) -> str:
    """The largest size in the box, the smallest AWG number; "" where there is no wire."""
    return min(_sizes(contents), key=int, default="")


def _sizes(contents: BoxContents) -> set[str]:
    """Every size of conductor that is present in the box."""
    present = {size for size, number in contents.wires.items() if number}
    present.update(size for size, number in contents.loops.items() if number)
    present.update(contents.terminal_block_wires, contents.uncounted)
    present.update(device.wire for device in contents.devices if device.gangs)
    if contents.grounds:
        present.add(contents.ground_size)
    if contents.isolated_grounds:
        present.add(contents.isolated_ground_size)
    return present


def _count(answers: Mapping[str, object], question: str) -> int | None:
    value = answers.get(question)
    if (
        isinstance(value, bool)
        or not isinstance(value, int | float)
        or not -math.inf < value < math.inf
    ):
        return None
    return int(value)


def _size(answers: Mapping[str, object], question: str) -> str:
    value = answers.get(question)
    return value.removeprefix("awg") if isinstance(value, str) else ""
