"""The real program in a terminal of its own, killed while one types: nothing answered is lost."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from walkthrough.app import sessions
from walkthrough.survey import store
from walkthrough.survey.lock import lock

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal and SIGKILL"),
]

PROGRAM = "import sys; from walkthrough.app.main import run; sys.exit(run(None))"  # as the cli does
SECONDS = 20.0


class Terminal:
    """The program on a pseudo-terminal of 80x24."""

    def __init__(self) -> None:
        import fcntl
        import pty
        import struct
        import termios

        self._ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        os.set_blocking(self._ours, False)
        self._program = subprocess.Popen(
            [sys.executable, "-c", PROGRAM],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            env={**os.environ, "TERM": "xterm-256color"},
            start_new_session=True,
        )
        os.close(theirs)
        self._painted = b""

    def type(self, keys: str) -> None:
        os.write(self._ours, keys.encode())

    def wait_for(self, text: str) -> None:
        """Until a text was painted since the last wait."""
        until = time.monotonic() + SECONDS
        while text.encode() not in self._painted:
            assert time.monotonic() < until, f"never painted '{text}': {self._painted[-3000:]!r}"
            try:
                self._painted += os.read(self._ours, 65536)
            except BlockingIOError:
                # Nothing painted yet; the loop ends with the text or with the time.
                os.sched_yield() if hasattr(os, "sched_yield") else None
        self._painted = b""

    def kill(self) -> None:
        self._program.send_signal(signal.SIGKILL)
        self._program.wait()
        os.close(self._ours)


def test_killed_at_any_question_and_resumed_there(folders: Path) -> None:
    terminal = Terminal()
    terminal.wait_for("Start a new walk")
    terminal.type("1")
    terminal.wait_for("What is this walk called?")
    terminal.type("Elm\r")
    terminal.wait_for("By which edition")
    # No edition is offered: it takes the key of one.
    place = list(sessions.editions().titles).index("practice")
    terminal.type("123456789abcdefghijklmnopqrstuvwxyz"[place])
    terminal.wait_for("By which others as well?")
    terminal.type("\r")
    terminal.wait_for("Day of the visit?")
    terminal.type("\r")
    terminal.wait_for("In which year was it built?")
    terminal.type("1974\r")
    terminal.wait_for("Where is the panel")
    terminal.kill()
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
    terminal.kill()
    assert [each.name for each in store.load(path).panels] == ["Main panel"]
    lock(path).release()
    assert sorted(each.name for each in folders.iterdir()) == [
        "elm.toml",
        "elm.toml.history",
        "elm.toml.previous",
    ]
