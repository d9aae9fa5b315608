"""The rooms as a picture: how much was found in each, how grave it is, and at which outlet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from walkthrough.report.drawing import (
    NAME,
    SOFT,
    WIDTH,
    Band,
    Box,
    Drawing,
    Hatch,
    Line,
    Mark,
    Shape,
    chips,
    piled,
    width_of,
    written,
)
from walkthrough.report.drawing_marks import Marks
from walkthrough.report.text import joined

Data = Mapping[str, Any]

HATCHES: dict[str, Hatch] = {
    "hazard": "solid",
    "serious": "cross",
    "upgrade": "slant",
    "info": "",
}
"""How the part of a bar is filled, gravest first."""
BESIDES = {
    "circuit": "Circuits",
    "panel": "Panels",
    "dwelling": "Building as a whole",
    "outlet": "Outlets in no room",
}
"""What stands beside the rooms, by the kind of what something was found at."""
_COUNTS_AT, _COUNT = 226.0, 51.0
_LEFT = 8.0


def rooms_drawn(marks: Marks, id: str) -> list[Drawing]:
    """Every room with a bar for what was found in it, and its outlets below; then the rest."""
    listed = list(marks.rooms())
    besides = marks.data["besides_rooms"]
    every = [*(room for room, _ in listed), *besides]
    most = max((sum(each["by_severity"].values()) for each in every), default=0)
    parts = [
        [
            counted(room_name(room), room["by_severity"], most, len(marks.not_tested_in(room))),
            *chips([(marks.named(name), marks.word(name)) for name in outlets], _LEFT, WIDTH - 4),
            Band(6),
        ]
        for room, outlets in listed
    ]
    parts += [
        [
            counted(BESIDES[each["of"]], each["by_severity"], most),
            *chips(
                [(name, marks.gravest(each["of"], name)) for name in each["subjects"]],
                _LEFT,
                WIDTH - 4,
            ),
            Band(6),
        ]
        for each in besides
    ]
    told = joined(
        (
            *(_told(room, marks, outlets) for room, outlets in listed),
            *(
                f"{BESIDES[each['of']]}: {severities_told(each['by_severity'])} "
                f"(at {', '.join(each['subjects'])})."
                for each in besides
            ),
        ),
        " ",
    )
    return piled(id, "Rooms, and what was found in them", told, parts)


def room_name(room: Data) -> str:
    """A room as one calls it; in a building of several units with its unit."""
    return joined((room["name"] or room["id"], room["unit"]))


def counted(name: str, by_severity: Mapping[str, int], most: int, untested: int = 0) -> Band:
    """A name, how many findings there are of each severity, and a bar of them.

    `most` is how many the longest bar stands for; nothing is called good where something is
    `untested`.
    """
    shapes: list[Shape] = [
        Line(4, 1, WIDTH - 4, 1),
        written(_LEFT, 18, name, _COUNTS_AT - _LEFT - 6, NAME, is_bold=True),
    ]
    for number, (severity, count) in enumerate(by_severity.items()):
        at = _COUNTS_AT + number * _COUNT
        if count:
            shapes += [
                Mark(at + 9, 14, severity),
                written(at + 21, 18, str(count), _COUNT - 23, NAME, is_bold=True),
            ]
    at = _LEFT
    for severity, count in by_severity.items():
        if count:
            long = (WIDTH - 2 * _LEFT) * count / most
            shapes.append(Box(at, 28, long, 10, HATCHES[severity]))
            at += long
    if not any(by_severity.values()):
        told = f"{untested} not fully tested" if untested else "nothing found"
        shapes.append(written(_COUNTS_AT, 18, told, width_of(told, SOFT) + 1, SOFT))
    return Band(42 if any(by_severity.values()) else 26, tuple(shapes))


def severities_told(by_severity: Mapping[str, int]) -> str:
    """The counts in words, without those of which there is none."""
    return ", ".join(f"{count} {each}" for each, count in by_severity.items() if count)


def _told(room: Data, marks: Marks, outlets: Sequence[str]) -> str:
    found = severities_told(room["by_severity"]) or "nothing found"
    at = [name for name in outlets if marks.topics(name)]
    untested = marks.not_tested_in(room)
    missed = f", not reached or not fully tested: {', '.join(untested)}" if untested else ""
    return f"{room_name(room)}: {found}" + (f" (at {', '.join(at)})" if at else "") + f"{missed}."
