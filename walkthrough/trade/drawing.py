"""The wiring of a circuit as a tree in lines: what is fed from what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from walkthrough.survey.model import PANEL, Circuit, Outlet
from walkthrough.trade.wiring import Wiring


@dataclass(frozen=True)
class Drawn:
    """One outlet of the tree and the branches to the left of it, "" where it hangs nowhere."""

    outlet: Outlet
    branches: str


def drawn(wiring: Wiring, circuit: Circuit) -> list[Drawn]:
    """All outlets of a circuit, each once: the tree from the panel on, then what hangs nowhere.

    An outlet hangs nowhere when its feed is not recorded, is on another circuit, or leads back
    to itself; what is fed from it is drawn below it.
    """
    outlets = wiring.on(circuit)
    ids = {outlet.id for outlet in outlets}
    fed: dict[str, list[Outlet]] = {}
    for outlet in outlets:
        fed.setdefault(outlet.fed_from, []).append(outlet)
    seen: set[str] = set()
    lines = list(_below(fed, PANEL, "", seen))
    # Loose ends before rings: what hangs on a loose end is drawn with it.
    loose = sorted(outlets, key=lambda outlet: outlet.fed_from in ids)
    for outlet in loose:
        if outlet.id not in seen:
            seen.add(outlet.id)
            lines += [Drawn(outlet, ""), *_below(fed, outlet.id, "", seen)]
    return lines


def _below(fed: dict[str, list[Outlet]], feeder: str, left: str, seen: set[str]) -> Iterator[Drawn]:
    here = [outlet for outlet in fed.get(feeder, ()) if outlet.id not in seen]
    seen.update(outlet.id for outlet in here)
    for number, outlet in enumerate(here, 1):
        is_last = number == len(here)
        yield Drawn(outlet, left + ("└─ " if is_last else "├─ "))
        yield from _below(fed, outlet.id, left + ("   " if is_last else "│  "), seen)
