"""The app on a real terminal, from a key to the last of what is painted for it."""

from __future__ import annotations

import datetime
import os
import time
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

from tests.app.terminal import Terminal
from tests.benchmarks.bare import FIELDS, LINES, VERDICTS
from tests.benchmarks.house import house
from tests.benchmarks.measure import WARM_UP, Row, in_turn, percentile, ratio, told
from walkthrough.survey import store
from walkthrough.survey.model import Visit

_BARE = "tests.benchmarks.bare"
_BEFORE = "What kind of receptacle or device is it?"
_ASKED, _VERDICT = "What does the plug-in tester show?", "Tested as open ground"
_UNDO = "\x1a"
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
    del outlet.answers["device"]
    # The first answer of a day also notes the visit; what is measured is any other answer.
    session.visits.append(Visit(date=datetime.date.today()))
    path = folder / "walk.toml"
    store.save(session, path)
    ours: list[float] = []
    turned: list[float] = []
    standing: list[float] = []
    text: list[float] = []
    with (
        Terminal("walk", str(path)) as app,
        Terminal("standing", module=_BARE) as screen,
        Terminal("text", module=_BARE) as lines,
    ):
        app.wait_for(_BEFORE)
        screen.wait_for(f"verdict {VERDICTS - 1} of screen 0")
        lines.wait_for(f"{LINES - 1} one line of screen 0")
        for number in range(1, repeats + WARM_UP + 1):
            # As in a walk: the answer that is measured follows on another one.
            _answered(app, "1", _ASKED)
            ours.append(_answered(app, "2", f"Outlet {outlet.id} is complete", _VERDICT))
            _answered(app, _UNDO, _ASKED)
            turned.append(_answered(app, "2", f"Outlet {outlet.id} is complete", _VERDICT))
            for asked in (_ASKED, _BEFORE):
                app.type(_UNDO)
                app.wait_for(asked)
            standing.append(_answered(screen, "x", f"verdict {VERDICTS - 1} of screen {number},"))
            text.append(_answered(lines, "x", f"{LINES - 1} one line of screen {number},"))
    ours, turned, standing, text = (each[WARM_UP:] for each in (ours, turned, standing, text))
    yield Row(
        f"key to next question and verdict behind another answer, {outlets} outlets, saved",
        "at most 2x",
        ratio(ours, standing),
        "one standing Textual screen of such parts filled anew, nothing judged or saved",
    )
    yield Row(
        "the same, right after an answer was taken back",
        "",
        ratio(turned, standing),
        "the same screen; what was known of the others is looked up anew",
    )
    yield Row(
        "the same, behind another answer",
        "",
        ratio(ours, text),
        "the least there is: one text drawn anew without a layout, nothing judged or saved",
    )
    yield Row(
        "the same, 99th percentile",
        "under 50 ms",
        told(percentile(ours, 0.99)),
        f"standing screen {told(percentile(standing, 0.99))}, text {told(percentile(text, 0.99))}; "
        f"fastest {told(min(ours))} / {told(min(standing))} / {told(min(text))}",
    )


def _answered(terminal: Terminal, key: str, *texts: str) -> float:
    """Seconds from a key to what is painted for it."""
    terminal.watch(time.monotonic() + _CALM)
    began = time.perf_counter()
    terminal.type(key)
    terminal.wait_for(*texts)
    return time.perf_counter() - began
