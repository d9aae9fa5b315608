"""What the marks, lines and strokes of the drawings mean, as a drawing of its own."""

from __future__ import annotations

from collections.abc import Sequence

from walkthrough.report.drawing import (
    LETTERS,
    SOFT,
    WIDTH,
    Band,
    Box,
    Drawing,
    Hatch,
    Line,
    Mark,
    Shape,
    piled,
    written,
)
from walkthrough.report.drawing_marks import Kind
from walkthrough.report.words import SEVERITY

Row = tuple[Sequence[Shape], str]

_HATCHES: tuple[Hatch, ...] = ("slant", "level", "cross", "solid")

_TEXT_AT = 58.0
_MARKS = {
    **SEVERITY,
    "not tested": "not reached, or not fully tested; also behind a name",
    "open": "nothing found yet, and something is not known",
    "nothing": "nothing found",
}


def marks_explained(id: str) -> list[Drawing]:
    """The marks alone, for pictures of rooms and of devices."""
    return _drawn(id, "What the marks mean", _mark_rows())


def hatch_of(number: int) -> Hatch:
    """The strokes of a kind of protection, which are counted from 0; the fifth begins anew."""
    return _HATCHES[number % len(_HATCHES)]


def wiring_explained(kinds: Sequence[Kind], id: str) -> list[Drawing]:
    """The marks, and the lines and strokes of a picture of wiring that traces such protection."""
    rows: list[Row] = [
        *_mark_rows(),
        ([Mark(20, 11, "nothing", is_framed=True)], "device with TEST and RESET"),
        ([Line(8, 11, 50, 11)], "order seen: box opened, or shown by a trip test"),
        ([Line(8, 11, 50, 11, "unsure")], "order worked out or told, not seen"),
        ([Line(8, 11, 50, 11, "unknown")], "order not known"),
        ([Line(8, 11, 50, 11, is_wide=True)], "from the LOAD terminals of the device above"),
        *(
            ([Box(8, 2, 38, 18, hatch_of(number))], f"{kind.label} by what has the letter")
            for number, kind in enumerate(kinds)
        ),
        ([Box(8, 2, 38, 18), written(13, 15, "no", 20, SOFT)], "asked for, and not there"),
        ([Box(8, 2, 38, 18, line="unknown"), written(13, 15, "?", 20, SOFT)], "not known"),
    ]
    return _drawn(id, "How to read the wiring", rows)


def _mark_rows() -> list[Row]:
    return [([Mark(20, 11, word)], _MARKS[word]) for word in LETTERS]


def _drawn(id: str, title: str, rows: Sequence[Row]) -> list[Drawing]:
    room = WIDTH - _TEXT_AT - 4
    bands = [Band(23, (*shapes, written(_TEXT_AT, 15, said, room, SOFT))) for shapes, said in rows]
    told = "; ".join(said for _, said in rows)
    return piled(id, title, told, [bands])
