"""The app on a real terminal, from a key to the last of what is painted for it."""

from __future__ import annotations

import datetime
import os
import statistics
import time
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

from tests.app.terminal import Terminal
from tests.benchmarks.bare import FIELDS, LINES
from tests.benchmarks.house import house
from tests.benchmarks.measure import WARM_UP, Row, in_turn, percentile, ratio, told
from walkthrough.survey import store
from walkthrough.survey.model import Visit

_BARE = "tests.benchmarks.bare"
_CALM = 0.05
"""Seconds without a key in between: what is done after a frame does not count for the next."""


def first_frame(folder: Path, repeats: int) -> Iterator[Row]:
    """From the start of the process to the first frame."""

    def ours() -> None:
        with Terminal() as terminal:
            terminal.wait_for("What would you like to do?")

    def theirs() -> None:
        with Terminal("form", module=_BARE) as terminal:
            terminal.wait_for(f"Field {FIELDS}")

    # Without records of whoever measures: a list of them would be read first.
    with patch.dict(os.environ, {"WALKTHROUGH_SESSIONS": str(folder / "none")}):
        times = in_turn(ours, theirs, repeats=repeats)
    yield Row(
        "start to first frame",
        "at most 1.25x",
        ratio(*times),
        "a bare Textual form with 12 widgets",
    )


def next_question(folder: Path, outlets: int, repeats: int) -> Iterator[Row]:
    """From the key of an answer to the next question and the verdict, both painted."""
    session = house(outlets)
    outlet = next(each for each in reversed(session.outlets) if "tester" in each.readings)
    del session.outlets[session.outlets.index(outlet) + 1 :]
    del outlet.readings["tester"]
    # The first answer of a day also notes the visit; what is measured is any other answer.
    session.visits.append(Visit(date=datetime.date.today()))
    path = folder / "walk.toml"
    store.save(session, path)
    ours: list[float] = []
    theirs: list[float] = []
    with Terminal("walk", str(path)) as app, Terminal("refill", module=_BARE) as bare:
        app.wait_for("What does the plug-in tester show?")
        bare.wait_for(f"{LINES - 1} one line of screen 0")
        for number in range(1, repeats + WARM_UP + 1):
            app.watch(time.monotonic() + _CALM)
            began = time.perf_counter()
            app.type("2")
            app.wait_for(f"Outlet {outlet.id} is complete", "Tested as open ground")
            ours.append(time.perf_counter() - began)
            app.type("\x1a")
            app.wait_for("What does the plug-in tester show?")
            bare.watch(time.monotonic() + _CALM)
            began = time.perf_counter()
            bare.type("x")
            bare.wait_for(f"{LINES - 1} one line of screen {number},")
            theirs.append(time.perf_counter() - began)
    ours, theirs = ours[WARM_UP:], theirs[WARM_UP:]
    yield Row(
        f"key to next question and verdict, {outlets} outlets, saved",
        "at most 2x",
        ratio(ours, theirs),
        "one standing Textual screen filled anew, nothing saved",
    )
    yield Row(
        "the same, 99th percentile",
        "under 50 ms",
        told(percentile(ours, 0.99)),
        f"bare: {told(percentile(theirs, 0.99))}; fastest {told(min(ours))} / {told(min(theirs))}, "
        f"median {told(statistics.median(ours))}",
    )
