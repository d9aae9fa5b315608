"""`calc ampacity`: what a conductor may carry where it lies, and the device ahead of it."""

from __future__ import annotations

import argparse
import re
from decimal import Decimal

from walkthrough.cli_calc.inputs import (
    SIZES,
    above_zero,
    awg,
    quantity,
    refuse,
    whole,
    word_of,
    wrong,
)
from walkthrough.rulebook.problems import nearest
from walkthrough.trade.ampacity import COLUMNS, Conductor, Surroundings, Use, ampacity
from walkthrough.trade.tables import Tables
from walkthrough.trade.working import Working

NAME = "ampacity"
HELP = "ampacity with correction, adjustment and caps, and the largest overcurrent device"
EXAMPLES = """\
examples:
  walkthrough calc ampacity --size 12 --insulation NM-B --cables 4x2
  walkthrough calc ampacity --size 12 --insulation THHN --conductors 9 --ambient 104F --breaker 20
  walkthrough calc ampacity --size 6 --metal aluminum --insulation 75 --terminals 75 --breaker 50
  walkthrough calc ampacity --size 10 --insulation THHN --continuous 16 --load 4

The order: column of the insulation; factor for ambient; factor for number; caps of the terminals
and of the cable; standard sizes; the limit for small conductors last. Of a circuit that serves
motors, air conditioners or heaters say so: their device goes by the nameplate."""
METALS = {
    "copper": "copper",
    "cu": "copper",
    "aluminum": "aluminum",
    "aluminium": "aluminum",
    "al": "aluminum",
    "copper-clad": "copper-clad",
    "cca": "copper-clad",
}
CELSIUS = quantity(
    "C", 200, -60, others={"F": lambda value: (value - 32) * 5 / Decimal(9)}, bare=False
)
AMPERES = quantity("A", 2000)


def add(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    wire = parser.add_argument_group("the conductor")
    wire.add_argument(
        "--size",
        type=awg(SIZES),
        required=True,
        metavar="AWG",
        help="18 to 1, or 1/0 to 4/0, e.g. 12",
    )
    wire.add_argument(
        "--metal",
        "--material",
        type=word_of(METALS),
        default="copper",
        metavar="METAL",
        help="copper, aluminum or copper-clad (aluminum); copper if not told; e.g. aluminum",
    )
    wire.add_argument(
        "--insulation",
        "--cable",
        required=True,
        metavar="TYPE",
        help="60, 75 or 90 (degrees C), or a type: NM-B (its conductors are 90 C, its last "
        "ampacity goes by 60 C), NM, UF-B, THHN, THWN, THWN-2, XHHW-2, TW, ...; e.g. THHN",
    )
    place = parser.add_argument_group("where it lies")
    place.add_argument(
        "--ambient",
        type=CELSIUS,
        default=Decimal(30),
        metavar="TEMPERATURE",
        help="air around it with C or F, -60 to 85 C, e.g. 40C or 104F; 30C if not told",
    )
    place.add_argument(
        "--conductors",
        type=whole(999, 1),
        metavar="COUNT",
        help="current-carrying conductors in the raceway or bundle, 1 to 999; no grounds, no "
        "neutral that carries only the unbalance of a multiwire circuit; e.g. 9",
    )
    place.add_argument(
        "--cables",
        type=_cables,
        metavar="COUNTxWIRES",
        help="instead: cables that lie together without spacing, or through one sealed hole, and "
        "the current-carrying conductors in each, e.g. 4x2 for four 12/2",
    )
    place.add_argument(
        "--bundle-length",
        type=above_zero(quantity("in", 12000, others={"ft": lambda value: value * 12})),
        metavar="LENGTH",
        help="length of the raceway or bundle, in or ft, above 0 to 12000 in; short nipples need "
        "no adjustment; e.g. 18in",
    )
    use = parser.add_argument_group("the circuit")
    use.add_argument(
        "--terminals",
        type=_terminals,
        metavar="MARK",
        help="75 if all equipment is marked for 75 C; 60 or unmarked otherwise, also if not told; "
        "e.g. 75",
    )
    use.add_argument(
        "--breaker",
        type=above_zero(AMPERES),
        metavar="A",
        help="the overcurrent device to be judged, above 0 to 2000 A, e.g. 20",
    )
    use.add_argument(
        "--receptacles",
        type=whole(999),
        metavar="COUNT",
        help="receptacles on the circuit for loads with cord and plug, 0 to 999; with several the "
        "next standard size up is not allowed, e.g. 6",
    )
    use.add_argument(
        "--motor-or-hvac",
        action="store_true",
        help="the circuit serves a motor, air conditioner or heater by its nameplate",
    )
    use.add_argument(
        "--continuous",
        type=AMPERES,
        default=Decimal(0),
        metavar="A",
        help="load that runs three hours or more, 0 to 2000 A, e.g. 16",
    )
    use.add_argument(
        "--load",
        type=AMPERES,
        default=Decimal(0),
        metavar="A",
        help="all other load, 0 to 2000 A, e.g. 4",
    )


def work(chosen: argparse.Namespace, tables: Tables) -> Working:
    """Do the calculation; raises Unusable and NoRow."""
    if chosen.conductors is not None and chosen.cables is not None:
        raise wrong(NAME, "--conductors and --cables: give one of them")
    hottest = tables.rows("ambient_factor")[-1:]
    if hottest and chosen.ambient > Decimal(hottest[0]):
        message = f"--ambient: found {chosen.ambient:f} C; expected no more than {hottest[0]} C"
        raise wrong(NAME, message)
    conductor = Conductor(chosen.size, chosen.metal, _insulation(chosen.insulation, tables))
    around = Surroundings(chosen.ambient, chosen.conductors, chosen.cables, chosen.bundle_length)
    use = Use(
        chosen.breaker,
        chosen.terminals,
        chosen.receptacles,
        chosen.motor_or_hvac,
        chosen.continuous,
        chosen.load,
    )
    return ampacity(conductor, around, use, tables)


def _insulation(text: str, tables: Tables) -> str:
    bare = re.sub(r"\s*°?\s*c$", "", text.strip().lower())
    if bare in map(str, COLUMNS):
        return bare
    types = {each.lower(): each for each in tables.rows("insulation_c")}
    spelled = {key.replace("-", ""): each for key, each in types.items()}
    found = types.get(text.strip().lower(), spelled.get(text.strip().lower()))
    if found is None:
        hint = nearest(text.strip().upper(), types.values())
        raise wrong(NAME, f"--insulation: found '{text}'; expected 60, 75, 90 or a type; {hint}")
    return found


def _cables(text: str) -> tuple[int, int]:
    match = re.fullmatch(r"\s*(\d{1,3})\s*[x\u00d7]\s*(\d{1,2})\s*", text.lower())
    if match is None or not int(match[1]) or not int(match[2]):
        raise refuse(f"found '{text}'; expected COUNTxWIRES, such as 4x2")
    return int(match[1]), int(match[2])


def _terminals(text: str) -> int:
    bare = re.sub(r"\s*°?\s*c$", "", text.strip().lower())
    known = {"60": 60, "75": 75, "unmarked": 60}
    if bare not in known:
        raise refuse(f"found '{text}'; expected 60, 75 or unmarked")
    return known[bare]
