"""Text of a record on every screen: none of it reaches the terminal as anything but text."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from tests.torture.good import RECORD
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.rulebook.problems import clean
from walkthrough.survey import store

HOSTILE = {
    "escapes": "\x1b[2J\x1b]0;title\x07\x9b31m\x00\x7f",
    "reading direction": "\u202egnp.exe\u200f\u2066\u061c",
    "combining": "e" + "\u0301" * 300,
    "joined": "\U0001f469\u200d\U0001f527\ufeff",
    "markup": "[bold red]x[/] [link='file:///etc/passwd']y[/link] [[ \\[",
    "lines": "one\ntwo\r\nthree\tfour\u2028five\x0b\x0c",
    "long": "w" * 10_000,
    "long words": "wet place " * 1_000,
}
AT_ONCE = "".join(each for name, each in HOSTILE.items() if not name.startswith("long"))
TEXTS = [
    pytest.param(AT_ONCE, id="all at once"),
    # One by one takes a minute or two, and once showed nothing more.
    *(pytest.param(each, id=name, marks=pytest.mark.torture) for name, each in HOSTILE.items()),
]
SCREENS = {
    "walk": [],
    "help": ["f1"],
    "answers": ["f2"],
    "circuits": ["f3"],
    "wiring": ["f3", "w"],
    "rooms": ["f4"],
    "findings": ["f5"],
    "live pane": ["f6"],
    "trip": ["f7"],
    "what if": ["f9"],
    "next undecided": ["ctrl+n"],
    "next deficiency": ["ctrl+d"],
    "editions": ["ctrl+e"],
    "readings": ["ctrl+r"],
    "box": ["ctrl+x"],
    "room": ["ctrl+w"],
    "not tested": ["ctrl+l"],
    "note": ["ctrl+t"],
    "photo": ["ctrl+o"],
    "find": ["ctrl+f"],
}


def typed_in(text: str, path: Path) -> Path:
    """The practice record with a text in every field that takes one."""
    session = store.parse(RECORD, path)
    session.title = text
    for subject in session.subjects():
        subject.note = text
    for room in session.rooms:
        room.name = text
        room.photos = [text]
    for circuit in session.circuits:
        circuit.serves = text
    for panel in session.panels:
        panel.name = text
    for outlet in session.outlets:
        outlet.at = text
        for limit in outlet.limits:
            limit.reason = text
    for survey_limit in session.limits:
        survey_limit.subject = survey_limit.reason = text
    for visit in session.visits:
        visit.by = text
    for trip in session.trips:
        trip.note = text
    for finding in session.findings:
        finding.says = text
    session.rechecks = []
    store.save(session, path)
    return path


def painted(inspector: Inspector) -> Iterator[str]:
    """What is written to the terminal between the escapes of the library itself."""
    screen = inspector.app.screen
    for strip in screen._compositor.render_strips():
        for segment in strip:
            if not segment.control:
                yield segment.text


@pytest.mark.parametrize("text", TEXTS)
async def test_no_screen_lets_text_of_a_record_steer_the_terminal(folders: Path, text: str) -> None:
    path = typed_in(text, folders / "hostile.toml")
    app = WalkthroughApp(Record.open(path))
    async with app.run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await pilot.pause()
        seen = ""
        for name, keys in SCREENS.items():
            await pilot.press(*keys)
            await pilot.pause()
            for piece in painted(inspector):
                steering = [each for each in piece if not each.isprintable()]
                assert not steering, f"{name}: {steering} in {piece[:100]!r}"
            seen += inspector.sees
            assert all(len(row) <= 80 * 4 + 400 for row in inspector.sees.splitlines()), name
            await pilot.press("escape")
            await pilot.pause()
        assert app.record is not None
        assert not app.record.problem
    # It was there to be seen, and stands in the record as it was typed.
    assert clean(text)[:6] in seen
    assert store.load(path).title == text
