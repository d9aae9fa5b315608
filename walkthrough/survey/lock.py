"""Lets only one process write a record at a time."""

from __future__ import annotations

import contextlib
import json
import os
import platform
import sys
import time
from pathlib import Path
from types import TracebackType
from typing import NamedTuple

from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.survey.store import sweep

_SECONDS_TO_SIGN = 10.0
"""A lock that names no holder for longer than this was left by a process that died."""

_held: set[Path] = set()


class Locked(Unusable):
    """Another process has the record open for writing."""

    def __init__(self, path: Path, message: str) -> None:
        super().__init__([Problem(str(path), 0, 0, message)])


class _Holder(NamedTuple):
    pid: int
    machine: str


class Lock:
    """The right to write one record; give it back with `release`, or use it in a `with`."""

    def __init__(self, path: Path) -> None:
        self._file = path
        self._is_ours = True

    def release(self) -> None:
        """Give the right back; a second time does nothing."""
        if self._is_ours:
            self._is_ours = False
            _held.discard(self._file)
            with contextlib.suppress(OSError):
                self._file.unlink(missing_ok=True)

    def __enter__(self) -> Lock:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.release()


def lock(path: Path | str) -> Lock:
    """Take the right to write a record; raises Locked if another process has it.

    What a killed process left behind is taken over: its lock and its temporary files.
    """
    path = Path(path)
    target = path.resolve()
    file = target.with_name(target.name + ".lock")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        if not _create(file):
            _take_over(path, file)
    except OSError as error:
        reason = error.strerror or str(error)
        raise Locked(path, f"cannot be opened to write in it: {reason}") from error
    _held.add(file)
    sweep(target)
    return Lock(file)


def _create(file: Path) -> bool:
    """Make the lock file and sign it; False where there is one already."""
    try:
        number = os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
    except FileExistsError:
        return False
    try:
        with os.fdopen(number, "w", encoding="utf-8") as out:
            json.dump({"pid": os.getpid(), "machine": platform.node()}, out)
    except OSError:
        # On a full disk: unsigned it would only stand in the way of whoever comes next.
        with contextlib.suppress(OSError):
            file.unlink()
        raise
    return True


def _take_over(path: Path, file: Path) -> None:
    """Replace the lock of a dead process.

    A second file guards this, else two processes could both find the old lock stale and the
    slower one would remove the new lock of the faster.
    """
    guard = file.with_name(file.name + ".takeover")
    _refuse_if_held(path, file)
    if guard.exists() and not _is_young(guard):
        guard.unlink(missing_ok=True)
    if not _create(guard):
        raise Locked(path, "is being opened by another process; try again in a moment")
    try:
        _refuse_if_held(path, file)
        file.unlink(missing_ok=True)
        if not _create(file):
            raise Locked(path, "is being opened by another process; try again in a moment")
    finally:
        guard.unlink(missing_ok=True)


def _refuse_if_held(path: Path, file: Path) -> None:
    if file in _held:
        raise Locked(path, "is open in this process already; expected one writer")
    holder = _holder(file)
    if holder is None:
        if _is_young(file):
            raise Locked(path, "is being opened by another process; try again in a moment")
        return
    if holder.machine != platform.node():
        raise Locked(
            path,
            f"is open on the machine '{holder.machine}' (process {holder.pid}); "
            f"if that is not so, remove {file}",
        )
    # A lock with our own number that we do not hold is from a process before a restart.
    if holder.pid != os.getpid() and is_running(holder.pid):
        raise Locked(
            path,
            f"is open in another walkthrough (process {holder.pid}); close that first, or if "
            f"process {holder.pid} is something else, remove {file}",
        )


def _holder(file: Path) -> _Holder | None:
    try:
        said = json.loads(file.read_text(encoding="utf-8"))
        pid, machine = said["pid"], said["machine"]
    except (OSError, ValueError, TypeError, KeyError, RecursionError):
        return None
    # A lock that this program wrote holds a whole number and a text; anything else names nobody.
    return _Holder(pid, machine) if type(pid) is int and isinstance(machine, str) else None


def _is_young(file: Path) -> bool:
    try:
        return abs(time.time() - file.stat().st_mtime) < _SECONDS_TO_SIGN
    except OSError:
        return False


def is_running(pid: int) -> bool:
    """Whether a process of that number lives on this machine."""
    if pid <= 0:
        return False
    if sys.platform == "win32":
        return _is_running_on_windows(pid)
    try:
        os.kill(pid, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def _is_running_on_windows(pid: int) -> bool:
    # There os.kill would end the process instead of asking for it.
    import ctypes

    query_limited_information, still_active, access_denied = 0x1000, 259, 5
    kernel = getattr(ctypes, "WinDLL")("kernel32", use_last_error=True)  # noqa: B009
    handle = kernel.OpenProcess(query_limited_information, False, pid)
    if not handle:
        return bool(getattr(ctypes, "get_last_error")() == access_denied)  # noqa: B009
    try:
        code = ctypes.c_ulong()
        kernel.GetExitCodeProcess(handle, ctypes.byref(code))
        return code.value == still_active
    finally:
        kernel.CloseHandle(handle)
