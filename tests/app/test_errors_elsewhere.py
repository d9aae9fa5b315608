"""The screens are drawn where errors go: into a file they would be lost, and that is told."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

pty = pytest.importorskip("pty", reason="pseudo-terminals are of Unix")


@pytest.mark.parametrize("arguments", [(), ("--reinspect",)])
def test_errors_into_a_file_stop_the_walk_with_one_line(
    tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    ours, theirs = pty.openpty()
    session, log = tmp_path / "elm.toml", tmp_path / "err.log"
    with log.open("wb") as errors:
        done = subprocess.run(
            [sys.executable, "-m", "walkthrough", "walk", str(session), *arguments],
            stdin=theirs, stdout=theirs, stderr=errors, timeout=60, check=False,
        )  # fmt: skip
    os.close(theirs)
    told = os.read(ours, 4096).decode()
    os.close(ours)
    assert done.returncode == 2
    assert told.strip().splitlines() == [
        "walkthrough: the errors (2>) go to a file or a pipe; the screens are drawn there. "
        "Leave them on the terminal."
    ]
    assert log.read_bytes() == b""
    assert not session.exists()
