"""One circuit as a picture: what feeds what, and how far each protective device reaches.

An outlet takes one row. The longest branch goes straight down in the column of what feeds it, and
each shorter one begins a column further right: of n outlets, no more than the binary logarithm of n
columns are needed, however long or wide the branching is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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
    Sure,
    Text,
    piled,
    shortened,
    width_of,
    written,
)
from walkthrough.report.drawing_legend import hatch_of
from walkthrough.report.drawing_marks import OUTLET, Giver, Kind, Marks, lettered
from walkthrough.report.text import joined
from walkthrough.survey.model import PANEL
from walkthrough.trade.wiring import SURE

Data = Mapping[str, Any]

FIRST, COLUMN = 20.0, 20.0
"""Where the first column is, and how far apart columns are."""
HEIGHT = 40.0
"""The height of one outlet."""
_MIDDLE = HEIGHT / 2
_CELL, _MOST_CELL = 42.0, 90.0
_LEAST_TEXT = 170.0
_TEXT = WIDTH - 2 * _CELL
"""What stands beside the cells of a picture that is no wider than it must be."""
_SURE: dict[str, Sure] = {**dict.fromkeys(SURE, "sure"), "unknown": "unknown"}

ROOT = ""
"""The panel itself, in `Node.above`."""


@dataclass(frozen=True)
class Node:
    """An outlet in its row: its column, that of what feeds it, and the columns that go past it.

    `past` holds, for each column whose line goes past this row, an outlet to which it leads; `own`
    one that hangs on this outlet itself.
    """

    line: Data
    column: int
    above: int
    past: dict[int, Data]
    own: Data | None


def rows_of(wiring: Sequence[Data], top: str) -> list[Node]:
    """The outlets that hang on `top`, each in its row; what hangs below another follows it."""
    below: dict[str, list[Data]] = {}
    for each in wiring:
        below.setdefault(each["hangs_on"], []).append(each)
    sizes: dict[str, int] = {}
    for each in reversed(wiring):
        # What hangs on an outlet stands after it, so its size is known by now.
        sizes[each["outlet"]] = 1 + sum(sizes[o["outlet"]] for o in below.get(each["outlet"], ()))

    def in_order(name: str) -> list[Data]:
        """The longest branch last: it goes straight on."""
        here = below.get(name, [])
        longest = max(here, key=lambda each: sizes[each["outlet"]], default=None)
        return [*(each for each in here if each is not longest), *([longest] if longest else [])]

    rows: list[Node] = []
    # Outlets still to be put, the next one last: column, column above, and what goes past.
    to_put: list[tuple[Data, int, int, dict[int, Data]]] = []

    def put_below(name: str, column: int, past: dict[int, Data]) -> Data | None:
        here = in_order(name)
        for number, each in reversed(list(enumerate(here))):
            rest = here[number + 1 :]
            goes_past = {**past, **({column: _surest(rest)} if rest else {})}
            to_put.append((each, column if not rest else column + 1, column, goes_past))
        return _surest(here) if here else None

    put_below(top, 0, {})
    while to_put:
        line, column, above, past = to_put.pop()
        own = put_below(line["outlet"], column, past)
        rows.append(Node(line, column, above, past, own))
    return rows


def _surest(lines: Sequence[Data]) -> Data:
    """What stands for a line that leads to several outlets."""
    order: list[Sure] = ["sure", "unsure", "unknown"]
    return min(lines, key=lambda each: order.index(_sure(each)))


def _sure(line: Data) -> Sure:
    return _SURE.get(line["known_by"], "unsure") if line["hangs_on"] else "unknown"


class Tree:
    """The drawing of one circuit, and what its letters mean."""

    def __init__(self, marks: Marks, circuit: Data) -> None:
        self._marks = marks
        self._circuit = circuit
        self._wiring = circuit["wiring"]
        self._kinds = marks.traced
        widest = max((width_of(each.label, SOFT, is_bold=True) for each in self._kinds), default=0)
        self._cell_width = min(max(_CELL, widest + 5), _MOST_CELL)
        cells = self._cell_width * len(self._kinds)
        self.letters = self._lettered()
        """Device or breaker -> its letter, in the order in which one meets them."""
        self._rows = rows_of(self._wiring, PANEL)
        self._loose = rows_of(_under_nothing(self._wiring), ROOT)
        deepest = max((each.column for each in [*self._rows, *self._loose]), default=0)
        self._text_at = FIRST + 18
        least = self._text_at + deepest * COLUMN + _LEAST_TEXT + cells + 2
        self.width = max(_TEXT + cells, least)
        self._cells_at = self.width - cells - 1

    def drawn(self, id: str) -> list[Drawing]:
        """The picture, on as many pages as it needs."""
        name = self._circuit["id"]
        parts = [[self._head(), *map(self._row, self._rows)]]
        if self._loose:
            loose = Band(22, (
                Line(FIRST, 16, FIRST, 22, "unknown"),
                written(8, 12, "What feeds these is not known:", self._cells_at - 8, SOFT),
            ))  # fmt: skip
            parts.append([loose, *map(self._row, self._loose)])
        if self.letters:
            parts.append([Band(8), *(self._meaning(*each) for each in self.letters.items())])
        again = Band(16, tuple(self._heads(12)))
        return piled(id, f"Wiring of circuit {name}", self._told(), parts, self.width, again)

    def _lettered(self) -> dict[Giver, str]:
        covering = dict.fromkeys(
            by
            for each in self._wiring
            for kind in self._kinds
            for by in self._marks.by(each["outlet"], kind)
        )
        return {by: lettered(number) for number, by in enumerate(covering)}

    def _told(self) -> str:
        """The picture in words, for who hears it; the table beside it says more."""
        hung = joined(
            (
                f"{each['outlet']} hangs on "
                + (each["hangs_on"] or "what is not known")
                + (f" ({each['known_by']})" if each["known_by"] not in ("opened", "") else "")
                for each in self._wiring
            ),
            "; ",
        )
        covers = joined(
            (
                f"{kind.label} of {by.name} covers {', '.join(covered)}"
                for by in self.letters
                for kind in self._kinds
                if (
                    covered := [
                        each["outlet"]
                        for each in self._wiring
                        if by in self._marks.by(each["outlet"], kind)
                    ]
                )
            ),
            "; ",
        )
        return joined((hung, covers), ". ") + "."

    def _head(self) -> Band:
        circuit, room = self._circuit, self._cells_at - 12
        shapes: list[Shape] = [
            Box(4, 2, room, 36),
            written(
                10, 17, joined((circuit["id"], circuit["serves"])), room - 12, NAME, is_bold=True
            ),
            written(
                10, 32, joined((f"panel {circuit['panel']}", *circuit["told"])), room - 12, SOFT
            ),
        ]
        if self._rows:
            shapes.append(Line(FIRST, 38, FIRST, 44, _sure(_surest([r.line for r in self._rows]))))
        return Band(44, (*shapes, *self._heads(36)))

    def _heads(self, y: float) -> list[Shape]:
        """The names of the kinds of protection, above their cells."""
        room = self._cell_width
        lefts = ((kind, self._cells_at + n * room) for n, kind in enumerate(self._kinds))
        return [written(left + 2, y, kind.label, room - 3, SOFT, True) for kind, left in lefts]

    def _row(self, node: Node) -> Band:
        line = node.line
        x = FIRST + node.column * COLUMN
        text_at = x + 18
        room = self._cells_at - text_at - 6
        # The name of an outlet comes before its place, but leaves some room for it.
        name = shortened(line["outlet"], room * 0.6, NAME, is_bold=True)
        taken = width_of(name, NAME, is_bold=True)
        shapes: list[Shape] = [
            *self._wires(node, x),
            Mark(x, _MIDDLE, self._marks.word(line["outlet"]), is_framed=bool(line["gives"])),
            Text(text_at, 17, name, taken, NAME, is_bold=True),
        ]
        if line["at"] and room - taken > 20:
            shapes.append(written(text_at + taken + 6, 17, line["at"], room - taken - 6))
        shapes.append(written(text_at, 32, self._said(line), room, SOFT))
        for number, kind in enumerate(self._kinds):
            left = self._cells_at + number * self._cell_width
            shapes += self._cell(line["outlet"], kind, hatch_of(number), left)
        return Band(HEIGHT, tuple(shapes))

    def _wires(self, node: Node, x: float) -> list[Shape]:
        """The lines in this row: to the outlet, from it, and past it."""
        feeds = FIRST + node.above * COLUMN
        line = _sure(node.line), node.line["side"] == "load"
        shapes: list[Shape] = []
        for column, to in node.past.items():
            at = FIRST + column * COLUMN
            shapes.append(Line(at, 0, at, HEIGHT, _sure(to), to["side"] == "load"))
        if node.above == node.column:
            shapes.append(Line(x, 0, x, _MIDDLE, *line))
        else:
            shapes.append(Line(feeds, _MIDDLE, x, _MIDDLE, *line))
        if node.own is not None:
            shapes.append(Line(x, _MIDDLE, x, HEIGHT, _sure(node.own), node.own["side"] == "load"))
        return shapes

    def _said(self, line: Data) -> str:
        """What stands below the name: on which side it is fed, its device, what was found."""
        hangs = line["hangs_on"]
        side = ""
        if hangs and hangs != PANEL and line["side"] != "through":
            side = f"on {line['side'].upper()} of {hangs}"
        loose = "" if hangs or not line["fed_from"] else f"noted as fed from {line['fed_from']}"
        letter = self.letters.get(Giver(OUTLET, line["outlet"]))
        device = joined((letter or "", line["device"] if line["gives"] else ""), ": ")
        topics = self._marks.topics(line["outlet"])
        found = f"found: {', '.join(topics)}" if topics else ""
        missed = "not fully tested" if self._marks.missed(line["outlet"]) else ""
        return joined((device, side or loose, missed, found), "; ")

    def _cell(self, outlet: str, kind: Kind, hatch: Hatch, left: float) -> list[Shape]:
        """Whether an outlet is protected, and by what: cells of one device join to a bar."""
        has = self._marks.has(outlet, kind)
        if has == "yes":
            by = "+".join(self.letters[each] for each in self._marks.by(outlet, kind)) or "yes"
            plate = min(width_of(by, SOFT, is_bold=True) + 8, self._cell_width - 8)
            middle = left + self._cell_width / 2
            return [
                Box(left + 2, 0, self._cell_width - 4, HEIGHT, hatch),
                Box(middle - plate / 2, _MIDDLE - 9, plate, 18),
                written(middle - plate / 2 + 4, _MIDDLE + 4, by, plate - 6, SOFT, is_bold=True),
            ]
        may_be_asked = self._marks.is_asked(outlet, kind) or self._marks.is_disputed(outlet, kind)
        if has == "no" and not may_be_asked:
            return []
        said = "?" if has == "unknown" else "no"
        return [
            Box(left + 8, _MIDDLE - 9, _CELL - 16, 18, "", "unknown" if said == "?" else "sure"),
            written(left + 13, _MIDDLE + 4, said, _CELL - 24, SOFT),
        ]

    def _meaning(self, by: Giver, letter: str) -> Band:
        room = self.width - 40
        return Band(16, (
            written(8, 12, letter, 24, SOFT, is_bold=True),
            written(34, 12, by.stands(self._marks.data), room, SOFT),
        ))  # fmt: skip


def _under_nothing(wiring: Sequence[Data]) -> list[Data]:
    """What hangs nowhere, with all that hangs on it."""
    kept: list[Data] = []
    names = {ROOT}
    for each in wiring:
        if each["hangs_on"] in names:
            names.add(each["outlet"])
            kept.append(each)
    return kept
