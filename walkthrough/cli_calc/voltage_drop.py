"""`calc voltage-drop`: the drop of a run, how far it may go by the advice, and a measured drop."""

from __future__ import annotations

import argparse
from decimal import Decimal

from walkthrough.cli_calc.ampacity import AMPERES, CELSIUS, METALS
from walkthrough.cli_calc.inputs import SIZES, above_zero, awg, quantity, word_of, wrong
from walkthrough.trade.tables import Tables
from walkthrough.trade.voltage_drop import Run, Wire, voltage_drop
from walkthrough.trade.working import Working

NAME = "voltage-drop"
HELP = "voltage drop of a single-phase run against the advice, and a measured drop beside it"
EXAMPLES = """\
examples:
  walkthrough calc voltage-drop --size 12 --amps 20 --length 100
  walkthrough calc voltage-drop --size 12 --amps 20 --length 100 --method k
  walkthrough calc voltage-drop --size 14 --amps 12           the longest run for 3 and 5 per cent
  walkthrough calc voltage-drop --loop-ohms 0.4 --volts 120   the most amperes for 3 and 5 per cent
  walkthrough calc voltage-drop --unloaded-volts 121.3 --loaded-volts 116.2 --amps 12

Single phase, two conductors, unity power factor. Percentages are of --volts; those of a measured
drop are of the reading without load. Never a violation: the percentages are advice."""
_FEET_PER_METER = Decimal(1) / Decimal("0.3048")
_VOLTS = above_zero(quantity("V", 1000))


def add(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument(
        "--size", type=awg(SIZES), metavar="AWG", help="18 to 1, or 1/0 to 4/0, e.g. 12"
    )
    parser.add_argument(
        "--metal",
        "--material",
        type=word_of({key: each for key, each in METALS.items() if each != "copper-clad"}),
        default="copper",
        metavar="METAL",
        help="copper or aluminum, e.g. aluminum; copper if not told",
    )
    parser.add_argument(
        "--build",
        type=word_of({"solid": "solid", "stranded": "stranded"}),
        metavar="BUILD",
        help="solid or stranded, e.g. stranded; if not told solid for 10 AWG and thinner, else "
        "stranded",
    )
    parser.add_argument(
        "--temperature",
        type=CELSIUS,
        metavar="TEMPERATURE",
        help="of the conductor with C or F, -60 to 200 C, e.g. 20C; 75C if not told",
    )
    parser.add_argument(
        "--method",
        type=word_of({"table": "table", "k": "k"}),
        default="table",
        metavar="METHOD",
        help="table (resistance by the table) or k (K and circular mils), e.g. k; table if not "
        "told",
    )
    parser.add_argument(
        "--amps",
        "--load",
        type=above_zero(AMPERES),
        metavar="A",
        help="load, above 0 to 2000 A, e.g. 20",
    )
    parser.add_argument(
        "--length",
        type=above_zero(quantity("ft", 20000, others={"m": lambda value: value * _FEET_PER_METER})),
        metavar="FT",
        help="one way, ft or m, above 0 to 20000 ft, e.g. 100 or 30m",
    )
    parser.add_argument(
        "--volts",
        type=_VOLTS,
        default=Decimal(120),
        metavar="V",
        help="of the circuit, above 0 to 1000 V, e.g. 240; 120 if not told",
    )
    parser.add_argument(
        "--loop-ohms",
        type=above_zero(quantity("ohm", 1000)),
        metavar="OHM",
        help="resistance of both conductors together, instead of size and length, above 0 to 1000 "
        "ohm, e.g. 0.4",
    )
    parser.add_argument(
        "--feeder-percent",
        type=quantity("%", 100),
        metavar="PERCENT",
        help="drop in the feeder ahead, 0 to 100 %%, e.g. 2",
    )
    parser.add_argument(
        "--unloaded-volts",
        type=_VOLTS,
        metavar="V",
        help="read at the outlet without the load, above 0 to 1000 V, e.g. 121.3",
    )
    parser.add_argument(
        "--loaded-volts",
        type=_VOLTS,
        metavar="V",
        help="read at the outlet under the load, above 0 to 1000 V, e.g. 116.2",
    )


def work(chosen: argparse.Namespace, tables: Tables) -> Working:
    """Do the calculation; raises Unusable and NoRow."""
    measured = (chosen.unloaded_volts, chosen.loaded_volts)
    if measured.count(None) == 1:
        raise wrong(NAME, "--unloaded-volts and --loaded-volts: give both or none")
    if None not in measured and measured[0] < measured[1]:
        found = f"found {measured[0]:f} V without and {measured[1]:f} V under load"
        raise wrong(NAME, f"{found}; expected the loaded reading not to be the higher one")
    if chosen.loop_ohms is not None and (chosen.size or chosen.length):
        raise wrong(
            NAME, "--loop-ohms stands for the whole run: give it without --size and --length"
        )
    if chosen.length is not None and chosen.size is None:
        raise wrong(NAME, "--length needs the --size of the conductor")
    if chosen.size and chosen.amps is None and chosen.length is None:
        raise wrong(NAME, "expected --amps, --length or both beside --size")
    if not chosen.size and chosen.loop_ohms is None and None in measured:
        raise wrong(NAME, "expected --size with --amps or --length, --loop-ohms, or two readings")
    wire = None
    if chosen.size:
        wire = Wire(
            chosen.size, chosen.metal, chosen.build or "", chosen.temperature, chosen.method
        )
        if chosen.method == "k" and (chosen.build or chosen.temperature is not None):
            raise wrong(NAME, "--build and --temperature do not go with --method k")
    return voltage_drop(
        Run(
            chosen.volts,
            chosen.amps,
            chosen.length,
            wire,
            chosen.loop_ohms,
            chosen.feeder_percent,
            *measured,
        ),
        tables,
    )
