"""Two processes cannot write one record; a dead one is no hindrance."""

from __future__ import annotations

import json
import os
import platform
import subprocess
import sys
import time
from pathlib import Path

import pytest

from walkthrough.survey.lock import Locked, is_running, lock

_HOLDING = """
import sys
from walkthrough.survey.lock import lock
with lock(sys.argv[1]):
    print("held", flush=True)
    sys.stdin.read()
"""


def lock_file(record: Path) -> Path:
    """Where the lock of a record lies."""
    return record.with_name(record.name + ".lock")


def start_holding(record: Path) -> subprocess.Popen[str]:
    """Another process that has the record open."""
    pipe = subprocess.PIPE
    other = subprocess.Popen(
        [sys.executable, "-c", _HOLDING, str(record)], stdin=pipe, stdout=pipe, text=True
    )
    assert other.stdout is not None
    assert other.stdout.readline() == "held\n"
    return other


def sign(record: Path, pid: int, machine: str) -> None:
    """A lock as another process would leave it."""
    lock_file(record).write_text(json.dumps({"pid": pid, "machine": machine}))


def a_dead_process() -> int:
    """The number of a process that has ended."""
    with subprocess.Popen([sys.executable, "-c", ""]) as short:
        pass
    return short.pid


def make_old(path: Path) -> None:
    """As if the file had been written a minute ago."""
    minute_ago = time.time() - 60
    os.utime(path, (minute_ago, minute_ago))


def test_a_second_process_is_refused_until_the_first_lets_go(record_file: Path) -> None:
    with start_holding(record_file) as other:
        with pytest.raises(Locked, match=rf"open in another walkthrough \(process {other.pid}\)"):
            lock(record_file)
        assert other.stdin is not None
        other.stdin.close()
        other.wait()
    with lock(record_file):
        assert lock_file(record_file).exists()
    assert not lock_file(record_file).exists()


def test_the_lock_of_a_killed_process_is_taken_over(record_file: Path) -> None:
    with start_holding(record_file) as other:
        other.kill()
        other.wait()
    assert lock_file(record_file).exists()
    with lock(record_file):
        assert json.loads(lock_file(record_file).read_text())["pid"] == os.getpid()
    assert [each.name for each in record_file.parent.iterdir()] == [record_file.name]


def test_one_process_cannot_take_it_twice(record_file: Path) -> None:
    with lock(record_file), pytest.raises(Locked, match="open in this process already"):
        lock(record_file)
    with lock(record_file):
        pass


def test_letting_go_twice_takes_nothing_from_the_next_one(record_file: Path) -> None:
    first = lock(record_file)
    first.release()
    with lock(record_file):
        first.release()
        assert lock_file(record_file).exists()


def test_another_machine_is_believed(record_file: Path) -> None:
    sign(record_file, a_dead_process(), "elsewhere")
    with pytest.raises(Locked, match=r"machine 'elsewhere'.*remove .*\.lock"):
        lock(record_file)
    assert lock_file(record_file).exists()


def test_our_own_number_from_before_a_restart_is_no_holder(record_file: Path) -> None:
    sign(record_file, os.getpid(), platform.node())
    with lock(record_file):
        pass


@pytest.mark.parametrize(
    "content",
    [
        "",
        "{",
        "[]",
        '{"pid": 1}',
        '{"pid": 1e999, "machine": "x"}',
        '{"pid": true, "machine": "x"}',
        '{"pid": 1, "machine": ["x"]}',
        "[" * 100_000,
    ],
)
def test_a_lock_without_a_name_counts_only_while_it_is_young(
    record_file: Path, content: str
) -> None:
    lock_file(record_file).write_text(content)
    with pytest.raises(Locked, match="try again in a moment"):
        lock(record_file)
    make_old(lock_file(record_file))
    with lock(record_file):
        pass


def test_only_one_process_takes_over_at_a_time(record_file: Path) -> None:
    sign(record_file, a_dead_process(), platform.node())
    guard = lock_file(record_file).with_name(lock_file(record_file).name + ".takeover")
    guard.write_text("")
    with pytest.raises(Locked, match="try again in a moment"):
        lock(record_file)
    make_old(guard)
    with lock(record_file):
        assert not guard.exists()


def test_temporary_files_of_a_killed_process_are_swept(record_file: Path) -> None:
    stale = record_file.with_name(f".{record_file.name}.4711.new.tmp")
    stale.write_text("half a rec")
    with lock(record_file):
        assert not stale.exists()


def test_a_record_can_be_locked_before_it_exists(tmp_path: Path) -> None:
    with lock(tmp_path / "sessions" / "new.toml"):
        assert lock_file(tmp_path / "sessions" / "new.toml").exists()


def test_processes_are_told_apart() -> None:
    assert is_running(os.getpid())
    assert not is_running(a_dead_process())
    assert not is_running(0)
    assert not is_running(2**70)
