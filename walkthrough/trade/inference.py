"""What trip tests on one circuit tell of its wiring, and which test would tell most.

The *reach* of a device is what its TEST switches off besides its own face: all that hangs on its
LOAD side, directly or through others. What is spliced to its LINE side stays live; a device whose
TEST does nothing reaches nothing. Two reaches lie apart or one inside the other, and of two
devices at most one is in the reach of the other: LOAD sides form a tree.

A hypothesis is one way in which every test could come out: a forest of the devices (which is in
the reach of which), for every other outlet the smallest reach it is in or none, and for every
device whether its own face goes dead. It says nothing of the order of outlets within a reach,
because no trip test shows that: what hangs on one LOAD side goes off together.

Outlets that nobody looked at are unknown. Taken for granted is that each test was made with
everything else reset and on, that a device comes out alike each time, and that a breaker switched
off kills all of its circuit. Whether hypotheses are left is decided without listing them: what is
sure and what is possible is exact for any number of devices. To choose the next test they are
counted (`weighing`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from walkthrough.trade.weighing import Proposal, proposals

BREAKER = ""
"""Where a test was made by switching the breaker of the circuit off."""

Face = Literal["goes dead", "stays live", "not seen"]
_Reach = Mapping[str, frozenset[str]]
_NONE: frozenset[str] = frozenset()


@dataclass(frozen=True)
class TripTest:
    """One TEST of a device, or the breaker off; what is in neither list was not looked at."""

    at: str
    dead: tuple[str, ...] = ()
    live: tuple[str, ...] = ()


@dataclass(frozen=True)
class Place:
    """Whose reach an outlet or device is in.

    `within` it surely is; of those, `nearest` is the smallest reach, or the several that may be
    the smallest. In one of `perhaps` it may be or not; in every other it surely is not.
    """

    outlet: str
    within: tuple[str, ...]
    nearest: tuple[str, ...]
    perhaps: tuple[str, ...]


@dataclass(frozen=True)
class Conflict:
    """Looks that cannot all be right, though any of them left out the others can.

    `tests` counts from 0 in the order given; `devices` are those tested.
    """

    tests: tuple[int, ...]
    devices: tuple[str, ...]
    outlets: tuple[str, ...]
    says: str


@dataclass(frozen=True)
class Inference:
    """All that the tests of one circuit tell; made of plain names and numbers only.

    Where `conflicts` there are, no hypothesis is left, and everything else is empty. `proposals`
    begin with the test that leaves least.
    """

    places: tuple[Place, ...] = ()
    faces: Mapping[str, Face] = field(default_factory=dict)
    conflicts: tuple[Conflict, ...] = ()
    proposals: tuple[Proposal, ...] = ()

    def reach(self, device: str) -> tuple[str, ...]:
        """What is surely in the reach of a device."""
        return tuple(each.outlet for each in self.places if device in each.within)

    def is_settled(self, device: str) -> bool:
        """Whether of every outlet it is known if it is in the reach of a device."""
        return not any(device in each.perhaps for each in self.places)


@dataclass(frozen=True)
class _Look:
    test: int
    at: str
    outlet: str
    died: bool


def infer(
    devices: Collection[str], outlets: Collection[str], tests: Sequence[TripTest]
) -> Inference:
    """What the tests of one circuit tell of its devices and outlets.

    `devices` are the protective ones, `outlets` all others; a device may be among both. Raises
    ValueError for a test that names anything else.
    """
    names = tuple(dict.fromkeys((*outlets, *devices)))
    looks = _looks(set(devices), names, tests)
    conflicts = tuple(_conflicts(looks))
    if conflicts:
        return Inference(conflicts=conflicts)
    yes, no = _closed(devices, names, _rows(looks, True), _rows(looks, False))
    faces: dict[str, Face] = dict.fromkeys(devices, "not seen")
    faces.update(
        {each.at: "goes dead" if each.died else "stays live" for each in looks if _is_face(each)}
    )
    probed = {each.at for each in looks if not _is_face(each)}
    unseen = {device for device in devices if faces[device] == "not seen"}
    places = tuple(_place(name, yes, no) for name in names)
    return Inference(places, faces, (), tuple(proposals(probed, names, yes, no, unseen)))


def conflicts(
    devices: Collection[str], outlets: Collection[str], tests: Sequence[TripTest]
) -> tuple[Conflict, ...]:
    """Only where the tests of one circuit cannot all be right; as `infer` has it."""
    names = tuple(dict.fromkeys((*outlets, *devices)))
    return tuple(_conflicts(_looks(set(devices), names, tests)))


def _looks(devices: set[str], names: Collection[str], tests: Sequence[TripTest]) -> list[_Look]:
    looks: list[_Look] = []
    for number, test in enumerate(tests):
        if test.at != BREAKER and test.at not in devices:
            raise ValueError(f"a test was made at {test.at}, which is not one of the devices")
        for died, seen in ((True, test.dead), (False, test.live)):
            for outlet in dict.fromkeys(seen):
                if outlet not in names:
                    at = test.at or "the breaker"
                    raise ValueError(f"a test of {at} names {outlet}, which is no outlet here")
                looks.append(_Look(number, test.at, outlet, died))
    return looks


def _is_face(look: _Look) -> bool:
    return look.at == look.outlet


def _rows(looks: Iterable[_Look], died: bool) -> dict[str, frozenset[str]]:
    """For each device the others that died with it, or that stayed live."""
    rows: dict[str, frozenset[str]] = {}
    for each in looks:
        if each.at != BREAKER and not _is_face(each) and each.died is died:
            rows[each.at] = rows.get(each.at, frozenset()) | {each.outlet}
    return rows


def _fits(yes: _Reach, no: _Reach) -> bool:
    """Whether a hypothesis is left in which each device reaches the one and not the other.

    Devices and what they surely reach fall into groups that nothing ties together, so each can be
    a tree of its own. In a group some device must reach all the rest, and any that may is as good
    as another: put on top of a tree that fits, it changes nothing that was seen. (This is how a
    directed phylogeny is built from incomplete characters.)
    """
    for group in _tied(yes):
        tied = [device for device in yes if device in group]
        reached = frozenset[str]().union(*(yes[device] for device in tied))
        tops = (each for each in tied if each not in reached and not no.get(each, _NONE) & group)
        top = next(tops, None)
        if top is None or not _fits({each: yes[each] for each in tied if each != top}, no):
            return False
    return True


def _tied(yes: _Reach) -> list[frozenset[str]]:
    groups: list[frozenset[str]] = []
    for device, reached in yes.items():
        tied = reached | {device}
        apart = [group for group in groups if not group & tied]
        groups = [*apart, tied.union(*(group for group in groups if group & tied))]
    return groups


def _is_possible(looks: Sequence[_Look]) -> bool:
    if any(each.at == BREAKER and not each.died for each in looks):
        return False
    faces = {(each.at, each.died) for each in looks if _is_face(each)}
    twice = any((device, not died) in faces for device, died in faces)
    return not twice and _fits(_rows(looks, True), _rows(looks, False))


def _conflicts(looks: Sequence[_Look]) -> Iterator[Conflict]:
    """Looks that clash, none of which can be left out; then, without them, the next ones."""
    while not _is_possible(looks):
        clash = list(looks)
        # Whole tests first: that leaves few looks to be taken one by one.
        for part in ("test", "outlet"):
            for each in dict.fromkeys((look.test, getattr(look, part)) for look in clash):
                rest = [look for look in clash if (look.test, getattr(look, part)) != each]
                if not _is_possible(rest):
                    clash = rest
        yield Conflict(
            tuple(sorted({each.test for each in clash})),
            tuple(dict.fromkeys(each.at for each in clash)),
            tuple(dict.fromkeys(each.outlet for each in clash)),
            _in_words(clash),
        )
        looks = [each for each in looks if each not in clash]


def _in_words(clash: Sequence[_Look]) -> str:
    at, outlet = clash[0].at, clash[0].outlet
    if at == BREAKER:
        return f"{outlet} stayed live with the breaker off, so it is not on this circuit"
    if {each.at for each in clash} == {at}:
        if len({each.test for each in clash}) == 1:
            return f"{outlet} is noted both as dead and as live in the TEST of {at}"
        return f"{outlet} died in one TEST of {at} and stayed live in another"
    told = []
    for device in dict.fromkeys(each.at for each in clash):
        here = [each for each in clash if each.at == device]
        died = _and([each.outlet for each in here if each.died])
        live = _and([each.outlet for each in here if not each.died])
        seen = [f"{died} died" if died else "", f"{live} stayed live" if live else ""]
        told.append(f"in the TEST of {device} {' and '.join(each for each in seen if each)}")
    return f"not all of this can be right: {'; '.join(told)}"


def _and(names: Sequence[str]) -> str:
    *most, last = names or ("",)
    return f"{', '.join(most)} and {last}" if most else last


def _closed(
    devices: Collection[str], names: Collection[str], yes: _Reach, no: _Reach
) -> tuple[_Reach, _Reach]:
    """What every hypothesis has in each reach, and what none has."""
    sure, out = dict(yes), dict(no)
    for device in devices:
        for name in names:
            inside, outside = sure.get(device, _NONE), out.get(device, _NONE)
            if name == device or name in inside or name in outside:
                continue
            if not _fits({**sure, device: inside | {name}}, out):
                out[device] = outside | {name}
            elif inside and not _fits(sure, {**out, device: outside | {name}}):
                sure[device] = inside | {name}
    return {each: sure.get(each, _NONE) for each in devices}, {
        each: out.get(each, _NONE) for each in devices
    }


def _place(name: str, yes: _Reach, no: _Reach) -> Place:
    within = tuple(device for device in yes if name in yes[device])
    nearest = tuple(each for each in within if not yes[each].intersection(within))
    perhaps = (each for each in yes if each not in (name, *within) and name not in no[each])
    return Place(name, within, nearest, tuple(perhaps))
