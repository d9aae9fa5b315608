"""A save is whole or has not happened, whatever fails and whenever."""

from __future__ import annotations

import errno
import os
import random
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from walkthrough.survey import store
from walkthrough.survey.canonical import as_toml
from walkthrough.survey.lock import lock
from walkthrough.survey.model import JudgedBy, Session
from walkthrough.survey.store import SaveError, load, previous, save, sweep


class PowerCut(BaseException):
    """The machine is gone: nothing runs after it, not even tidying up."""


class Disk:
    """Counts what is done to the disk, and breaks at the chosen operation."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.operations = 0
        self.log: list[str] = []
        self.breaks_at = 0
        self.stays_broken = False
        self.error: Callable[[], BaseException] = lambda: OSError(errno.ENOSPC, "disk full")
        for owner, name in (
            (os, "fsync"),
            (os, "replace"),
            (os, "link"),
            (os, "open"),
            (Path, "open"),
            (Path, "chmod"),
            (Path, "mkdir"),
        ):
            patch.setattr(owner, name, self._watched(getattr(owner, name)))
        # Tidying up is no step of the save, but a dead machine does not tidy up either.
        patch.setattr(Path, "unlink", self._watched(Path.unlink, counts=False))

    def _watched(self, real: Callable[..., Any], counts: bool = True) -> Callable[..., Any]:
        def operation(*args: Any, **options: Any) -> Any:
            self.operations += counts
            self.log.append(real.__name__)
            now = self.operations == self.breaks_at and counts
            after = self.stays_broken and 0 < self.breaks_at < self.operations + (not counts)
            if now or after:
                raise self.error()
            return real(*args, **options)

        return operation


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> Disk:
    """The disk under the test."""
    return Disk(monkeypatch)


def steps_of_a_save(disk: Disk, session: Session, path: Path) -> int:
    """How many operations one changed save takes."""
    before = disk.operations
    session.dwelling.note += "."
    save(session, path)
    return disk.operations - before


def change(session: Session, path: Path) -> bytes:
    """Give one more answer; what the file holds before it is saved."""
    session.dwelling.note += "x"
    return path.read_bytes()


def test_the_state_before_is_kept(record_file: Path, small_record: str) -> None:
    session = load(record_file)
    session.dwelling.note = "second"
    save(session, record_file)
    assert previous(record_file).name == "quince-cottage.toml.previous"
    assert previous(record_file).read_bytes() == small_record.encode()
    session.dwelling.note = "third"
    save(session, record_file)
    assert load(previous(record_file)).dwelling.note == "second"
    assert load(record_file).dwelling.note == "third"


def test_saving_what_is_there_already_keeps_the_state_before(record_file: Path) -> None:
    session = load(record_file)
    session.dwelling.note = "second"
    save(session, record_file)
    save(session, record_file)
    assert load(previous(record_file)).dwelling.note == ""


def test_nothing_else_is_left_beside_the_record(record_file: Path) -> None:
    session = load(record_file)
    session.dwelling.note = "second"
    save(session, record_file)
    assert sorted(each.name for each in record_file.parent.iterdir()) == [
        "quince-cottage.toml",
        "quince-cottage.toml.previous",
    ]


@pytest.mark.skipif(os.name == "nt", reason="Windows cannot sync a folder")
def test_the_file_is_synced_before_it_takes_its_place_and_the_folder_after(
    disk: Disk, record_file: Path
) -> None:
    session = load(record_file)
    disk.log.clear()
    steps_of_a_save(disk, session, record_file)
    steps = [step for step in disk.log if step in ("fsync", "replace")]
    assert steps == ["fsync", "replace", "replace", "fsync"]


def test_a_full_disk_at_every_step_leaves_the_old_state(disk: Disk, record_file: Path) -> None:
    session = load(record_file)
    steps = steps_of_a_save(disk, session, record_file)
    assert steps >= 6
    failed = 0
    for step in range(1, steps + 1):
        before = change(session, record_file)
        disk.breaks_at = disk.operations + step
        said = ""
        try:
            save(session, record_file)
        except SaveError as error:
            said = str(error)
        disk.breaks_at = 0
        if said:
            failed += 1
            assert said.endswith("disk full; the file is as it was before")
            assert record_file.read_bytes() == before
        else:
            # Only where another way led to the same end: a copy in place of a link.
            assert record_file.read_bytes() == as_toml(session).encode()
        assert load(record_file).title == load(previous(record_file)).title
        assert not list(record_file.parent.glob(".*"))
    assert failed >= steps - 1
    save(session, record_file)
    assert load(record_file) == session


def test_a_power_cut_at_every_step_leaves_the_old_or_the_new_state(
    disk: Disk, record_file: Path
) -> None:
    session = load(record_file)
    steps = steps_of_a_save(disk, session, record_file)
    disk.error = PowerCut
    disk.stays_broken = True
    for step in range(1, steps + 1):
        before = change(session, record_file)
        disk.breaks_at = disk.operations + step
        with pytest.raises(PowerCut):
            save(session, record_file)
        disk.breaks_at = 0
        assert record_file.read_bytes() in (before, as_toml(session).encode())
        load(record_file)
        load(previous(record_file))
        with lock(record_file):
            assert not list(record_file.parent.glob(".*.tmp"))
        save(session, record_file)


def test_a_first_save_that_fails_leaves_nothing(disk: Disk, tmp_path: Path) -> None:
    session = Session(title="New", judged_by=JudgedBy(ruleset="nec-2020"))
    steps = steps_of_a_save(disk, session, tmp_path / "other.toml")
    for step in range(1, steps + 1):
        disk.breaks_at = disk.operations + step
        with pytest.raises(SaveError):
            save(session, tmp_path / "new.toml")
        disk.breaks_at = 0
        assert not (tmp_path / "new.toml").exists()
        assert not list(tmp_path.glob(".*"))


def test_a_folder_that_cannot_be_synced_is_no_failure(
    record_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.fsync

    def only_files(number: int) -> None:
        if stat.S_ISDIR(os.fstat(number).st_mode):
            raise OSError(errno.EINVAL, "no such thing for a folder")
        real(number)

    monkeypatch.setattr(os, "fsync", only_files)
    session = load(record_file)
    session.dwelling.note = "second"
    save(session, record_file)
    assert load(record_file).dwelling.note == "second"


def test_where_files_cannot_be_linked_the_state_before_is_copied(
    record_file: Path, small_record: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: Any, **__: Any) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", no_links)
    session = load(record_file)
    session.dwelling.note = "second"
    save(session, record_file)
    assert previous(record_file).read_bytes() == small_record.encode()


def test_a_damaged_record_is_not_overwritten(record_file: Path, small_session: Session) -> None:
    record_file.write_text("format = 1\ntitle = ")
    with pytest.raises(SaveError, match="no record to write over"):
        save(small_session, record_file)
    assert record_file.read_text() == "format = 1\ntitle = "


def test_a_newer_record_is_not_overwritten(record_file: Path, small_session: Session) -> None:
    record_file.write_text("format = 2\n")
    with pytest.raises(SaveError, match="newer version of walkthrough"):
        save(small_session, record_file)
    assert record_file.read_text() == "format = 2\n"


def test_what_a_person_mended_meanwhile_is_not_overwritten(record_file: Path) -> None:
    session = load(record_file)
    mended = record_file.read_text().replace("Quince", "Medlar Tree")
    record_file.write_text(mended)
    session.dwelling.note = "second"
    with pytest.raises(SaveError, match="another program changed the file"):
        save(session, record_file)
    assert record_file.read_text() == mended


def test_a_file_that_was_only_touched_is_no_hindrance(record_file: Path) -> None:
    session = load(record_file)
    os.utime(record_file, ns=(1, 1))
    session.dwelling.note = "second"
    save(session, record_file)
    assert load(record_file).dwelling.note == "second"


def test_a_record_that_could_not_be_loaded_again_is_not_saved(record_file: Path) -> None:
    session = load(record_file)
    before = record_file.read_bytes()
    session.outlets[0].room = "attic"
    with pytest.raises(SaveError, match="there is no room 'attic'"):
        save(session, record_file)
    session.outlets[0].room = "kitchen"
    session.outlets[0].answers["feet_to_sink"] = float("nan")
    with pytest.raises(SaveError, match="cannot hold nan"):
        save(session, record_file)
    session.outlets[0].answers["feet_to_sink"] = "\udc80"
    with pytest.raises(SaveError):
        save(session, record_file)
    assert record_file.read_bytes() == before


def test_a_link_to_a_record_stays_a_link(record_file: Path, tmp_path: Path) -> None:
    link = tmp_path / "here" / "house.toml"
    link.parent.mkdir()
    try:
        link.symlink_to(record_file)
    except OSError:
        pytest.skip("no links on this system")
    session = load(link)
    session.dwelling.note = "second"
    save(session, link)
    assert link.is_symlink()
    assert load(record_file).dwelling.note == "second"


@pytest.mark.skipif(os.name == "nt", reason="Windows knows no such permissions")
def test_a_private_record_stays_private(record_file: Path) -> None:
    record_file.chmod(0o600)
    session = load(record_file)
    session.dwelling.note = "second"
    save(session, record_file)
    assert record_file.stat().st_mode & 0o777 == 0o600


def test_a_folder_is_made_where_there_is_none(tmp_path: Path, small_session: Session) -> None:
    save(small_session, tmp_path / "sessions" / "new.toml")
    assert load(tmp_path / "sessions" / "new.toml") == small_session


def test_sweeping_takes_only_temporary_files_of_this_record(record_file: Path) -> None:
    stale = store._temporary(record_file, "new")
    other = store._temporary(record_file.with_name("other.toml"), "new")
    for each in (stale, other):
        each.write_text("half a rec")
    sweep(record_file)
    assert not stale.exists()
    assert other.exists()
    assert record_file.exists()


_ANSWERING = """
import sys
from walkthrough.survey.lock import lock
from walkthrough.survey.store import load, save
path = sys.argv[1]
with lock(path):
    session = load(path)
    number = session.dwelling.answers["volts_to_ground"]
    while True:
        number += 1
        session.dwelling.answers["volts_to_ground"] = number
        save(session, path)
        print(number, flush=True)
"""


@pytest.mark.parametrize("kills", [4, pytest.param(1000, marks=pytest.mark.slow)])
def test_a_killed_process_loses_no_confirmed_answer(record_file: Path, kills: int) -> None:
    chance = random.Random(kills)
    for _ in range(kills):
        with subprocess.Popen(
            [sys.executable, "-c", _ANSWERING, str(record_file)], stdout=subprocess.PIPE, text=True
        ) as answering:
            assert answering.stdout is not None
            confirmed = [answering.stdout.readline()]
            time.sleep(chance.uniform(0, 0.02))
            answering.kill()
            confirmed += answering.stdout.readlines()
        whole = [int(line) for line in confirmed if line.endswith("\n")]
        found = load(record_file).dwelling.answers["volts_to_ground"]
        assert isinstance(found, int)
        # At most the answer that was being saved is there without its confirmation.
        assert whole[-1] <= found <= whole[-1] + 1
    with lock(record_file):
        assert not list(record_file.parent.glob(".*.tmp"))
