"""The wiring of one circuit as a forest, and the protection that comes down it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from walkthrough.judge.house import House
from walkthrough.judge.traced import box_fill_in3
from walkthrough.remedy.work import Changes
from walkthrough.survey.model import Circuit, Outlet
from walkthrough.trade.box_fill import BoxContents, Device


class Cover(NamedTuple):
    """Protection of one kind that arrives at a place.

    `kept` is that of a device that stays as it was found: it counts only where it was shown.
    `reachable` tells whether what gives it is readily accessible; `room` where it is reset, if
    that matters.
    """

    kind: str
    kept: bool
    reachable: bool | None
    room: str = ""


_WIRE = re.compile(r"\d+")
Arriving = frozenset[Cover]
NOTHING: Arriving = frozenset()


@dataclass
class Branch:
    """An outlet with what it feeds; `load` are those that hang on its device as it was found."""

    outlet: Outlet
    name: str
    fed: list[Branch] = field(default_factory=list)
    load: frozenset[str] = frozenset()


def forest(house: House, circuit: Circuit) -> list[Branch]:
    """The outlets of a circuit by what feeds them; an outlet of unknown order stands for itself.

    Nothing can be relied on to feed an outlet whose order is not known: it is met only by what
    comes from the panel and by its own device, which is right for every possible order.
    """
    outlets = house.wiring.on(circuit)
    name = house.wiring.name
    branches = {name(each): Branch(each, name(each)) for each in outlets}
    roots: list[Branch] = []
    for each in outlets:
        feeder = branches.get(each.fed_from) if each.order_known_by != "unknown" else None
        (feeder.fed if feeder is not None else roots).append(branches[name(each)])
    reached: set[str] = set()

    def settle(branch: Branch) -> set[str]:
        """All below a branch; which of them hang on its device is worked out on the way."""
        reached.add(branch.name)
        branch.fed = [each for each in branch.fed if each.name not in reached]
        below = {each.name: settle(each) for each in branch.fed}
        branch.load = frozenset(
            one
            for one, ids in below.items()
            if any(branch.name in shown(house, house.wiring.outlets[each]) for each in ids)
        )
        return {branch.name, *(one for ids in below.values() for one in ids)}

    for root in roots:
        settle(root)
    for each in outlets:
        # A record that goes in a circle has no beginning: one is made.
        if name(each) not in reached:
            roots.append(branches[name(each)])
            settle(branches[name(each)])
    return roots


def shown(house: House, outlet: Outlet) -> frozenset[str]:
    """The devices and circuits that protect an outlet as it was found, of any kind."""
    return frozenset(by for kind in kinds(house) for by in house.tracer.protection(outlet, kind).by)


def kinds(house: House) -> tuple[str, ...]:
    """The kinds of protection that devices can give."""
    return house.tracer.tables.kinds


def from_panel(house: House, circuit: Circuit, changes: Mapping[str, object]) -> Arriving:
    """What the breaker, as found or as changed, and the feeder's breaker give to a circuit."""
    changed = "breaker" in changes
    found: set[Cover] = set()
    chain = list(house.wiring.feeders(circuit))
    for kind in kinds(house):
        given = kind in house.tracer.tables.breaker.get(str(changes.get("breaker")), ())
        if changed and given:
            found.add(Cover(kind, False, _panel_reached(house, circuit)))
        for each in chain[1:] if changed else chain[:1]:
            by = house.tracer.at_origin(each, kind)
            if by.state == "yes":
                found |= {
                    Cover(kind, False, _panel_reached(house, house.wiring.circuits[one]))
                    for one in by.by
                }
    return frozenset(found)


def _panel_reached(house: House, circuit: Circuit) -> bool | None:
    held = house.recorded(circuit, "panel_accessible")
    return None if held is None else bool(held)


def protection_words(
    house: House, outlet: Outlet, own: Iterable[Cover], arriving: Iterable[Cover]
) -> dict[str, bool | None]:
    """The words for the protection of an outlet that its own cover and the arriving one make."""
    words: dict[str, bool | None] = {}
    for kind in kinds(house):
        by = [
            house.wiring.outlets[each]
            for each in house.tracer.protection(outlet, kind).by
            if each != house.wiring.name(outlet) and each in house.wiring.outlets
        ]
        covers = [each for each in own if each.kind == kind]
        # A kept device counts where it was shown to reach.
        covers += [each for each in arriving if each.kind == kind and (not each.kept or by)]
        covers += [
            Cover(kind, True, _reached(house, each))
            for each in by
            if each.circuit != outlet.circuit
        ]
        words[f"{kind}_protected"] = bool(covers)
        reached = {each.reachable for each in covers}
        words[f"{kind}_protector_accessible"] = (
            True if True in reached else None if None in reached or not covers else False
        )
    return words


def own_cover(house: House, outlet: Outlet, changes: Changes, room: str = "") -> Arriving:
    """What the device of an outlet gives, as it was found or as it was changed and tested."""
    reached = _reached(house, outlet)
    if "device" not in changes and "test_result" not in changes:
        return frozenset(
            Cover(kind, True, reached, room)
            for kind in kinds(house)
            if house.wiring.name(outlet) in house.tracer.protection(outlet, kind).by
        )
    if house.tracer.tables.credit.get(str(changes.get("test_result"))) != "good":
        return NOTHING
    device = changes.get("device", outlet.answer("device"))
    given = house.tracer.tables.device.get(str(device), ())
    return frozenset(Cover(kind, False, reached, room) for kind in given)


def expected_fill_in3(house: House, outlet: Outlet) -> float | None:
    """What a box that was not opened holds by the wiring tree: a cable in, one to each it feeds.

    None where the order or the conductor is not known. Clamps are left out, so it is the least.
    """
    circuit = house.wiring.circuit_of(outlet)
    size = _WIRE.search(str(circuit.answer("conductor"))) if circuit is not None else None
    if circuit is None or size is None or outlet.order_known_by == "unknown":
        return None
    cables = 1 + sum(
        each.fed_from == house.wiring.name(outlet) for each in house.wiring.on(circuit)
    )
    contents = BoxContents(
        wires={size[0]: 2 * cables},
        grounds=cables if outlet.answer("equipment_ground") in ("connected", "loose") else 0,
        ground_size=size[0],
        devices=(Device(1, size[0]),),
    )
    return box_fill_in3(house.book, contents)


def _reached(house: House, outlet: Outlet) -> bool | None:
    held = house.recorded(outlet, "readily_accessible")
    return None if held is None else bool(held)
