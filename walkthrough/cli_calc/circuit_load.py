"""`calc circuit-load`: receptacles and loads on a branch circuit against its rating."""

from __future__ import annotations

import argparse
import re
from decimal import Decimal

from walkthrough.cli_calc.ampacity import AMPERES
from walkthrough.cli_calc.inputs import above_zero, quantity, refuse, unit_in, wrong
from walkthrough.trade.circuit_load import Branch, circuit_load
from walkthrough.trade.tables import Tables
from walkthrough.trade.working import Working

NAME = "circuit-load"
HELP = "receptacle ratings, plugged-in loads and loads in place on a branch circuit"
EXAMPLES = """\
examples:
  walkthrough calc circuit-load --circuit 15 --plug 1500W
  walkthrough calc circuit-load --circuit 15 --receptacle 20
  walkthrough calc circuit-load --circuit 20 --receptacle 15 --single --individual
  walkthrough calc circuit-load --circuit 20 --fixed 8A --shared --plug 12A

A duplex is two receptacles: a circuit with one duplex has several. Loads are in A, or in W at the
volts of --volts."""


_HORSEPOWER = re.compile(r"\d\s*(hp|horsepower)\b", re.IGNORECASE)


class _Watts(Decimal):
    """Watts: they turn into amperes once the volts are known."""


def _shared(told: str | None, both: bool) -> bool | None:
    """Whether other things are fed beside the equipment in place; None where it is not told."""
    if both:
        return True
    return None if told is None else told == "yes"


def _load(text: str) -> Decimal:
    """Amperes, or watts if it says so."""
    unit = unit_in(text.strip().lstrip("0123456789./- "))
    if unit == "kw":
        return _Watts(quantity("kW", 500)(text) * 1000)
    if unit == "w":
        return _Watts(quantity("W", 500000)(text))
    is_power = _HORSEPOWER.search(text) is not None
    if is_power or not re.match(r"\s*[\d.]", text):
        why = "; horsepower tells what a motor gives, not what it takes" if is_power else ""
        wanted = "expected A or W as its nameplate says, such as 12.5A or 1500W"
        raise refuse(f"found '{text}'; {wanted}{why}")
    amperes: Decimal = AMPERES(text)
    return amperes


def _amps(load: Decimal, volts: Decimal) -> Decimal:
    return Decimal(load) / volts if isinstance(load, _Watts) else load


def add(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument(
        "--circuit",
        type=above_zero(AMPERES),
        required=True,
        metavar="A",
        help="rating of the circuit, that is of its overcurrent device, above 0 to 2000 A, e.g. 20",
    )
    parser.add_argument(
        "--volts",
        type=above_zero(quantity("V", 1000)),
        default=Decimal(120),
        metavar="V",
        help="above 0 to 1000 V, for loads in W, e.g. 240; 120 if not told",
    )
    parser.add_argument(
        "--receptacle",
        type=above_zero(AMPERES),
        metavar="A",
        help="rating of the receptacle, above 0 to 2000 A, e.g. 15",
    )
    parser.add_argument(
        "--single", action="store_true", help="one receptacle on its yoke, no other outlet"
    )
    parser.add_argument(
        "--individual", action="store_true", help="the circuit feeds one piece of equipment only"
    )
    parser.add_argument(
        "--plug",
        action="append",
        type=_load,
        default=[],
        metavar="LOAD",
        help="one thing with cord and plug, 0 to 2000 A or W, once for each, e.g. 1500W or 12.5A",
    )
    parser.add_argument(
        "--fixed",
        action="append",
        type=_load,
        default=[],
        metavar="LOAD",
        help="equipment fastened in place other than luminaires, A or W, added up, e.g. 8A",
    )
    shared = parser.add_mutually_exclusive_group()
    shared.add_argument(
        "--shared",
        action="store_const",
        const="yes",
        dest="shared",
        help="the circuit also feeds lighting, or things with a plug, or both",
    )
    shared.add_argument(
        "--not-shared", action="store_const", const="no", dest="shared", help="it feeds neither"
    )
    parser.add_argument(
        "--continuous",
        type=_load,
        default=Decimal(0),
        metavar="LOAD",
        help="whole load that runs three hours or more, A or W, e.g. 16A",
    )
    parser.add_argument(
        "--load",
        type=_load,
        default=Decimal(0),
        metavar="LOAD",
        help="all other load, A or W, e.g. 4A",
    )


def work(chosen: argparse.Namespace, tables: Tables) -> Working:
    """Do the calculation; raises Unusable and NoRow."""
    if chosen.single and not chosen.individual:
        raise wrong(NAME, "--single goes with --individual: one receptacle and nothing else")
    volts = chosen.volts
    loads = (*chosen.plug, *chosen.fixed, chosen.continuous, chosen.load)
    plugged = tuple(_amps(each, volts) for each in chosen.plug)
    fixed = sum((_amps(each, volts) for each in chosen.fixed), Decimal(0))
    return circuit_load(
        Branch(
            chosen.circuit,
            chosen.receptacle,
            chosen.individual,
            chosen.single,
            plugged,
            fixed,
            _shared(chosen.shared, bool(plugged and fixed)),
            _amps(chosen.continuous, volts),
            _amps(chosen.load, volts),
            volts,
            tuple(each for each in loads if isinstance(each, _Watts)),
        ),
        tables,
    )
