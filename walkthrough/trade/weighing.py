"""Which trip test would tell most: the hypotheses that fit, counted forest by forest.

A forest says which device is in the reach of which; in each forest every other outlet has its
places apart from all other outlets, so that outlets are counted by product.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import prod

MOST_STEPS = 150_000
"""Where more kinds of outlets in forests, or in pairs of unlike ones, would have to be gone
through for all devices together than this, they are not counted: a person waits for it."""

_Reach = Mapping[str, frozenset[str]]
_Forest = tuple[int, ...]
"""For each device, as bits, the devices in whose reach it is."""


@dataclass(frozen=True)
class Proposal:
    """A TEST worth making, with a look at every outlet of the circuit.

    `left` is the share of hypotheses that it leaves on average, each being as likely; None where
    there are too many to count. `open` are the outlets of which it is not known whether they go
    off, among them the device itself for its face.
    """

    at: str
    left: float | None
    open: tuple[str, ...]


def proposals(
    probed: Collection[str],
    names: Collection[str],
    yes: _Reach,
    no: _Reach,
    unseen: Collection[str],
) -> list[Proposal]:
    """Every TEST that can still tell something, best first; among equals in the order given.

    `yes` and `no` say for each device which of `names` are in every reach of it that fits, and in
    none; `unseen` are the devices whose own face was never looked at. Other devices than the
    `probed` ones are tied to nothing that was seen: what they reach is left out of the count, but
    for the one whose TEST is weighed.
    """
    order = [each for each in yes if each in probed]
    most = MOST_STEPS // max(len(yes), 1)
    most_forests = most // max(len(_kinds(order, names, yes, no)), 1)
    forests = _forests(order, yes, no, most_forests)
    found: list[Proposal] = []
    for device in yes:
        known = order if device in probed else [*order, device]
        open = [each for each in names if each != device and each not in yes[device] | no[device]]
        if device in unseen:
            open.append(device)
        if open:
            fit = forests if known is order else _grown(forests, known, yes, no, most_forests)
            left = None if fit is None else _share_left(device, known, fit, names, yes, no, most)
            if left is not None and device in unseen:
                left /= 2
            found.append(Proposal(device, None if left is None else float(left), tuple(open)))
    # What cannot be counted comes last, the one with most to look at first.
    return sorted(found, key=lambda each: (each.left is None, each.left or -len(each.open)))


def _forests(devices: Sequence[str], yes: _Reach, no: _Reach, most: int) -> list[_Forest] | None:
    """Every forest of these devices that fits; None where there are too many."""
    forests: list[_Forest] | None = [()]
    for count in range(1, len(devices) + 1):
        forests = _grown(forests, devices[:count], yes, no, most)
    return forests


def _grown(
    forests: list[_Forest] | None, devices: Sequence[str], yes: _Reach, no: _Reach, most: int
) -> list[_Forest] | None:
    """The last of the devices put into every forest of the others, wherever it fits."""
    musts = [_bits(devices, each, yes) for each in devices]
    nevers = [_bits(devices, each, no) for each in devices]
    grown: list[_Forest] = []
    for forest in forests or ():
        grown += [
            more for more in _with_one_more(forest) if all(map(_is_right, more, musts, nevers))
        ]
        if len(grown) > most:
            return None
    return None if forests is None else grown


def _is_right(above: int, must: int, never: int) -> bool:
    return above & must == must and not above & never


def _with_one_more(forest: _Forest) -> Iterator[_Forest]:
    """A device more, below any other or none, with any of its neighbours there put below it."""
    new = 1 << len(forest)
    for above in (0, *_chains(forest)):
        beside = sum(1 << number for number, each in enumerate(forest) if each == above)
        taken = beside
        while True:
            yield (
                *(
                    each | new if (each | 1 << number) & taken else each
                    for number, each in enumerate(forest)
                ),
                above,
            )
            if not taken:
                break
            taken = (taken - 1) & beside


def _chains(forest: _Forest) -> list[int]:
    """For each device the reaches that an outlet is in for which that of the device is smallest."""
    return [above | 1 << number for number, above in enumerate(forest)]


def _kinds(
    known: Sequence[str], names: Collection[str], yes: _Reach, no: _Reach
) -> Counter[tuple[int, int]]:
    """The outlets other than known devices, counted by what is known of them."""
    return Counter(
        (_bits(known, name, yes), _bits(known, name, no)) for name in names if name not in known
    )


def _bits(devices: Sequence[str], name: str, reach: _Reach) -> int:
    return sum(1 << number for number, each in enumerate(devices) if name in reach[each])


def _share_left(
    device: str,
    known: Sequence[str],
    forests: Sequence[_Forest],
    names: Collection[str],
    yes: _Reach,
    no: _Reach,
    most: int,
) -> Fraction | None:
    """The chance that two hypotheses have the same reach for a device: what its TEST leaves.

    None where more than `most` kinds of outlets in pairs of forests would have to be compared.

    Two forests with the same devices below it agree on an outlet in inside * inside + outside *
    outside ways, where so many of the outlet's places are inside the reach and outside of it.
    """
    alike = _kinds(known, names, yes, no)
    own = 1 << known.index(device)
    kinds: dict[int, Counter[tuple[tuple[int, int], ...]]] = {}
    for forest in forests:
        chains = (0, *_chains(forest))
        ways = []
        for must, never in alike:
            places = [each for each in chains if _is_right(each, must, never)]
            inside = sum(bool(each & own) for each in places)
            ways.append((inside, len(places) - inside))
        below = sum(1 << number for number, above in enumerate(forest) if above & own)
        kinds.setdefault(below, Counter())[tuple(ways)] += 1
    if sum(len(kind) ** 2 for kind in kinds.values()) * len(alike) > most:
        return None
    times = list(alike.values())
    every = same = 0
    for kind in kinds.values():
        for one, count in kind.items():
            every += count * prod((i + o) ** n for (i, o), n in zip(one, times, strict=True))
            for other, more in kind.items():
                ways_each = zip(one, other, times, strict=True)
                same += count * more * prod((i * j + o * p) ** n for (i, o), (j, p), n in ways_each)
    return Fraction(same, every * every)
