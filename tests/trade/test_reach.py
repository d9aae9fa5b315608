"""Reach along a line: worked lengths, and brute force over every way of placing receptacles."""

from __future__ import annotations

import functools
import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import pytest

from walkthrough.trade.reach import Gap, Space, fewest, gaps

# What is tested here is arithmetic alone; the figures of the code stand in test_spacing.py. In the
# small lines every length is an even number of quarter inches, so that whatever begins, ends or is
# farthest falls on a quarter inch and trying all of them is exact.


@dataclass(frozen=True)
class Small:
    """A small line in quarter inches, judged by trying every point and every way of adding."""

    start: int
    width: int
    ring: bool
    at: tuple[int, ...]
    reach: int

    @functools.cached_property
    def points(self) -> range:
        return range(self.start, self.start + self.width + (not self.ring))

    def distance(self, one: int, other: int) -> int:
        straight = abs(one - other)
        return min(straight, self.width - straight) if self.ring else straight

    @functools.cached_property
    def served(self) -> dict[int, int]:
        """The points that a receptacle at each spot serves, one bit for each."""
        return {
            spot: sum(
                1 << number
                for number, each in enumerate(self.points)
                if self.distance(spot, each) <= self.reach
            )
            for spot in self.points
        }

    def fewest(self, also: Iterable[int] = ()) -> int:
        """The fewest to add so that every point is served, over all ways of adding."""
        there = 0
        for each in (*self.at, *also):
            there |= self.served[each]
        every = (1 << len(self.points)) - 1
        reached, count = {there}, 0
        while every not in reached:
            reached = {each | self.served[spot] for each in reached for spot in self.points[::2]}
            count += 1
        return count

    def nearest(self, point: int) -> int | None:
        return min((self.distance(point, each) for each in self.at), default=None)

    def turned(self, spot: Fraction) -> int:
        """A spot past the end of a ring is one near its start."""
        assert spot.denominator == 1
        return self.start + (int(spot) - self.start) % self.width if self.ring else int(spot)

    @property
    def space(self) -> Space:
        return Space(Fraction(self.start), Fraction(self.start + self.width), self.ring)

    @property
    def places(self) -> list[Fraction]:
        return [Fraction(each) for each in self.at]


def small(chance: random.Random) -> Small:
    line = Small(chance.randrange(4) * 2, chance.randint(1, 14) * 2, chance.random() < 0.3, (), 0)
    spots = list(line.points[::2])
    at = sorted(chance.sample(spots, chance.randint(0, min(3, len(spots)))))
    return Small(line.start, line.width, line.ring, tuple(at), chance.randint(1, 4) * 2)


def inside(gap: Gap, point: int) -> bool:
    return (
        gap.start_in < point < gap.end_in
        or (point == gap.start_in and gap.before_in is None)
        or (point == gap.end_in and gap.after_in is None)
    )


def agrees_with_brute_force(line: Small) -> None:
    reach = Fraction(line.reach)
    found = gaps(line.space, line.places, reach)
    for point in line.points:
        turned = (point, point + line.width) if line.ring else (point,)
        here = [gap for gap in found if any(inside(gap, each) for each in turned)]
        distance = line.nearest(point)
        assert bool(here) == (distance is None or distance > line.reach), line
        if distance is not None and here:
            assert distance <= (here[0].distance_in or 0), line
    for gap in found:
        if gap.farthest_in is not None:
            assert line.nearest(line.turned(gap.farthest_in)) == gap.distance_in, line
    places = [fewest(line.space, gap, reach) for gap in found]
    least = sum(len(each) for each in places)
    assert least == line.fewest(), line
    for gap, ranges in zip(found, places, strict=True):
        ranges_are_exact(line, gap, ranges, least)


def ranges_are_exact(line: Small, gap: Gap, ranges: Sequence[object], least: int) -> None:
    """Both ends of a range can be completed by the others; just outside of it, nothing can."""
    for place in fewest(line.space, gap, Fraction(line.reach)):
        for spot in (place.earliest_in, place.latest_in):
            assert line.fewest([line.turned(spot)]) == least - 1, (line, place)
        if len(ranges) == 1 and not (line.ring and gap.before_in is None):
            for spot in (place.earliest_in - 2, place.latest_in + 2):
                if line.ring or spot in line.points:
                    assert line.fewest([line.turned(spot)]) >= least, (line, place)


def compare(rounds: int, seed: int) -> None:
    chance = random.Random(seed)
    for _ in range(rounds):
        agrees_with_brute_force(small(chance))


def test_brute_force_agrees_on_small_lines() -> None:
    compare(1500, seed=21052)


@pytest.mark.slow
def test_brute_force_agrees_on_many_small_lines() -> None:
    compare(60_000, seed=1952)


def test_equal_to_the_reach_is_not_too_far() -> None:
    line = Space(Fraction(0), Fraction(24))
    assert gaps(line, [Fraction(6), Fraction(18)], Fraction(6)) == ()
    assert len(gaps(line, [Fraction(6), Fraction(18) + Fraction(1, 64)], Fraction(6))) == 1


def test_the_worst_point_of_a_gap_and_where_one_may_be_added() -> None:
    line = Space(Fraction(0), Fraction(20))
    (gap,) = gaps(line, [Fraction(2), Fraction(18)], Fraction(6))
    told = (gap.start_in, gap.end_in, gap.farthest_in, gap.distance_in)
    assert told == tuple(map(Fraction, (8, 12, 10, 8)))
    (place,) = fewest(line, gap, Fraction(6))
    assert (place.earliest_in, place.latest_in) == (Fraction(6), Fraction(14))


def test_a_ring_has_no_ends() -> None:
    ring = Space(Fraction(0), Fraction(48), ring=True)
    (gap,) = gaps(ring, [], Fraction(6))
    assert len(fewest(ring, gap, Fraction(6))) == 4
    assert len(fewest(ring, gaps(ring, [Fraction(0)], Fraction(6))[0], Fraction(6))) == 3
    assert gaps(ring, [Fraction(each) for each in (3, 15, 27, 39)], Fraction(6)) == ()
