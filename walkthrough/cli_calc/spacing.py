"""`calc spacing`: where receptacle outlets must be, which points are too far, the fewest to add."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from walkthrough.cli_calc.inputs import wrong
from walkthrough.cli_calc.spacing_file import room_working
from walkthrough.cli_calc.spacing_subjects import Wrong, reckon
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.tables import Tables
from walkthrough.trade.working import Working

NAME = "spacing"
HELP = "receptacles along walls and counters, on islands, in bathrooms, garages, outdoors, ..."
EXAMPLES = """\
examples:
  walkthrough calc spacing --wall "12ft, door 3ft, 8ft 6in" --receptacle 4ft
  walkthrough calc spacing --wall "6ft, corner, 9ft" --receptacle "3ft; 8ft, 18in from wall"
  walkthrough calc spacing --wall "sliding panel 4ft, fixed panel 4ft, 3ft" --receptacle 9ft
  walkthrough calc spacing --wall "14ft, receptacle, 11ft, 14ft, 8ft, door 3ft" --around
  walkthrough calc spacing --counter "63in" --receptacle 39in
  walkthrough calc spacing --counter "30in, sink 33in behind 4in, 4ft" --receptacle "6in; 87in"
  walkthrough calc spacing --edition 2020 --island "5ft x 9ft" --outlets 1
  walkthrough calc spacing --edition 2020 --peninsula "3ft x 3ft" --outlet "18in from end"
  walkthrough calc spacing --foyer 72ft2 --wall "9ft, door 3ft, sidelight 1ft, 8ft" --around
  walkthrough calc spacing --basin "24in to 44in" --basin "70in to 90in" --receptacle 57in
  walkthrough calc spacing --basin 30in --basin none
  walkthrough calc spacing --hallway 10ft --outlets 0
  walkthrough calc spacing --garage 2 --outlet "bay 1, 48in high" --outlet "bay 2, 7ft high"
  walkthrough calc spacing --outdoors --front 18in --back none

Tell one place in a call, or several in a file (--file). Lengths name their unit: 12ft, 8ft 6in,
8'6", 5 1/2 in, 63in, 1.8m, 40cm. A length equal to a limit passes.

The result: required, the fewest that would do if there were none; credited, those there that
count; missing, the fewest to add. With --json a line has its spaces too, each with what is too far
and where to add (in inches along the line), and what was not counted.

A wall line is walked from one end to the other: parts between commas, in their order. A length
alone is wall (along a counter: counter); anything else is its kind and length. Which kinds belong
to the wall and which break it is told by the ruleset; a slip lists them all. 'corner' breaks
nothing. A receptacle is told in the line (the word 'receptacle' where it stands) or by
--receptacle, measured along the line from its start, breaks included. Along a counter that ends
at a side wall, the side wall beside the counter is part of the line.

A file holds one [[place]] for each place, with the options as keys, and a name if you like:
  [[place]]
  name = "living room"
  wall = "12ft, door 3ft, 8ft 6in"
  receptacle = ["4ft", "17ft, 18in from wall"]
  around = true
  [[place]]
  island = "5ft x 9ft"
  outlets = 1"""

_FLAGS = {"around", "laundry", "basement", "accessory", "outdoors", "deck", "common-laundry"}
_OPTIONS: dict[str, dict[str, tuple[str, str]]] = {
    "walls and counters": {
        "wall": (
            "LINE",
            "the walls of a room along the floor: doors, sliding panels, fireplaces and fixed "
            "cabinets break it; windows, fixed panels, railings and room dividers do not; "
            "e.g. '12ft, door 3ft, 8ft 6in'",
        ),
        "counter": (
            "LINE",
            "a counter along the wall: sinks, ranges, cooktops and refrigerators part it; of a "
            "sink, range or cooktop tell the depth of counter behind it, and 'corner' if it "
            "stands across one; e.g. '30in, sink 33in behind 4in, 48in'",
        ),
        "receptacle": (
            "PLACE",
            "where it stands along the line, and after commas what matters: '66in high' (above the "
            "floor, or above the counter), '20in from wall' (in the floor), '10in below' and "
            "'overhang 5in' (under a counter), or a word for one that does not count "
            "(switched, if both halves are; equipment, cabinet, counter; along a counter "
            "blocked, appliance garage); several between semicolons; 'none' if "
            "there is none; e.g. '4ft; 9ft, 20in from wall'",
        ),
        "around": ("", "the line runs around the room: its end meets its start"),
        "foyer": ("AREA", "a foyer, no part of a hallway, with --wall; e.g. 72ft2 or '8ft x 9ft'"),
    },
    "islands and peninsulas": {
        "island": (
            "SIDES",
            "the whole top with its overhangs, e.g. '5ft x 9ft' or 45ft2; where a sink or range "
            "parts it, tell each part by itself for editions up to 2017",
        ),
        "peninsula": (
            "SIDES",
            "its length from the wall that it stands square to, and its width, e.g. '6ft x 3ft'",
        ),
        "joined": (
            "DEPTH",
            "depth of the counter along that wall, e.g. 25in: editions before 2017 measure from "
            "its edge",
        ),
        "provision": ("YES/NO", "whether an outlet can be put in later (2023 and on), e.g. yes"),
    },
    "places that need so many": {
        "outlets": ("COUNT", "outlets there about which nothing more matters, 0 to 99, e.g. 1; "
                    "without this and --outlet only the number needed is told"),
        "outlet": (
            "WORDS",
            "one outlet (a duplex or a quad is one), e.g. '48in high', 'bay 1', a word for one "
            "that does not count (equipment, switched, cabinet, alarm); of a top 'plain', "
            "'4in above', '10in below, overhang 5in', '18in from end' (outer end of a peninsula); "
            "or 'none'",
        ),
        "basin": (
            "PLACE",
            "a basin of a bathroom: how far the nearest receptacle is from its outside edge, "
            "e.g. 30in or none; or its edges along the wall, with --receptacle, e.g. "
            "'24in to 44in'",
        ),
        "hallway": ("LENGTH", "along its centre line, without passing a doorway, e.g. 12ft 6in"),
        "laundry": ("", "where laundry equipment is or is to be"),
        "common-laundry": ("", "there is a laundry for all of the building"),
        "garage": ("BAYS", "vehicle bays, 1 to 99, e.g. 2"),
        "power": ("YES/NO", "of a detached garage or accessory building, e.g. no; yes if not told"),
        "basement": ("", "a basement; tell its unfinished parts with --unfinished"),
        "unfinished": (
            "COUNT",
            "outlets in one separate unfinished part, 0 to 99, e.g. 1; once for each part",
        ),
        "accessory": ("", "an accessory building"),
        "outdoors": ("", "the front and the back of a dwelling, or a unit at grade"),
        "front": ("HEIGHT", "an outlet at the front, its height above grade, e.g. 18in; or 'none'"),
        "back": ("HEIGHT", "the same at the back, e.g. 18in"),
        "deck": ("", "a balcony, deck or porch; heights above its walking surface by --outlet"),
        "area": ("AREA", "of the deck, e.g. 30ft2 or '5ft x 6ft'"),
        "attached": ("YES/NO", "the deck is attached to the dwelling, e.g. yes"),
        "from-inside": ("YES/NO", "the deck can be reached from inside, e.g. yes"),
        "from-dwelling": ("LENGTH", "how far the deck is from the dwelling, e.g. 3in"),
        "equipment": (
            "KIND",
            "heating, air-conditioning or refrigeration equipment, e.g. furnace, condenser, "
            "evaporative cooler",
        ),
        "distance": ("LENGTH", "from the equipment to the nearest receptacle, e.g. 20ft or 'none'"),
        "same-level": ("YES/NO", "that receptacle stands on the level of the equipment, e.g. yes"),
        "dwelling": ("KIND", "one-family if not told, or e.g. two-family or multifamily"),
    },
}  # fmt: skip
KEYS = tuple(name for group in _OPTIONS.values() for name in group)


def add(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument(
        "--file",
        metavar="ROOM.toml",
        help="several places, told in a file as shown below, e.g. kitchen.toml",
    )
    for title, options in _OPTIONS.items():
        group = parser.add_argument_group(title)
        for name, (metavar, words) in options.items():
            if name in _FLAGS:
                group.add_argument(f"--{name}", action="store_true", help=words)
            else:
                group.add_argument(
                    f"--{name}", action="append", default=[], metavar=metavar, help=words
                )


def work(chosen: argparse.Namespace, tables: Tables) -> Working:
    """Do the calculation; raises Unusable and NoRow."""
    told: dict[str, Any] = {name: getattr(chosen, name.replace("-", "_")) for name in KEYS}
    figures = SpacingTables.of(tables)
    if chosen.file is not None:
        also = next((name for name, value in told.items() if value), None)
        if also is not None:
            raise wrong(NAME, f"--{also} does not go with --file; put it into the file")
        return room_working(Path(chosen.file), KEYS, _FLAGS, figures)
    try:
        return reckon(told, figures)[1]
    except Wrong as slip:
        raise wrong(NAME, f"--{slip.option}: {slip}" if slip.option else str(slip)) from None
