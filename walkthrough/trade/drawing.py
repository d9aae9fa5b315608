"""The wiring of a circuit as a tree in lines: what is fed from what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from walkthrough.survey.model import PANEL, Circuit, Outlet
from walkthrough.trade.wiring import Wiring


@dataclass(frozen=True)
class Drawn:
    """One outlet of the tree and the branches to the left of it, "" where it hangs nowhere.

    `name` is how the record names the outlet; `hangs_on` names the outlet above it in the tree,
    or says PANEL; "" where it hangs nowhere.
    """

    outlet: Outlet
    name: str
    branches: str
    hangs_on: str


def drawn(wiring: Wiring, circuit: Circuit) -> list[Drawn]:
    """All outlets of a circuit, each once: the tree from the panel on, then what hangs nowhere.

    An outlet hangs nowhere when its feed is not recorded, is on another circuit, or leads back
    to itself; what is fed from it is drawn below it.
    """
    outlets = {wiring.name(outlet): outlet for outlet in wiring.on(circuit)}
    fed: dict[str, dict[str, Outlet]] = {}
    for name, outlet in outlets.items():
        fed.setdefault(outlet.fed_from, {})[name] = outlet
    seen: set[str] = set()
    lines = list(_below(fed, PANEL, "", seen))
    # Loose ends before rings: what hangs on a loose end is drawn with it.
    loose = sorted(outlets.items(), key=lambda each: each[1].fed_from in outlets)
    for name, outlet in loose:
        if name not in seen:
            seen.add(name)
            lines += [Drawn(outlet, name, "", ""), *_below(fed, name, "", seen)]
    return lines


def _below(
    fed: dict[str, dict[str, Outlet]], feeder: str, left: str, seen: set[str]
) -> Iterator[Drawn]:
    here = {name: each for name, each in fed.get(feeder, {}).items() if name not in seen}
    seen.update(here)
    for number, (name, outlet) in enumerate(here.items(), 1):
        is_last = number == len(here)
        yield Drawn(outlet, name, left + ("└─ " if is_last else "├─ "), feeder)
        yield from _below(fed, name, left + ("   " if is_last else "│  "), seen)
