"""A wall line walked from one end to the other: its stretches, and the unbroken spaces in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from walkthrough.trade.reach import Space


@dataclass(frozen=True, slots=True)
class Stretch:
    """One piece of the line: what stands there and how long it is along the line, in inches.

    `behind_in` is, for a sink, range or cooktop, the depth of the counter behind it; None where
    nobody told it. `corner` says that it stands across a corner.
    """

    kind: str
    length_in: Fraction
    behind_in: Fraction | None = None
    corner: bool = False


@dataclass(frozen=True, slots=True)
class Receptacle:
    """A receptacle along the line, in inches from the line's start.

    `above_in` is its height above the floor (walls) or above the counter (counters), below zero
    where it stands under the top; `from_wall_in` is told of a floor receptacle only;
    `overhang_in` is how far the top stands out over one that is below it. `marks` are words of
    the ruleset's table of receptacles that do not count.
    """

    at_in: Fraction
    above_in: Fraction | None = None
    from_wall_in: Fraction | None = None
    overhang_in: Fraction | None = None
    marks: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Line:
    """A wall line. `around` says that its end meets its start, as along all walls of a room."""

    stretches: tuple[Stretch, ...]
    receptacles: tuple[Receptacle, ...] = ()
    around: bool = False

    @property
    def length_in(self) -> Fraction:
        """The whole length, doors and other breaks included."""
        return sum((each.length_in for each in self.stretches), Fraction(0))

    def placed(self) -> Iterator[tuple[Stretch, Fraction, Fraction]]:
        """Each stretch with where it begins and ends."""
        at = Fraction(0)
        for stretch in self.stretches:
            yield stretch, at, at + stretch.length_in
            at += stretch.length_in


def unbroken(line: Line, counts: Callable[[Stretch], bool]) -> tuple[Space, ...]:
    """The spaces of a line: stretches that count, joined until one that does not breaks them.

    Corners do not break a space. Where the line goes around, its end is joined to its start; a
    space that does so runs past the end of the line.
    """
    runs: list[Space] = []
    placed = list(line.placed())
    for counting, group in groupby(placed, key=lambda piece: counts(piece[0])):
        pieces = list(group)
        if counting:
            runs.append(Space(pieces[0][1], pieces[-1][2]))
    if not line.around or not runs or not (counts(placed[0][0]) and counts(placed[-1][0])):
        return tuple(runs)
    if runs[0].width_in == line.length_in:
        return (Space(runs[0].start_in, runs[0].end_in, ring=True),)
    first, *others, last = runs
    return (*others, Space(last.start_in, last.end_in + first.width_in))


def along(space: Space, line: Line, at_in: Sequence[Fraction]) -> tuple[Fraction, ...]:
    """The places that lie in a space; those past the end of a line that goes around count on."""
    if not line.around:
        return tuple(sorted({at for at in at_in if space.start_in <= at <= space.end_in}))
    turned = {at % line.length_in for at in at_in}
    if space.ring:
        return tuple(sorted(turned))
    # The end of such a line is its start, and a space may run past it.
    inside = {at + turn for at in turned for turn in (Fraction(0), line.length_in)}
    return tuple(sorted(at for at in inside if space.start_in <= at <= space.end_in))
