"""The real program in a terminal of its own, killed while one types: nothing answered is lost."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.app.terminal import Terminal
from walkthrough.app import sessions
from walkthrough.survey import store
from walkthrough.survey.lock import lock

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal and SIGKILL"),
]


def test_killed_at_any_question_and_resumed_there(folders: Path) -> None:
    terminal = Terminal()
    terminal.wait_for("Start a new walk")
    terminal.type("1")
    terminal.wait_for("What is this walk called?")
    terminal.type("Elm\r")
    terminal.wait_for("By which edition")
    # No edition is offered: it takes the key of one.
    place = list(sessions.editions().titles).index("practice")
    key = "123456789abcdefghijklmnpqrstuvwxyz"[place]
    # A letter may begin a word, and so it waits.
    terminal.type(key if key.isdigit() else f"{key}\r")
    terminal.wait_for("By which others as well?")
    terminal.type("\r")
    terminal.wait_for("Day of the visit?")
    terminal.type("\r")
    terminal.wait_for("In which year was it built?")
    terminal.type("1974\r")
    terminal.wait_for("Where is the panel")
    terminal.close()
    path = folders / "elm.toml"
    assert store.load(path).dwelling.answers == {"year_built": 1974}

    terminal = Terminal()
    terminal.wait_for("Resume a walk")
    terminal.type("2")
    terminal.wait_for("Which walk?")
    terminal.type("\r")
    terminal.wait_for("Where is the panel")
    terminal.type("\r")
    terminal.wait_for("Breakers or fuses?")
    terminal.close()
    assert [each.name for each in store.load(path).panels] == ["Main panel"]
    lock(path).release()
    assert sorted(each.name for each in folders.iterdir()) == [
        "elm.toml",
        "elm.toml.history",
        "elm.toml.previous",
    ]
