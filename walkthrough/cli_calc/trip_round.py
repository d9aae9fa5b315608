"""`calc trip-round`: what trip tests of one circuit tell of its wiring, and the next test."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from walkthrough.cli_calc.inputs import refuse, wrong
from walkthrough.report.text import counted
from walkthrough.rulebook.problems import nearest
from walkthrough.trade.inference import BREAKER, Inference, TripTest, infer
from walkthrough.trade.tables import Tables
from walkthrough.trade.working import Step, Working

NAME = "trip-round"
HELP = "what died and what stayed live in trip tests of one circuit: who hangs on whose LOAD"
EXAMPLES = """\
examples:
  walkthrough calc trip-round --device K-1 --outlet K-2 --outlet K-3 --test "K-1: K-1 K-2 / K-3"
  walkthrough calc trip-round --devices "G-1 G-4" --outlets "G-2 G-3" --test "G-1: G-1 G-2 / G-4"

What was not looked at is in neither list. No trip test shows in which order outlets that go off
together follow each other."""
_BREAKER = "breaker"
_MOST_NAMES = 60
_MOST_DEVICES = 12


def add(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    parser.add_argument(
        "--device",
        "--devices",
        dest="devices",
        action="append",
        default=[],
        required=True,
        metavar="NAMES",
        help=f"protective devices of the circuit, up to {_MOST_DEVICES}, e.g. 'K-1 K-4'",
    )
    parser.add_argument(
        "--outlet",
        "--outlets",
        dest="outlets",
        action="append",
        default=[],
        metavar="NAMES",
        help=f"all other outlets of the circuit, up to {_MOST_NAMES}, e.g. 'K-2 K-3'",
    )
    parser.add_argument(
        "--test",
        "--tests",
        dest="tests",
        action="append",
        default=[],
        type=_test,
        metavar="'AT: DEAD / LIVE'",
        help="one TEST: the device (or 'breaker' for the circuit's own switched off), what went "
        "dead, and after a / what stayed live; once for each, e.g. 'K-1: K-1 K-2 / K-3'",
    )


def work(chosen: argparse.Namespace, tables: Tables) -> Working:  # noqa: ARG001 - as all of them
    """Infer; raises Unusable for a name that is not among the devices and outlets."""
    devices = [name for each in chosen.devices for name in each.split()]
    outlets = [name for each in chosen.outlets for name in each.split()]
    if len(devices) > _MOST_DEVICES or len(outlets) > _MOST_NAMES:
        found = f"found {counted(len(devices), 'device')} and {counted(len(outlets), 'outlet')}"
        raise wrong(NAME, f"{found}; expected at most {_MOST_DEVICES} and {_MOST_NAMES}")
    known = dict.fromkeys((*devices, *outlets))
    for test in chosen.tests:
        at = [test.at] if test.at != BREAKER else []
        for name in (*at, *test.dead, *test.live):
            if name not in known:
                expected = "expected a device or outlet that was told"
                raise wrong(NAME, f"--test: found '{name}'; {expected}; {nearest(name, known)}")
        if test.at not in (BREAKER, *devices):
            raise wrong(NAME, f"--test: '{test.at}' is no device; name it with --device")
    inference = infer(devices, outlets, chosen.tests)
    steps = tuple(Step(label, formula) for label, formula in _steps(chosen.tests, inference))
    if inference.conflicts:
        says = "; ".join(each.says for each in inference.conflicts)
        return Working(steps, {"contradictions": len(inference.conflicts)}, "fail", says)
    settled = all(inference.is_settled(each) for each in devices)
    because = (
        "It is settled whose LOAD every outlet hangs on."
        if settled
        else f"Several ways fit; the TEST of {inference.proposals[0].at} tells most."
        if inference.proposals
        else "Several ways fit."
    )
    return Working(
        steps,
        {
            **{
                f"reach of {each}": " ".join(inference.reach(each)) or "nothing" for each in devices
            },
            "next test": inference.proposals[0].at if inference.proposals else "none needed",
        },
        "calculated" if settled else "cannot assess",
        because,
        ("A trip test does not show the order of outlets that go off together.",),
        for_scripts={
            "places": {
                each.outlet: {
                    "within": each.within,
                    "nearest": each.nearest,
                    "perhaps": each.perhaps,
                }
                for each in inference.places
            },
            "faces": dict(inference.faces),
        },
    )


def _steps(tests: list[TripTest], inference: Inference) -> Iterator[tuple[str, str]]:
    for number, test in enumerate(tests, 1):
        at = test.at or "the breaker"
        dead, live = " ".join(test.dead) or "none noted", " ".join(test.live) or "none noted"
        yield f"test {number}, {at}", f"dead {dead}; live {live}"
    for conflict in inference.conflicts:
        yield "contradiction", conflict.says
    for place in inference.places:
        sure = " and ".join(place.nearest) or "no device"
        perhaps = f"; perhaps {' or '.join(place.perhaps)}" if place.perhaps else ""
        yield f"{place.outlet} hangs on the LOAD of", sure + perhaps
    for each in inference.proposals[:3]:
        left = f"leaves {each.left:.0%} of the ways on average" if each.left is not None else ""
        yield f"next test {each.at}", left or f"{counted(len(each.open), 'outlet')} open"


def _test(text: str) -> TripTest:
    at, colon, seen = text.partition(":")
    dead, _, live = seen.partition("/")
    if not colon or not at.strip() or not (dead.split() or live.split()):
        raise refuse(f"found '{text}'; expected 'AT: DEAD / LIVE' such as 'K-1: K-1 K-2 / K-3'")
    where = BREAKER if at.strip().casefold() == _BREAKER else at.strip()
    return TripTest(where, tuple(dead.split()), tuple(live.split()))
