"""What readings at a receptacle leave possible: ranked, with the next reading that tells apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from walkthrough.trade.tables import NOTHING, Ground
from walkthrough.trade.wiring_faults import TWO_WIRE, Fault, Faults, Observation, Seen

ANYONE = "anyone"
"""Who may take a reading for which no skill is needed."""


@dataclass(frozen=True, slots=True)
class Possibility:
    """A fault that no reading rules out.

    `usual` names the readings that it usually shows, `can_be` those that it can show but does not
    usually (they speak against it), `silent` those of which it says nothing. `ground` is what the
    match rests on.
    """

    fault: Fault
    usual: tuple[str, ...]
    can_be: tuple[str, ...]
    silent: tuple[str, ...]
    ground: Ground


@dataclass(frozen=True, slots=True)
class NextReading:
    """The reading that would split the possibilities best.

    `at_most` is how many are left in the worst case, `pairs` how many pairs of the possibilities
    it tells apart whatever it shows.
    """

    observation: Observation
    at_most: int
    pairs: int


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What the readings leave possible.

    `next` is the best next reading, `easier` the best that anyone may take, where it is another.
    `ruled_out` gives for each reading, in the order of the tables, the faults that it rules out and
    none before it did. Where nothing is left, `without` lists the readings of which one left out
    would leave something. `stop` names readings at which nothing more is to be tried.
    """

    possibilities: tuple[Possibility, ...]
    ruled_out: Mapping[str, tuple[Fault, ...]]
    next: NextReading | None
    easier: NextReading | None
    without: tuple[str, ...]
    stop: tuple[str, ...]

    @property
    def faults(self) -> tuple[Fault, ...]:
        """The faults that are left, the likeliest first."""
        return tuple(each.fault for each in self.possibilities)


def diagnose(seen: Mapping[str, Seen], faults: Faults, closed: Sequence[str] = ()) -> Diagnosis:
    """Match readings against all faults; the order in which they were taken does not matter.

    Ranked by: first what is usual in a two-wire house, where it is one; fewest readings that would
    be unusual, most that would be usual, fewest faults at once, order of the table. No published
    frequency of wiring faults was found, so none is used. `closed` names observations that cannot
    be made here and are not proposed.
    """
    order = [each.name for each in faults.observations if each.name in seen]
    if TWO_WIRE in seen:
        order.append(TWO_WIRE)
    ruled_out: dict[str, tuple[Fault, ...]] = {}
    left = list(faults.faults)
    for name in order:
        gone = [each for each in left if faults.fit(each, name, seen[name]) == "ruled out"]
        ruled_out[name] = tuple(gone)
        left = [each for each in left if each not in gone]
    found = sorted((_possibility(each, order, seen, faults) for each in left), key=_rank)
    stop = tuple(name for name in order if faults.stops(name, seen[name]))
    ahead = easier = None
    if not stop:
        ahead = next_reading(left, faults, (*order, *closed))
        skilled = [each.name for each in faults.observations if each.done_by != ANYONE]
        easier = next_reading(left, faults, (*order, *closed, *skilled))
    without = () if left else tuple(name for name in order if _fits_without(name, seen, faults))
    return Diagnosis(
        tuple(found), ruled_out, ahead, easier if easier != ahead else None, without, stop
    )


def next_reading(left: Sequence[Fault], faults: Faults, taken: Sequence[str]) -> NextReading | None:
    """The reading with the fewest possibilities left in the worst case.

    Among equals the one that surely tells most pairs apart, then the first of the table, which goes
    by ease. None where no reading of the sheet tells any two apart.
    """
    best: NextReading | None = None
    for observation in faults.observations:
        if observation.name in taken:
            continue
        outcomes = _outcomes(observation.name, left, faults)
        at_most = max(map(len, outcomes), default=len(left))
        pairs = sum(
            not any(a in together and b in together for together in outcomes)
            for a, b in combinations([each.id for each in left], 2)
        )
        if at_most == len(left) and not pairs:
            continue
        if best is None or (at_most, -pairs) < (best.at_most, -best.pairs):
            best = NextReading(observation, at_most, pairs)
    return best


def _outcomes(name: str, left: Sequence[Fault], faults: Faults) -> list[frozenset[str]]:
    """For each thing that an observation can show, the possibilities that it would leave."""
    return [
        frozenset(each.id for each in left if faults.fit(each, name, shown) != "ruled out")
        for shown in faults.told_apart(name)
    ]


def _possibility(
    fault: Fault, order: Sequence[str], seen: Mapping[str, Seen], faults: Faults
) -> Possibility:
    fits = {name: faults.fit(fault, name, seen[name]) for name in order}
    ground = NOTHING
    for name in order:
        ground += faults.ground(fault, name)
    return Possibility(
        fault,
        usual=tuple(name for name in order if fits[name] == "usual"),
        can_be=tuple(name for name in order if fits[name] == "can be"),
        silent=tuple(name for name in order if fits[name] == "says nothing"),
        ground=ground,
    )


def _rank(possibility: Possibility) -> tuple[bool, int, int, int]:
    # No reading makes up for it that there should be no ground in such a house at all.
    needs_a_ground = TWO_WIRE in possibility.can_be
    fault, against = possibility.fault, len(possibility.can_be)
    return needs_a_ground, against, -len(possibility.usual), fault.at_once


def _fits_without(left_out: str, seen: Mapping[str, Seen], faults: Faults) -> bool:
    rest = {name: value for name, value in seen.items() if name != left_out}
    return any(
        all(faults.fit(fault, name, value) != "ruled out" for name, value in rest.items())
        for fault in faults.faults
    )
