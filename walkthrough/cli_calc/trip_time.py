"""`calc trip-time`: current and time of a ground-fault device against the curve of class A."""

from __future__ import annotations

import argparse
from decimal import Decimal

from walkthrough.cli_calc.inputs import above_zero, quantity, wrong
from walkthrough.trade.tables import Tables
from walkthrough.trade.trip_time import TripReading, trip_time
from walkthrough.trade.working import Working

NAME = "trip-time"
HELP = "trip current and time of a GFCI against the class A curve"
EXAMPLES = """\
examples:
  walkthrough calc trip-time --current 6                      the longest time allowed
  walkthrough calc trip-time --current 20 --seconds 0.8
  walkthrough calc trip-time --current 30 --milliseconds 25
  walkthrough calc trip-time --current 3.5 --no-trip
  walkthrough calc trip-time --tripped-at 5.2                 found with a slowly rising current"""
_MILLIAMPERES = above_zero(quantity("mA", 10000, others={"A": lambda value: value * 1000}))


def add(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument(
        "--current",
        type=_MILLIAMPERES,
        metavar="MA",
        help="steady ground-fault current, above 0 to 10000 mA, e.g. 6",
    )
    parser.add_argument(
        "--seconds",
        type=quantity("s", 1000, others={"ms": lambda value: value / 1000}),
        metavar="S",
        help="time it took to trip, 0 to 1000 s, e.g. 0.025",
    )
    parser.add_argument(
        "--milliseconds",
        type=quantity("ms", 1000000),
        metavar="MS",
        help="the same, 0 to 1000000 ms, e.g. 25",
    )
    parser.add_argument("--no-trip", action="store_true", help="it did not trip at that current")
    parser.add_argument(
        "--tripped-at",
        type=_MILLIAMPERES,
        metavar="MA",
        help="current at which it tripped when it rose slowly, above 0 to 10000 mA, e.g. 5.2",
    )


def work(chosen: argparse.Namespace, tables: Tables) -> Working:
    """Do the calculation; raises Unusable and NoRow."""
    times = [each for each in (chosen.seconds, chosen.milliseconds) if each is not None]
    if len(times) + chosen.no_trip > 1:
        raise wrong(NAME, "--seconds, --milliseconds and --no-trip: give one of them")
    if (times or chosen.no_trip) and chosen.current is None:
        raise wrong(NAME, "a time or --no-trip needs the --current that flowed")
    if chosen.current is None and chosen.tripped_at is None:
        raise wrong(NAME, "expected --current or --tripped-at")
    seconds = chosen.seconds
    if chosen.milliseconds is not None:
        seconds = chosen.milliseconds / Decimal(1000)
    return trip_time(
        TripReading(chosen.current, seconds, chosen.no_trip, chosen.tripped_at), tables
    )
