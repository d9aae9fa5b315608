"""Points of a line that lie too far from every receptacle along it, and the fewest to add."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Space:
    """An unbroken part of a wall line, in inches from the start of the line.

    A ring goes all around and has no ends: its end is its start again.
    """

    start_in: Fraction
    end_in: Fraction
    ring: bool = False

    @property
    def width_in(self) -> Fraction:
        """How wide it is, measured along the line."""
        return self.end_in - self.start_in


@dataclass(frozen=True, slots=True)
class Gap:
    """A part of a space in which every point is too far from every receptacle of the space.

    A receptacle reaches up to its ends: where one stands `before_in` or `after_in` that end itself
    is not too far any more. `farthest_in` is the worst point and `distance_in` how far that is
    from the nearest receptacle; both are None where the space has no receptacle at all.
    """

    start_in: Fraction
    end_in: Fraction
    before_in: Fraction | None = None
    after_in: Fraction | None = None
    farthest_in: Fraction | None = None
    distance_in: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """Where one receptacle can be added: anywhere between the two points, both included.

    Where a gap needs several, each of them has a range in which the others still suffice.
    """

    earliest_in: Fraction
    latest_in: Fraction


def gaps(space: Space, at_in: Iterable[Fraction], reach_in: Fraction) -> tuple[Gap, ...]:
    """The parts of a space farther than `reach_in` from every receptacle; equal is not too far.

    `at_in` are places of receptacles inside the space. In a ring a gap may run past the end of
    the line; the rest of it is then counted on from there.
    """
    places = sorted(set(at_in))
    if not places:
        return (Gap(space.start_in, space.end_in),)
    found: list[Gap] = []
    first, last = places[0], places[-1]
    if not space.ring and first - space.start_in > reach_in:
        start, reached = space.start_in, first - reach_in
        found.append(Gap(start, reached, None, first, start, first - start))
    following = [*places[1:], first + space.width_in] if space.ring else places[1:]
    for before, after in zip(places, following, strict=False):
        if after - before > 2 * reach_in:
            middle = (before + after) / 2
            worst = (middle, middle - before)
            found.append(Gap(before + reach_in, after - reach_in, before, after, *worst))
    if not space.ring and space.end_in - last > reach_in:
        reached, end = last + reach_in, space.end_in
        found.append(Gap(reached, end, last, None, end, end - last))
    return tuple(found)


def fewest(space: Space, gap: Gap, reach_in: Fraction) -> tuple[Place, ...]:
    """The fewest receptacles that leave no point of a gap too far, and where each may stand.

    One receptacle serves twice its reach. What serves one gap can never help in another: between
    two gaps lies twice the reach of a receptacle that is there already. So the least number of a
    space is the sum over its gaps.
    """
    width = gap.end_in - gap.start_in
    count = math.ceil(width / (2 * reach_in))
    if space.ring and gap.before_in is None:
        # Nothing fixes where to begin: the first may stand anywhere, the others follow it.
        return (Place(space.start_in, space.end_in),) * count
    ends = (None, None) if space.ring else (space.start_in, space.end_in)
    return tuple(
        Place(
            _at_least(gap.end_in - reach_in - 2 * reach_in * (count - number), ends[0]),
            _at_most(gap.start_in + reach_in + 2 * reach_in * (number - 1), ends[1]),
        )
        for number in range(1, count + 1)
    )


def _at_least(value: Fraction, bound: Fraction | None) -> Fraction:
    return value if bound is None else max(value, bound)


def _at_most(value: Fraction, bound: Fraction | None) -> Fraction:
    return value if bound is None else min(value, bound)
