"""Draws a judged wall line as a strip of text: what is served, what is too far, where to add."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from walkthrough.trade.lengths import told
from walkthrough.trade.reach import Place
from walkthrough.trade.spacing import Spacing
from walkthrough.trade.wall_line import Stretch

COLUMNS = 76
SERVED, TOO_FAR, NOT_ASKED, BREAK = "-", "x", ".", " "
COUNTS, LEFT_OUT = "O", "n"
LEGEND = "O receptacle  n not counted  - served  x too far  . too narrow  (++) add one"


def strip(spacing: Spacing, columns: int = COLUMNS) -> list[str]:
    """The lines of the drawing, at most `columns` wide; the last one explains the signs."""
    if not spacing.line.length_in:
        return []
    drawing = _Drawing(spacing, columns)
    return [drawing.line(), *drawing.additions(), *drawing.scale(), LEGEND[:columns]]


class _Drawing:
    def __init__(self, spacing: Spacing, columns: int) -> None:
        self._spacing = spacing
        self._columns = columns
        self._length = spacing.line.length_in

    def _cell(self, point: Fraction) -> int:
        """The column of a point; past the end of a line that goes around it begins again."""
        if point > self._length:
            point -= self._length
        return min(int(point * self._columns / self._length), self._columns - 1)

    def _middle(self, column: int) -> Fraction:
        return (column + Fraction(1, 2)) * self._length / self._columns

    def line(self) -> str:
        """The line itself, with the receptacles on it and the names of what breaks it."""
        cells = [self._sign(self._middle(each)) for each in range(self._columns)]
        for stretch, start, end in self._spacing.line.placed():
            here = [each for each in range(self._columns) if start <= self._middle(each) < end]
            if all(cells[each] == BREAK for each in here):
                self._name(cells, stretch, here or [self._cell(start)])
        for served in self._spacing.served:
            for gap in served.gaps:
                # However short it is, a gap shows.
                cells[self._cell((gap.start_in + gap.end_in) / 2)] = TOO_FAR
        counting = {at for served in self._spacing.served for at in served.at_in}
        for each in self._spacing.line.receptacles:
            turned = {each.at_in, each.at_in + self._length}
            cells[self._cell(each.at_in)] = COUNTS if counting & turned else LEFT_OUT
        return "".join(cells).rstrip()

    def _sign(self, point: Fraction) -> str:
        for served in self._spacing.served:
            space = served.space
            here = next(
                (p for p in (point, point + self._length) if space.start_in <= p <= space.end_in),
                None,
            )
            if here is None:
                continue
            if not served.asked:
                return NOT_ASKED
            turned = (here, here + self._length) if space.ring else (here,)
            far = any(g.start_in <= p <= g.end_in for g in served.gaps for p in turned)
            return TOO_FAR if far else SERVED
        return BREAK

    def _name(self, cells: list[str], stretch: Stretch, here: list[int]) -> None:
        """Write what stands there into its columns, in brackets, where there is room."""
        room = len(here) - 2
        if room < 1:
            cells[here[0]] = "|"
            return
        cells[here[0] : here[-1] + 1] = f"[{stretch.kind[:room].center(room)}]"

    def additions(self) -> Iterator[str]:
        """Where receptacles can be added; ranges that would touch stand on lines of their own."""
        rows: list[list[str]] = []
        ends: list[int] = []
        for served in self._spacing.served:
            for place in dict.fromkeys(each for places in served.places for each in places):
                first, last = self._columns_of(place)
                row = next((n for n, end in enumerate(ends) if end + 1 < first), len(rows))
                if row == len(rows):
                    rows.append([" "] * self._columns)
                    ends.append(0)
                rows[row][first : last + 1] = _bracket(last - first + 1)
                ends[row] = last
        return ("".join(row).rstrip() for row in rows)

    def _columns_of(self, place: Place) -> tuple[int, int]:
        first, last = self._cell(place.earliest_in), self._cell(place.latest_in)
        # A range that runs over the start of a line that goes around is drawn up to its end.
        return (first, last) if first <= last else (first, self._columns - 1)

    def scale(self) -> Iterator[str]:
        """Where the stretches begin and end, as far as there is room to say it."""
        unit = "in" if self._spacing.of == "counter" else "ft"
        ends = [Fraction(0), *(end for _, _, end in self._spacing.line.placed())]
        row = ""
        last = told(ends[-1], unit)
        for point in ends[:-1]:
            text, column = told(point, unit), self._cell(point)
            if column >= len(row) + bool(row) and column + len(text) < self._columns - len(last):
                row = row.ljust(column) + text
        yield row.ljust(self._columns - len(last)) + last


def _bracket(width: int) -> list[str]:
    return ["^"] if width == 1 else ["(", *["+"] * (width - 2), ")"]
