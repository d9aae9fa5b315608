"""The calculations that `calc` offers; a new one is a module and a line here."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass

from walkthrough.cli_calc import (
    ampacity,
    box_fill,
    circuit_load,
    readings,
    spacing,
    trip_round,
    trip_time,
    voltage_drop,
)
from walkthrough.trade.tables import Tables
from walkthrough.trade.working import Working


@dataclass(frozen=True)
class Calculation:
    """A calculation by its name; `add` declares its options, `work` does it."""

    name: str
    help: str
    examples: str
    add: Callable[[argparse.ArgumentParser], None]
    work: Callable[[argparse.Namespace, Tables], Working]


CALCULATIONS = tuple(
    Calculation(each.NAME, each.HELP, each.EXAMPLES, each.add, each.work)
    for each in (
        box_fill,
        ampacity,
        circuit_load,
        voltage_drop,
        trip_time,
        trip_round,
        spacing,
        readings,
    )
)
