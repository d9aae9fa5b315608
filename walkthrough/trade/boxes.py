"""Boxes: their volume and depth, what fits into them, and which standard box would do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from walkthrough.trade.box_fill import BoxContents, Fill, fill
from walkthrough.trade.box_fill import Step as Line
from walkthrough.trade.box_readings import Found, Reading, notes, readings
from walkthrough.trade.tables import NOTHING, Figure, Ground, Tables, exact
from walkthrough.trade.working import Step, Value, Verdict, Working, told

FitWord = Literal["yes", "no", "not known"]


@dataclass(frozen=True, slots=True)
class Space:
    """The box: volumes in cubic inches, depths in inches.

    `boxes` are rows of the table of standard boxes, one for each gang or box joined; a marked
    volume goes before them. A ring without a mark is None. `depth_in` is the inside depth as
    assembled, `device_in` how far the device reaches behind the plane that it is mounted on.
    """

    boxes: tuple[str, ...] = ()
    marked_in3: Decimal | None = None
    rings_in3: tuple[Decimal | None, ...] = ()
    barriers: tuple[str | Decimal, ...] = ()
    depth_in: Decimal | None = None
    device_in: Decimal | None = None


def box_fill(found: Found, space: Space, tables: Tables, protective: str = "") -> Working:
    """The fill of a box against its volume and depth, 314.16 and 314.24.

    `protective` names a kind of protective device of which is asked whether it would fit. Raises
    NoRow where the ruleset lacks a figure.
    """
    ways = readings(found, tables)
    fills = [_fill(way, tables) for way in ways]
    fills.sort(key=lambda each: each.total_in3, reverse=True)
    steps = [_line(step, tables) for step in fills[0].steps]
    total = exact(fills[0].total_in3)
    sections = sum((step.ground for step in steps), tables.ground("box_count", "wire"))
    steps.append(Step("fill of the box", _sum(fills[0]), total, "in3", sections))
    caveats = list(notes(found, tables))
    volume, volume_steps = _volume(space, tables)
    steps += volume_steps
    told_ways = _told_ways(ways, tables)
    by_volume, because = _by_volume([exact(each.total_in3) for each in fills], volume)
    if len(told_ways) > 1:
        caveats.append("Readings differ: " + "; ".join(told_ways) + ".")
    by_depth, depth_steps, depth_because = _by_depth(ways[0].contents, space, tables)
    steps += depth_steps
    caveats += depth_because
    caveats += _caveats(space, found, tables)
    smallest = _smallest(total, tables)
    spare = volume - total if volume is not None else None
    result: dict[str, Value] = {
        "fill_in3": total,
        "volume_in3": volume,
        "spare_in3": spare,
        "by_volume": by_volume,
        "by_depth": by_depth,
        "smallest_standard_box": next(iter(smallest.values()), None),
        "smallest_of_each_shape": {
            str(box["shape"]): box for box in smallest.values() if isinstance(box, dict)
        },
        "room_for_more": _room(spare, tables),
    }
    if len(fills) > 1:
        result["other_readings_in3"] = tuple(exact(each.total_in3) for each in fills[1:])
    verdict = _worst(by_volume, by_depth)
    if by_depth == "fail":
        because = f"{because} {depth_because[0]}"
    if protective:
        fits, why, fit_steps = _would_fit(protective, by_volume, by_depth, space, tables)
        steps += fit_steps
        result["protective_device"] = {"kind": protective, "fits": fits, "because": why}
        because = f"{because} {why}"
        if fits == "no" and verdict == "pass":
            verdict = "advice"
    return Working(tuple(steps), result, verdict, because, tuple(caveats))


def would_fit(protective: str, found: Found, space: Space, tables: Tables) -> FitWord:
    """Whether a protective device would fit in place of the device that is there.

    A protective device takes the same allowances as the one that it replaces: what may be wanting
    is depth. Raises NoRow.
    """
    working = box_fill(found, space, tables)
    by_volume, by_depth = working.result["by_volume"], working.result["by_depth"]
    return _would_fit(protective, by_volume, by_depth, space, tables)[0]


def depth_of(space: Space, tables: Tables) -> Decimal | None:
    """The inside depth that is known: as measured, else of the shallowest standard box."""
    if space.depth_in is not None:
        return space.depth_in
    return min((tables.number("standard_box", each, 1) for each in space.boxes), default=None)


def _fill(way: Reading, tables: Tables) -> Fill:
    allowance = {size: tables.number("box_allowance_in3", size) for size in _sizes(tables)}
    counts = {row: tables.number("box_count", row) for row in tables.rows("box_count")}
    return fill(
        way.contents,
        {size: float(each) for size, each in allowance.items()},
        {row: float(each) for row, each in counts.items()},
    )


def _sizes(tables: Tables) -> tuple[str, ...]:
    return tables.rows("box_allowance_in3")


def _line(step: Line, tables: Tables) -> Step:
    ground = sum((tables.ground("box_count", row) for row in step.rows), NOTHING)
    ground += tables.ground("box_allowance_in3", step.wire)
    count, each = exact(step.count), exact(step.each_in3)
    further = "per_further_ground" in step.rows and count != 1
    how = " (1 for the first four, a quarter for each further one)" if further else ""
    formula = f"{told(count)}{how} x {told(each)} in3"
    return Step(step.label, formula, count * each, "in3", ground)


def _sum(filled: Fill) -> str:
    parts = [told(exact(step.count) * exact(step.each_in3)) for step in filled.steps]
    return " + ".join(parts) or "nothing counts"


def _volume(space: Space, tables: Tables) -> tuple[Decimal | None, list[Step]]:
    """The volume of the box with its rings, less its barriers; None where it cannot be told."""
    steps: list[Step] = []
    parts: list[Decimal] = []
    if space.marked_in3 is not None:
        marked = Step("volume of the box", "as marked", space.marked_in3, "in3", _marked(tables))
        steps.append(marked)
        parts.append(space.marked_in3)
    else:
        for box in space.boxes:
            figure = tables.figure("standard_box", box)
            steps.append(Step("volume of the box", box, figure.value, "in3", figure.ground))
            parts.append(figure.value)
    if not parts:
        return None, []
    for ring in space.rings_in3:
        how = "as marked" if ring is not None else "no mark: adds nothing"
        steps.append(
            Step("ring, cover or extension", how, ring or Decimal(0), "in3", _marked(tables))
        )
        parts.append(ring or Decimal(0))
    for barrier in space.barriers:
        if isinstance(barrier, str):
            figure = tables.figure("box_barrier_in3", barrier)
            how = f"{barrier}, not marked"
        else:
            figure, how = Figure(barrier, _marked(tables)), "as marked"
        steps.append(Step("barrier takes", how, -figure.value, "in3", figure.ground))
        parts.append(-figure.value)
    volume = sum(parts, Decimal(0))
    if len(parts) > 1:
        formula = " + ".join(told(each) for each in parts).replace("+ -", "- ")
        steps.append(Step("volume in all", formula, volume, "in3"))
    return volume, steps


def _marked(tables: Tables) -> Ground:
    """Marks are read off the box: the table's section speaks of them, its figures do not."""
    rows = tables.rows("box_barrier_in3")
    return Ground(tables.ground("box_barrier_in3", rows[0]).cite if rows else ())


def _by_volume(totals: Sequence[Decimal], volume: Decimal | None) -> tuple[Verdict, str]:
    told_total = told(totals[0])
    if volume is None:
        return "cannot assess", (
            f"The box needs {told_total} in3. Its volume is not known: give the mark, or the size "
            "of a standard metal box."
        )
    fitting = [total <= volume for total in totals]
    if all(fitting):
        how = "exactly full, which passes" if totals[0] == volume else "enough"
        return "pass", f"{told_total} in3 in a box of {told(volume)} in3: {how}."
    if any(fitting):
        return "ask the AHJ", (
            f"{' or '.join(told(each) for each in totals)} in3 by the reading, in a box of "
            f"{told(volume)} in3."
        )
    over = told(totals[0] - volume)
    return "fail", f"{told_total} in3 in a box of {told(volume)} in3: {over} in3 too much."


def _told_ways(ways: Sequence[Reading], tables: Tables) -> list[str]:
    return [
        f"{told(exact(_fill(way, tables).total_in3))} in3 where {' and '.join(way.told)}"
        for way in ways
        if way.told
    ]


def _by_depth(
    contents: BoxContents, space: Space, tables: Tables
) -> tuple[Verdict, list[Step], list[str]]:
    """The depth of 314.24: by the largest conductor on the devices and by the device's body."""
    wires = sorted((each.wire for each in contents.devices if each.gangs), key=int)
    figure = tables.figure("box_depth_in", wires[0] if wires else "none")
    about = f"largest conductor on a device {wires[0]} AWG" if wires else "no device in the box"
    needed = figure.value
    steps = [Step("least depth of the box", about, needed, "in.", figure.ground)]
    for row in ("any", *wires[:1]):
        if space.device_in is None or not tables.has("box_projection_in", row):
            continue
        limit = tables.figure("box_projection_in", row)
        if space.device_in > limit.value:
            behind = tables.number("box_projection_in", "room_behind")
            needed = max(needed, space.device_in + behind)
            formula = (
                f"device reaches {told(space.device_in)} in., more than {told(limit.value)}: "
                f"{told(space.device_in)} + {told(behind)}"
            )
            steps.append(
                Step("depth for its body", formula, space.device_in + behind, "in.", limit.ground)
            )
    depth = depth_of(space, tables)
    if depth is None and not wires and space.device_in is None:
        # Nothing in the box needs depth, and every box has the little that is asked then.
        return "cannot assess", [], []
    if depth is None:
        return "cannot assess", steps, [f"Depth not told, not checked: {told(needed)} in. needed."]
    how = "as told" if space.depth_in is not None else "of the standard box"
    steps.append(Step("depth of the box", how, depth, "in."))
    if depth >= needed:
        return "pass", steps, []
    if space.rings_in3 and space.depth_in is None:
        return (
            "cannot assess",
            steps,
            [f"Depth: {told(needed)} in. needed; measure it with the ring, which counts."],
        )
    return "fail", steps, [f"Depth {told(depth)} in., needed {told(needed)} in."]


def _worst(by_volume: Verdict, by_depth: Verdict) -> Verdict:
    """The depth counts where it is known; without it the volume decides."""
    if "fail" in (by_volume, by_depth):
        return "fail"
    return by_volume


def _smallest(total: Decimal, tables: Tables) -> dict[str, Value]:
    """The smallest standard box of each shape that holds the fill, the smallest of all first."""
    boxes = sorted(tables.rows("standard_box"), key=lambda box: tables.number("standard_box", box))
    found: dict[str, Value] = {}
    for box in boxes:
        figure = tables.figure("standard_box", box)
        shape = shape_of(box)
        if figure.value >= total and shape not in found:
            found[shape] = {
                "box": box,
                "shape": shape,
                "volume_in3": figure.value,
                "confidence": figure.ground.confidence,
            }
    return found


def shape_of(box: str) -> str:
    """The word that tells boxes of equal measures apart: round, square, device, ..."""
    words = [word for word in box.split() if not word[0].isdigit() and word != "x"]
    return " ".join(words)


def _room(spare: Decimal | None, tables: Tables) -> Value:
    """How many further conductors of each size the room that is left holds."""
    if spare is None:
        return None
    return {
        f"{size}_awg": int(max(spare, Decimal(0)) // tables.number("box_allowance_in3", size))
        for size in _sizes(tables)
    }


def _caveats(space: Space, found: Found, tables: Tables) -> Iterator[str]:
    # The table's counts are for wires of one size and nothing else in the box.
    counting_8 = not found.wires or "8" in found.wires
    for box in space.boxes if counting_8 and space.marked_in3 is None else ():
        if tables.has("box_print_count_8_awg", box):
            printed = told(tables.number("box_print_count_8_awg", box))
            yield (
                f"Copies of the table print {printed} conductors of 8 AWG for the {box} box, which "
                "its volume does not give; the volume is taken here."
            )
    if any(ring is None for ring in space.rings_in3):
        yield "Rings and covers add volume only if marked with it."
    if space.marked_in3 is not None and space.boxes:
        yield "The marked volume is taken; it may be more than the table's."


def _would_fit(
    kind: str, by_volume: Value, by_depth: Value, space: Space, tables: Tables
) -> tuple[FitWord, str, list[Step]]:
    if by_volume == "fail" or by_depth == "fail":
        return "no", f"No {kind} device fits: the box is too small as it is.", []
    steps: list[Step] = []
    body = space.device_in
    ground = tables.ground("device_body_in", kind)
    if body is None:
        body = tables.number("device_body_in", kind)
        formula = f"{kind}, not measured: rule of thumb"
        steps.append(Step("body of the device", formula, body, "in.", ground))
    behind = tables.number("device_body_in", "room_behind")
    needed = body + behind
    formula = f"{told(body)} + {told(behind)} in. behind it"
    steps.append(Step("depth for the device", formula, needed, "in.", ground))
    depth = depth_of(space, tables)
    if depth is None or by_volume != "pass":
        return "not known", "Whether it fits is not known: volume or depth is missing.", steps
    if depth < needed:
        return (
            "no",
            f"By rule of thumb the {kind} device needs {told(needed)} in. of depth; there are "
            f"{told(depth)}.",
            steps,
        )
    return "yes", f"A {kind} device fits: {told(needed)} in. of depth needed.", steps
