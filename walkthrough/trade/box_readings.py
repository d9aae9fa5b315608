"""What a person finds in a box, turned into what counts; disputed points give several readings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal

from walkthrough.trade.box_fill import BoxContents, Device, largest_wire
from walkthrough.trade.tables import Tables
from walkthrough.trade.working import told


@dataclass(frozen=True, slots=True)
class Loop:
    """Unbroken loops or coils; `length_in` in inches, None for long ones."""

    wire: str
    number: int
    length_in: Decimal | None = None


@dataclass(frozen=True, slots=True)
class WideDevice:
    """A device of which the width is known (in inches) and not the gangs that it needs."""

    width_in: Decimal
    wire: str


@dataclass(frozen=True, slots=True)
class Found:
    """The inside of a box as a person sees it; wires by AWG size."""

    wires: Mapping[str, int] = field(default_factory=dict)
    loops: tuple[Loop, ...] = ()
    luminaire_wires: Mapping[str, int] = field(default_factory=dict)
    pigtails: tuple[str, ...] = ()
    grounds: Mapping[str, int] = field(default_factory=dict)
    isolated_grounds: Mapping[str, int] = field(default_factory=dict)
    clamps: bool = False
    support_fittings: int = 0
    devices: tuple[Device, ...] = ()
    wide_devices: tuple[WideDevice, ...] = ()
    terminal_blocks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """One way of counting a box; `told` says what sets it apart."""

    contents: BoxContents
    told: tuple[str, ...] = ()


def found_in(contents: BoxContents) -> Found:
    """The same box as a person sees it; blocks without a told wire are on the largest one."""
    blocks = (largest_wire(contents),) * contents.terminal_blocks
    return Found(
        wires=contents.wires,
        grounds={contents.ground_size: contents.grounds} if contents.grounds else {},
        clamps=contents.clamps,
        support_fittings=contents.support_fittings,
        devices=contents.devices,
        terminal_blocks=(*contents.terminal_block_wires, *(each for each in blocks if each)),
    )


def readings(found: Found, tables: Tables) -> tuple[Reading, ...]:
    """Every way of counting that the sources leave open; the one that takes most comes first.

    Raises NoRow.
    """
    ways = [Reading(_undisputed(found, tables))]
    if found.isolated_grounds:
        ways = [other for way in ways for other in _isolated(way, found, tables)]
    for device in found.wide_devices:
        ways = [other for way in ways for other in _wide(way, device, tables)]
    return tuple(ways)


def notes(found: Found, tables: Tables) -> Iterator[str]:
    """What was left out or counted otherwise than a person may think; raises NoRow."""
    if found.pigtails:
        yield "Pigtails and jumpers of which no part leaves the box are not counted."
    if found.luminaire_wires:
        free = tables.number("box_count", "luminaire_wires_free")
        left = sum(found.luminaire_wires.values()) - sum(_counted_wires(found, tables).values())
        yield (
            f"Of the luminaire's wires {left} are left out: up to {told(free)} that are smaller "
            f"than {told(tables.number('box_count', 'luminaire_wires_below_awg'))} AWG and end in "
            "the box; its equipment grounding conductor is left out too."
        )
    short = [each for each in found.loops if not _is_long(each, tables)]
    if short:
        least = told(tables.number("box_measure_in", "long_loop"))
        yield f"Loops shorter than {least} in. count once."
    if found.terminal_blocks and not tables.number("box_count", "terminal_block"):
        yield "Terminal blocks take no allowance under this edition; later ones count them."


def _undisputed(found: Found, tables: Tables) -> BoxContents:
    wires = dict(found.wires)
    loops: dict[str, int] = {}
    for loop in found.loops:
        into = loops if _is_long(loop, tables) else wires
        into[loop.wire] = into.get(loop.wire, 0) + loop.number
    for size, number in _counted_wires(found, tables).items():
        wires[size] = wires.get(size, 0) + number
    return BoxContents(
        wires=wires,
        loops=loops,
        grounds=sum(found.grounds.values()),
        ground_size=_largest(found.grounds),
        clamps=found.clamps,
        devices=found.devices,
        support_fittings=found.support_fittings,
        terminal_block_wires=found.terminal_blocks,
        uncounted=(*found.pigtails, *found.luminaire_wires),
    )


def _isolated(way: Reading, found: Found, tables: Tables) -> Iterator[Reading]:
    contents, number = way.contents, sum(found.isolated_grounds.values())
    size = _largest(found.isolated_grounds)
    apart = replace(contents, isolated_grounds=number, isolated_ground_size=size)
    disputed = tables.ground("box_count", "isolated_ground_set").confidence == "disputed"
    label = "the isolated grounds make an allowance of their own"
    yield Reading(apart, (*way.told, *((label,) if disputed else ())))
    if disputed:
        together = replace(
            contents,
            grounds=contents.grounds + number,
            ground_size=_largest({contents.ground_size or size: 1, size: 1}),
        )
        yield Reading(together, (*way.told, "the isolated grounds count among the other grounds"))


def _wide(way: Reading, device: WideDevice, tables: Tables) -> Iterator[Reading]:
    width = tables.number("box_measure_in", "device_box_width")
    gangs = max(1, math.ceil(device.width_in / width))
    for number in dict.fromkeys((gangs, 1)):
        label = f"the {told(device.width_in)} in. wide device takes {number} gang" + "s" * (
            number > 1
        )
        contents = replace(
            way.contents, devices=(*way.contents.devices, Device(number, device.wire))
        )
        yield Reading(contents, (*way.told, *((label,) if gangs > 1 else ())))


def _counted_wires(found: Found, tables: Tables) -> dict[str, int]:
    """Wires of luminaires beyond those that are left out; the thinnest are left out first."""
    if not found.luminaire_wires:
        return {}
    free = int(tables.number("box_count", "luminaire_wires_free"))
    below = int(tables.number("box_count", "luminaire_wires_below_awg"))
    counted: dict[str, int] = {}
    for size in sorted(found.luminaire_wires, key=int, reverse=True):
        number = found.luminaire_wires[size]
        left_out = min(number, free) if int(size) > below else 0
        free -= left_out
        counted[size] = number - left_out
    return {size: number for size, number in counted.items() if number}


def _is_long(loop: Loop, tables: Tables) -> bool:
    return loop.length_in is None or loop.length_in >= tables.number("box_measure_in", "long_loop")


def _largest(numbers: Mapping[str, int]) -> str:
    """The largest size that is there: the smallest AWG number."""
    return min((size for size, number in numbers.items() if number), key=int, default="")
