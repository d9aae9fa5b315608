"""A receptacle as a network of resistances: what meters would show, without any table.

Volts by Kirchhoff's laws for the wiring of each fault. The panel's bonded neutral is 0 V. An open
wire is held by its neighbours through megohms, as in a cable.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

METER_OHM = 1e7
LAMP_OHM = 1e5
LIT_FROM_V = 90.0
JOINT_OHM = 0.002
EARTH = "earth"


@dataclass
class Network:
    """Resistances between nodes, and nodes that a source holds at a voltage."""

    held: dict[str, float]
    links: list[tuple[str, str, float]] = field(default_factory=list)

    def link(self, a: str, b: str, ohm: float) -> None:
        self.links.append((a, b, ohm))

    def volts(self, *extra: tuple[str, str, float]) -> dict[str, float]:
        """The voltage of each node, with further resistances put in between."""
        links = [*self.links, *extra]
        names = sorted({each for a, b, _ in links for each in (a, b)} - set(self.held))
        rows = [[0.0] * (len(names) + 1) for _ in names]
        for a, b, ohm in links:
            for here, there in ((a, b), (b, a)):
                if here not in self.held:
                    row = rows[names.index(here)]
                    row[names.index(here)] += 1 / ohm
                    if there in self.held:
                        row[-1] += self.held[there] / ohm
                    else:
                        row[names.index(there)] -= 1 / ohm
        return dict(zip(names, _solved(rows), strict=True)) | self.held


def _solved(rows: list[list[float]]) -> list[float]:
    size = len(rows)
    for at in range(size):
        pivot = max(range(at, size), key=lambda number: abs(rows[number][at]))
        rows[at], rows[pivot] = rows[pivot], rows[at]
        for other in range(size):
            if other != at:
                factor = rows[other][at] / rows[at][at]
                rows[other] = [a - factor * b for a, b in zip(rows[other], rows[at], strict=True)]
    return [rows[at][-1] / rows[at][at] for at in range(size)]


@dataclass(frozen=True)
class Sizes:
    """Ohms of each wire of the run, of the poor joint, and of loads; volts of the source."""

    wire: float = 0.1
    poor: float = 1.0
    behind: float = 60.0
    other_leg: float = 60.0
    source: float = 121.0
    coupling: float = 3e6


def network(fault: str, s: Sizes) -> Network:
    """The wiring of a fault at the contacts H, N and G."""
    net = Network({"hot": s.source, EARTH: 0.0, "other hot": -s.source})
    long = 0.4 if fault == "long_run" else s.wire
    net.link("hot", "wire h", long + (s.poor if fault == "poor_hot" else 0))
    if fault == "lost_neutral":
        net.link("wire h", "wire n", s.behind)
        net.link("wire n", "other hot", s.other_leg)
    else:
        net.link(EARTH, "middle n", long / 2)
        net.link("middle n", "wire n", long / 2 + (s.poor if fault == "poor_neutral" else 0))
    net.link(EARTH, "wire g", s.wire + (s.poor * 20 if fault == "poor_ground" else 0))
    crossed = {
        "reversed": "nhg",
        "hot_ground_reversed": "gnh",
        "neutral_ground_swapped": "hgn",
        "false_ground": "hn.",
        "false_ground_elsewhere": "hn.",
        "false_ground_reversed": "nh.",
        "open_ground": "hn.",
        "open_ground_reversed": "nh.",
        "open_neutral": "h.g",
        "open_neutral_loaded": "h.g",
        "open_hot": ".ng",
        "hot_on_neutral": ".hg",
        "two_hots": "h.g",
    }.get(fault, "hng")
    for contact, wire in zip("HNG", crossed, strict=True):
        if wire != ".":
            net.link(contact, f"wire {wire}", JOINT_OHM)
            continue
        net.link(contact, "hot", s.coupling)
        net.link(contact, EARTH, s.coupling * 1.7)
    match fault:
        case "false_ground" | "false_ground_reversed":
            net.link("N", "G", JOINT_OHM)
        case "false_ground_elsewhere":
            net.link("G", "middle n", s.wire / 2)
        case "open_neutral_loaded":
            net.link("wire h", "N", s.behind)
        case "two_hots":
            net.link("N", "other hot", s.wire)
    return net


def lamps(net: Network) -> str:
    """The lamps that are lit, as the tester's question names them."""
    pairs = {"hn": ("H", "N"), "hg": ("H", "G"), "ng": ("N", "G")}
    volts = net.volts(*((a, b, LAMP_OHM) for a, b in pairs.values()))
    lit = [name for name, (a, b) in pairs.items() if abs(volts[a] - volts[b]) >= LIT_FROM_V]
    return "all" if len(lit) == len(pairs) else "_".join(lit) or "none"


def meter(net: Network, a: str, b: str, load_ohm: float | None = None) -> Decimal:
    """Volts between two places as a meter shows them, with a load between hot and neutral slot."""
    extra = [(a, b, METER_OHM)]
    if load_ohm is not None:
        extra.append(("H", "N", load_ohm))
    volts = net.volts(*extra)
    return Decimal(str(round(abs(volts[a] - volts[b]), 2)))
