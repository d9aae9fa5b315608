"""The reset map as a picture: each device with a RESET, where it stands, and what it covers."""

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
    Line,
    Shape,
    Sure,
    chips,
    piled,
    written,
)
from walkthrough.report.drawing_marks import Kind, Marks
from walkthrough.report.text import joined

Data = Mapping[str, Any]

_SPINE, _CHIPS = 18.0, 40.0


def bare(marks: Marks, kind: Kind) -> list[str]:
    """The outlets where protection of a kind is asked for and no working device is known."""
    return [
        name
        for name in marks.outlets
        if marks.is_asked(name, kind) and marks.has(name, kind) != "yes"
    ]


def resets_drawn(marks: Marks, id: str) -> list[Drawing]:
    """Every device with what hangs on it, then what is asked for and covered by none."""
    parts = [_device(marks, each) for each in marks.data["devices"]]
    for kind in marks.traced:
        if uncovered := bare(marks, kind):
            says = f"{kind.label} is asked for; no working device is known"
            parts.append([
                _named(says, "These have no RESET that is known to cover them.", "unknown"),
                *_covered(marks, uncovered, "unknown"),
                Band(8),
            ])  # fmt: skip
    told = joined((covers_told(marks, each) for each in marks.data["devices"]), " ")
    return piled(id, "Reset map: which device covers which outlets", told, parts)


def covers_told(marks: Marks, device: Data) -> str:
    """What a device covers, in a sentence."""
    told = joined(
        (
            f"{kind.label}: {', '.join(outlets)}"
            for kind in marks.traced
            if (outlets := device["covers"][kind.traced])
        ),
        "; ",
    )
    return f"{device['place']} covers {told or 'nothing that is known'}."


def _device(marks: Marks, device: Data) -> list[Band]:
    bands = [_named(device["place"], joined((device["device"], _test(device)), "; TEST: "))]
    given = ((kind.label, device["covers"][kind.traced]) for kind in marks.traced)
    covers = {label: outlets for label, outlets in given if outlets}
    for label, outlets in covers.items():
        if len(covers) > 1 or len(device["gives"]) > 1:
            line = Line(_SPINE, 0, _SPINE, 16)
            bands.append(Band(16, (line, written(_CHIPS, 12, label, WIDTH - _CHIPS, SOFT, True))))
        bands += _covered(marks, outlets, "sure")
    if not covers:
        bands.append(
            Band(18, (written(_CHIPS, 13, "no outlet is known to be protected by it", 300, SOFT),))
        )
    return [*bands, Band(8)]


def _test(device: Data) -> str:
    return device["test_result"] or "not recorded"


def _named(name: str, said: str, line: Sure = "sure") -> Band:
    room = WIDTH - 24
    return Band(40, (
        Box(4, 2, WIDTH - 8, 36, line=line),
        written(12, 17, name, room, NAME, is_bold=True),
        written(12, 32, said, room, SOFT),
    ))  # fmt: skip


def _covered(marks: Marks, outlets: Sequence[str], line: Sure) -> list[Band]:
    """Rows of outlets that hang on the device above them."""
    rows = chips(
        [(marks.named(name), marks.word(name)) for name in outlets], _CHIPS, WIDTH - 4, line
    )
    bands: list[Band] = []
    for number, row in enumerate(rows, 1):
        middle = row.height / 2
        ends = middle if number == len(rows) else row.height
        wires: list[Shape] = [
            Line(_SPINE, 0, _SPINE, ends, line),
            Line(_SPINE, middle, _CHIPS, middle, line),
        ]
        bands.append(Band(row.height, (*wires, *row.shapes)))
    return bands
