"""The real program on a disk that is full, read-only or gone, and in two windows at once."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.app.conftest import DAY
from tests.app.terminal import Terminal
from walkthrough.app.record import Record
from walkthrough.survey import store

pytestmark = [
    pytest.mark.torture,
    pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal"),
]
QUIT, SAVE = "\x11", "\x13"


class Drive:
    """A small file system of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._at = folder
        folder.mkdir()
        self.mount("-t", "tmpfs", "-o", "size=64k", "tmpfs")

    def mount(self, *options: str) -> None:
        subprocess.run(["mount", *options, str(self.folder)], check=True, capture_output=True)

    def move(self, folder: Path) -> None:
        """Plug it in elsewhere, or back."""
        folder.mkdir(exist_ok=True)
        subprocess.run(["mount", "--move", str(self._at), str(folder)], check=True)
        self._at = folder

    def remove(self) -> None:
        subprocess.run(["umount", "--lazy", str(self._at)], check=True)

    def fill(self) -> Path:
        """Take all the room that is left; returns what to remove to make room again."""
        ballast = self.folder / "ballast"
        with ballast.open("wb", buffering=0) as file:
            try:
                while file.write(b"x" * 4096):
                    pass
            except OSError:
                return ballast
        raise AssertionError("there is no end of it")


@pytest.fixture
def drive(tmp_path: Path) -> Iterator[Drive]:
    try:
        made = Drive(tmp_path / "drive")
    except (OSError, subprocess.CalledProcessError):
        pytest.skip(
            "no file system can be mounted here; tests/app/test_trouble_on_disk.py stands in"
        )
    yield made
    made.remove()


CALM_SECONDS = 0.5


def begun(path: Path) -> Path:
    Record.begin(path, "Elm", "practice", DAY).close()
    return path


def year_in(path: Path) -> object:
    return store.load(path).dwelling.answers.get("year_built")


def test_a_full_disk(drive: Drive) -> None:
    path = begun(drive.folder / "elm.toml")
    with Terminal("walk", str(path)) as terminal:
        terminal.wait_for("In which year was it built?")
        ballast = drive.fill()
        terminal.type("1974\r")
        terminal.wait_for("NOT SAVED", "No space left on device")
        # The message may be painted once more by itself: that is not the next attempt's.
        terminal.watch(time.monotonic() + CALM_SECONDS)
        terminal.type("\r")
        terminal.wait_for("No space left on device")
        assert year_in(path) is None
        ballast.unlink()
        terminal.type("\r")
        terminal.wait_for("Where is the panel")
        assert year_in(path) == 1974
        terminal.type("Garage\r")
        terminal.wait_for("Breakers or fuses?")
        # What was done while the disk was full can be taken back as well.
        terminal.type("\x1a")
        terminal.wait_for("Where is the panel")
        terminal.type("\x1a")
        terminal.wait_for("In which year was it built?")
        assert year_in(path) is None
        terminal.type(QUIT)
        assert terminal.ended() == 0


def test_leaving_with_a_full_disk_tells_what_is_lost(drive: Drive) -> None:
    path = begun(drive.folder / "elm.toml")
    with Terminal("walk", str(path)) as terminal:
        terminal.wait_for("In which year was it built?")
        drive.fill()
        terminal.type("1974\r")
        terminal.wait_for("NOT SAVED")
        terminal.type(QUIT)
        assert terminal.ended() == 1
        assert terminal.has_painted("The last answers were not saved")
    assert year_in(path) is None


def test_beginning_and_opening_on_a_full_disk(drive: Drive) -> None:
    path = begun(drive.folder / "elm.toml")
    ballast = drive.fill()
    with Terminal("walk", str(path)) as terminal:
        assert terminal.ended() == 2
        assert terminal.has_painted("cannot be opened to write in it: No space left on device")
    new = drive.folder / "new.toml"
    with Terminal("walk", str(new), "--ruleset", "practice") as terminal:
        terminal.wait_for("What is this walk called?")
        terminal.type("New\r")
        terminal.wait_for("By which others")
        terminal.type("\r")
        terminal.wait_for("Day of the visit?")
        terminal.type("\r")
        terminal.wait_for("No space left on device")
        ballast.unlink()
        terminal.type("\r")
        terminal.wait_for("In which year was it built?")
        terminal.type(QUIT)
        assert terminal.ended() == 0
    assert sorted(each.name for each in drive.folder.iterdir()) == ["elm.toml", "new.toml"]


def test_a_disk_that_turns_read_only(drive: Drive) -> None:
    path = begun(drive.folder / "elm.toml")
    with Terminal("walk", str(path)) as terminal:
        terminal.wait_for("In which year was it built?")
        drive.mount("-o", "remount,ro")
        terminal.type("1974\r")
        terminal.wait_for("NOT SAVED", "Read-only file system")
        terminal.watch(time.monotonic() + CALM_SECONDS)
        terminal.type("\r")
        terminal.wait_for("Read-only file system")
        drive.mount("-o", "remount,rw")
        terminal.type(SAVE)
        terminal.wait_for("Where is the panel")
        assert year_in(path) == 1974
        terminal.type(QUIT)
        assert terminal.ended() == 0
    drive.mount("-o", "remount,ro")
    with Terminal("walk", str(path)) as terminal:
        assert terminal.ended() == 2
        assert terminal.has_painted("cannot be opened to write in it: Read-only file system")
    drive.mount("-o", "remount,rw")


def test_an_unplugged_drive(drive: Drive, tmp_path: Path) -> None:
    """Its mount point stays as an empty folder, and the record is not written there."""
    path = begun(drive.folder / "elm.toml")
    with Terminal("walk", str(path)) as terminal:
        terminal.wait_for("In which year was it built?")
        drive.move(tmp_path / "elsewhere")
        terminal.type("1974\r")
        terminal.wait_for("NOT SAVED", "its folder is gone; was a drive unplugged")
        terminal.watch(time.monotonic() + CALM_SECONDS)
        terminal.type("\r")
        terminal.wait_for("its folder is gone; was a drive unplugged")
        assert not path.exists()
        drive.move(drive.folder)
        terminal.type("\r")
        terminal.wait_for("Where is the panel")
        assert year_in(path) == 1974
        terminal.type("Garage\r")
        terminal.wait_for("Breakers or fuses?")
        terminal.type(QUIT)
        assert terminal.ended() == 0
    record = Record.open(path, today=DAY)
    assert record.undo()
    assert record.undo()
    assert year_in(path) is None


def test_a_folder_taken_away_for_good(tmp_path: Path) -> None:
    path = begun(tmp_path / "stick" / "elm.toml")
    with Terminal("walk", str(path)) as terminal:
        terminal.wait_for("In which year was it built?")
        shutil.rmtree(path.parent)
        terminal.type("1974\r")
        terminal.wait_for("NOT SAVED")
        terminal.type(QUIT)
        assert terminal.ended() == 1
        assert terminal.has_painted("its folder is gone")
    assert not path.parent.exists()


def test_a_second_window_waits_for_the_first(folders: Path) -> None:
    path = begun(folders / "elm.toml")
    with Terminal("walk", str(path)) as first, Terminal() as second:
        first.wait_for("In which year was it built?")
        second.wait_for("Resume a walk")
        second.type("2")
        second.wait_for("Which walk?")
        second.type("\r")
        second.wait_for(f"process {first.program.pid}")
        # By the command line it is refused as well, and the first goes on.
        with Terminal("walk", str(path)) as third:
            assert third.ended() == 2
            assert third.has_painted("is open in another walkthrough")
        first.type("1974\r")
        first.wait_for("Where is the panel")
        first.type(QUIT)
        assert first.ended() == 0
        second.type("\r")
        second.wait_for("Where is the panel")
        assert year_in(path) == 1974
        second.type(QUIT)
        assert second.ended() == 0
