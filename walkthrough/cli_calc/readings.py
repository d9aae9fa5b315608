"""`calc readings`: what the readings at a receptacle leave possible, and the next to be taken."""

from __future__ import annotations

import argparse
import re

from walkthrough.cli_calc.inputs import above_zero, quantity, refuse, word_of, wrong
from walkthrough.rulebook.problems import closest
from walkthrough.trade.readings import READING_NAMES, Readings
from walkthrough.trade.readings_working import readings_working
from walkthrough.trade.tables import Tables
from walkthrough.trade.working import Working

NAME = "readings"
HELP = "wiring faults that readings at a receptacle leave possible, and the next reading to take"
EXAMPLES = """\
examples:
  walkthrough calc readings --lights correct
  walkthrough calc readings --lights correct --two-wire --gfci-test trips --plug-in nothing
  walkthrough calc readings --lights HN,HG --hot-neutral 121.5 --load-amps 12 --load-hot-neutral 112
  walkthrough calc readings --lights open-ground --ground-ohms 0.4 --trip-ma 5.2

Lamps: HN between hot and neutral slot, HG hot slot and ground contact, NG neutral slot and ground
contact. The legend of a tester differs by maker; naming the lamps that are lit is surer. Every
reading but one is optional. Voltages without load: nothing else on the circuit switched on."""
_LEGEND = {
    "correct": "hn_hg",
    "open-ground": "hn",
    "reversed": "hn_ng",
    "hot-neutral-reversed": "hn_ng",
    "open-neutral": "hg",
    "hot-ground-reversed": "hg_ng",
    "open-hot": "none",
    "none": "none",
    "dead": "none",
    "all": "all",
}
_LAMPS = ("hn", "hg", "ng")
_VOLTS = quantity("V", 300)
_WIRING = [name for name in READING_NAMES if not name.startswith(("gfci_", "load_amps"))]


def _lights(text: str) -> str:
    """The lamps that are lit, by the tester's legend or by their names in any order."""
    word = re.sub(r"[\s_/]+", "-", text.strip().lower())
    if word in _LEGEND:
        return _LEGEND[word]
    lit = set(re.split(r"[\s,+]+", text.strip().lower()))
    if lit <= set(_LAMPS):
        return (
            "all" if len(lit) == len(_LAMPS) else "_".join(each for each in _LAMPS if each in lit)
        )
    close = closest(word, _LEGEND)
    told = f"; did you mean '{close}', or a lamp (HN: hot to neutral)?" if close else ""
    expected = ", ".join(_LEGEND)
    raise refuse(f"found '{text}'; expected lamps such as HN,HG, or {expected}{told}")


def add(parser: argparse.ArgumentParser) -> None:
    """Add the options."""

    def words(option: str, help: str, found: dict[str, str], dest: str) -> None:
        parser.add_argument(option, type=word_of(found), dest=dest, metavar="WORD", help=help)

    def volts(option: str, help: str, dest: str) -> None:
        parser.add_argument(option, type=_VOLTS, dest=dest, metavar="V", help=help)

    parser.add_argument(
        "--lights",
        type=_lights,
        dest="tester_lamps",
        metavar="LAMPS",
        help="three-light tester: the lamps that are lit, e.g. HN,HG, or none or all, or its "
        "legend: correct, open-ground, open-neutral, reversed, hot-ground-reversed",
    )
    volts("--hot-neutral", "without load, 0 to 300 V, e.g. 121.5", "volts_hot_neutral")
    volts("--hot-ground", "without load, 0 to 300 V, e.g. 121.1", "volts_hot_ground")
    volts("--neutral-ground", "without load, 0 to 300 V, e.g. 0.4", "volts_neutral_ground")
    parser.add_argument(
        "--load-amps",
        type=above_zero(quantity("A", 50)),
        metavar="A",
        help="load for the next three, above 0 to 50 A, e.g. 12; about 12 A if not told",
    )
    volts("--load-hot-neutral", "with the load, 0 to 300 V, e.g. 116", "loaded_hot_neutral")
    volts("--load-hot-ground", "with the load, 0 to 300 V, e.g. 118.5", "loaded_hot_ground")
    volts("--load-neutral-ground", "with the load, 0 to 300 V, e.g. 1.5", "loaded_neutral_ground")
    parser.add_argument(
        "--ground-ohms",
        type=quantity("ohm", 1000000),
        dest="ground_path_ohms",
        metavar="OHM",
        help="impedance of the ground path, 0 to 1000000 ohm, e.g. 0.4",
    )
    words(
        "--ground-analyzer",
        "a circuit analyzer on the ground: good, false or none, e.g. good",
        {each: each for each in ("good", "false", "none")},
        "ground_analyzer",
    )
    words(
        "--gfci-test",
        "the GFCI that protects it, on its own TEST: trips, nothing, no-power, or none (no GFCI), "
        "e.g. trips",
        {"trips": "trips", "nothing": "nothing", "no-power": "no_power", "none": "none"},
        "gfci_own_test",
    )
    words(
        "--plug-in",
        "button of the plug-in tester: trips (this or another device) or nothing, e.g. trips",
        {"trips": "trips", "nothing": "nothing"},
        "plug_in_tester_trips",
    )
    words(
        "--probe",
        "non-contact tester at the ground contact or plate screw: silent or sounds, e.g. silent",
        {"silent": "silent", "sounds": "sounds"},
        "probe_at_ground",
    )
    volts("--hot-earth", "hot slot to a known earth, 0 to 300 V, e.g. 120", "volts_hot_earth")
    volts(
        "--ground-earth",
        "ground contact to a known earth, 0 to 300 V, e.g. 0",
        "volts_ground_earth",
    )
    words(
        "--box",
        "look into the box, power off: sound, jumper, crossed or loose, e.g. sound",
        {each: each for each in ("sound", "jumper", "crossed", "loose")},
        "box_look",
    )
    parser.add_argument(
        "--two-wire", action="store_true", help="house or circuit without equipment grounds"
    )
    parser.add_argument(
        "--trip-ma",
        type=above_zero(quantity("mA", 10000, others={"A": lambda value: value * 1000})),
        dest="gfci_trip_ma",
        metavar="MA",
        help="GFCI: current that flowed if --trip-ms is given, else at which it tripped, above 0 "
        "to 10000 mA, e.g. 5.2",
    )
    parser.add_argument(
        "--trip-ms",
        type=quantity("ms", 1000000, others={"s": lambda value: value * 1000}),
        dest="gfci_trip_ms",
        metavar="MS",
        help="GFCI: time to trip, 0 to 1000000 ms, e.g. 25",
    )


def work(chosen: argparse.Namespace, tables: Tables) -> Working:
    """Match the readings; raises Unusable and NoRow."""
    told = {name: getattr(chosen, name) for name in READING_NAMES}
    if all(told[name] is None for name in _WIRING):
        hint = "; for the device alone use calc trip-time" if chosen.gfci_trip_ma else ""
        raise wrong(NAME, f"expected a reading of the wiring, such as --lights correct{hint}")
    if chosen.gfci_trip_ms is not None and chosen.gfci_trip_ma is None:
        raise wrong(NAME, "--trip-ms needs the --trip-ma that flowed")
    loaded = [name for name in told if name.startswith("loaded_") and told[name] is not None]
    if chosen.load_amps is not None and not loaded:
        raise wrong(NAME, "--load-amps goes with a reading under load, such as --load-hot-neutral")
    return readings_working(Readings(**told, two_wire=chosen.two_wire), tables)
