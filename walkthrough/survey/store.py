"""Loads and saves records; nothing else opens a record for writing.

A save is durable when it returns, and one that fails leaves the record as it was.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import tomli
from pydantic import ValidationError

from walkthrough.rulebook.locate import decode_error_point, locate
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.survey.answers import Asked, check_answers
from walkthrough.survey.canonical import as_toml
from walkthrough.survey.model import FORMAT, Session, Subject
from walkthrough.survey.naming import shorten
from walkthrough.survey.references import Slip, check_references
from walkthrough.survey.slips import slips

MAX_BYTES = 20_000_000
_TRIES = 10
_SECONDS_BETWEEN_TRIES = 0.02
_FOLDER_CANNOT_SYNC = {errno.EINVAL, errno.ENOTSUP, errno.EBADF, errno.EACCES, errno.EPERM}


class RecordError(Unusable):
    """The file is no record that can be used; it was left as it is."""


class SaveError(Unusable):
    """The record was not saved; the file holds what it held before."""

    def __init__(self, path: Path, reason: str) -> None:
        message = f"not saved: {reason}; the file is as it was before"
        super().__init__([Problem(str(path), 0, 0, message)])


class _Seen(NamedTuple):
    """A file as this process last read or wrote it."""

    mark: tuple[int, ...]
    folder_device: int | None
    written: bytes | None
    """What was written here; of what was only read a digest is kept, because that may be much."""
    digest: bytes = b""

    def held(self, data: bytes) -> bool:
        """Whether that is what stood in it."""
        return _digest(data) == self.digest if self.written is None else data == self.written


# A person may mend a record in an editor while it is open here; this tells it before a save.
_seen: dict[Path, _Seen] = {}


def load(path: Path | str, questions: Mapping[str, Asked] | None = None) -> Session:
    """Read a record; with `questions` the answers are checked too.

    Raises RecordError with every problem found; the file is never touched.
    """
    path = Path(path)
    data, seen = _read(path)
    session = _session(path, data, questions)
    _seen[path.resolve()] = seen
    return session


def checked(session: Session, path: Path | str, questions: Mapping[str, Asked]) -> Session:
    """A record that was loaded without questions, once its answers are known to fit.

    Raises RecordError; the file is read once more only to tell where the slips are.
    """
    return load(path, questions) if check_answers(session, questions) else session


def parse(text: str, path: Path | str) -> Session:
    """A record out of its text, as if it stood in that file; raises RecordError."""
    return _session(Path(path), text.encode(), None)


def previous(path: Path | str) -> Path:
    """Where the last good state before the present one is kept."""
    return _beside(Path(path).resolve(), ".previous")


def save(
    session: Session,
    path: Path | str,
    text: str | None = None,
    answered: Subject | None = None,
) -> None:
    """Write a record durably, in its one canonical form; raises SaveError if that fails.

    `text` is that form, where it was made already: in a large record it takes most of the time.
    `answered` is given where nothing but answers of that subject changed since the last save.
    The state it replaces is kept beside it with `.previous` at the end of its name.
    """
    path = Path(path)
    # A link to a record stays a link: what it points to is written.
    target = path.resolve()
    content = _content(session, path, text, answered)
    try:
        _refuse_to_overwrite_strange_file(path, target)
        if _same(target, content):
            return
        target.parent.mkdir(parents=True, exist_ok=True)
        _replace_durably(target, content)
        _seen[target] = _Seen(_mark(target.stat()), _device(target.parent), content)
    except OSError as error:
        raise SaveError(path, error.strerror or str(error)) from error


def sweep(path: Path | str) -> None:
    """Remove temporary files that a killed process left beside a record."""
    target = Path(path).resolve()
    if target.parent.is_dir():
        for stale in target.parent.iterdir():
            if stale.name.startswith(f".{target.name}.") and stale.name.endswith(".tmp"):
                with contextlib.suppress(OSError):
                    stale.unlink()


def _read(path: Path) -> tuple[bytes, _Seen]:
    try:
        # Looked at before it is opened: to open a pipe would wait for a writer.
        if path.exists() and not path.is_file():
            raise OSError("it is not a regular file")
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
            if len(data) > MAX_BYTES:
                raise OSError(f"it is larger than {MAX_BYTES} bytes")
            status, folder = os.fstat(file.fileno()), _device(path.resolve().parent)
            return data, _Seen(_mark(status), folder, None, _digest(data))
    except OSError as error:
        reason = error.strerror or str(error)
        raise RecordError([Problem(str(path), 0, 0, f"cannot be read: {reason}")]) from error


def _session(path: Path, data: bytes, questions: Mapping[str, Asked] | None) -> Session:
    text = _text(path, data)
    raw = _raw(path, text)
    _check_format(path, text, raw)
    try:
        session = Session.model_validate(raw, by_alias=True, by_name=False)
    except ValidationError as error:
        raise _record_error(path, text, list(slips(error))) from None
    found = check_references(session)
    if questions is not None:
        found += check_answers(session, questions)
    if found:
        raise _record_error(path, text, found)
    shorten(session)
    return session


def _text(path: Path, data: bytes) -> str:
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        column = error.start - data.rfind(b"\n", 0, error.start)
        message = "found bytes that are no text; expected UTF-8"
        raise RecordError([Problem(str(path), line, column, message)]) from None


def _raw(path: Path, text: str) -> dict[str, Any]:
    try:
        return tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        line, column = decode_error_point(error)
        if not line:
            line, column = text.count("\n") + 1, 1
        what = str(error).partition(" (at ")[0]
        problem = Problem(str(path), line, column, f"not TOML: {what}; expected a TOML file")
    except (ValueError, RecursionError):
        problem = Problem(str(path), 1, 1, "not TOML that can be read; expected a TOML file")
    raise RecordError([problem])


def _check_format(path: Path, text: str, raw: dict[str, Any]) -> None:
    found = raw.get("format")
    if type(found) is int and found > FORMAT:
        message = (
            f"found record format {found}; expected at most {FORMAT}: "
            "a newer version of walkthrough wrote this file; use that version"
        )
    elif found is None:
        message = f"found no 'format'; expected 'format = {FORMAT}': is this a record?"
    elif type(found) is not int or found < 1:
        message = f"found a format that is none; expected 'format = {FORMAT}'"
    else:
        return
    raise _record_error(path, text, [(("format",), message)])


def _record_error(path: Path, text: str, found: list[Slip]) -> RecordError:
    return RecordError(Problem(str(path), *locate(text, where), what) for where, what in found)


def _content(session: Session, path: Path, text: str | None, answered: Subject | None) -> bytes:
    found = check_references(session, answered)
    if found:
        told = "; ".join(f"{'.'.join(map(str, where))}: {what}" for where, what in found)
        raise SaveError(path, told)
    try:
        return (as_toml(session) if text is None else text).encode()
    except (TypeError, ValueError) as error:
        raise SaveError(path, str(error)) from error


def _digest(data: bytes) -> bytes:
    return hashlib.blake2b(data).digest()


def _mark(status: os.stat_result) -> tuple[int, ...]:
    """What changes when a file is written, also where its time is set back afterwards."""
    return status.st_mtime_ns, status.st_ctime_ns, status.st_size, status.st_ino


def _device(folder: Path) -> int | None:
    try:
        return folder.stat().st_dev
    except OSError:
        return None


def _refuse_to_overwrite_strange_file(path: Path, target: Path) -> None:
    """Stop where the file is not what this process last saw there, unless that is sound."""
    seen = _seen.get(target)
    if not target.exists():
        if seen is not None and _device(target.parent) != seen.folder_device:
            # Not made anew: it would hide under the drive once that is there again.
            raise SaveError(path, "its folder is gone; was a drive unplugged or a folder renamed?")
        return
    if seen is not None and _mark(target.stat()) == seen.mark:
        return
    try:
        data, _ = _read(target)
        if seen is None:
            sweep(target)
            _session(path, data, None)
    except RecordError as error:
        raise SaveError(path, f"the file there is no record to write over: {error}") from error
    if seen is not None and not seen.held(data):
        raise SaveError(path, "another program changed the file since; open the record again")


def _same(target: Path, content: bytes) -> bool:
    seen = _seen.get(target)
    return seen is not None and seen.held(content) and target.exists()


def _replace_durably(target: Path, content: bytes) -> None:
    fresh = _temporary(target, "new")
    spare = _temporary(target, "old")
    kept = _beside(target, ".previous")
    had_one = target.exists()
    try:
        _write(fresh, content)
        if had_one:
            fresh.chmod(target.stat().st_mode & 0o777)
            _double(target, spare)
            _move(spare, kept)
        _move(fresh, target)
        try:
            _sync_folder(target.parent)
        except OSError:
            # What is not known to be durable must not look saved.
            if had_one:
                _double(kept, spare)
                _move(spare, target)
            else:
                target.unlink()
            raise
    finally:
        for rest in (fresh, spare):
            with contextlib.suppress(OSError):
                rest.unlink(missing_ok=True)


def _temporary(target: Path, use: str) -> Path:
    return target.with_name(f".{target.name}.{os.getpid()}.{use}.tmp")


def _beside(target: Path, ending: str) -> Path:
    return target.with_name(target.name + ending)


def _write(path: Path, content: bytes) -> None:
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _double(path: Path, second: Path) -> None:
    """Give a file a second name; where the file system cannot, make a copy."""
    second.unlink(missing_ok=True)
    try:
        second.hardlink_to(path)
    except (OSError, NotImplementedError):
        _write(second, path.read_bytes())


def _move(source: Path, target: Path) -> None:
    for left in reversed(range(_TRIES)):
        try:
            source.replace(target)
            return
        except PermissionError:
            # On Windows a virus scanner or an editor may hold the file for a moment.
            if os.name != "nt" or not left:
                raise
            time.sleep(_SECONDS_BETWEEN_TRIES)


def _sync_folder(folder: Path) -> None:
    """Make the new name durable; Windows and some file systems know no such thing."""
    if os.name == "nt":
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    except OSError as error:
        if error.errno not in _FOLDER_CANNOT_SYNC:
            raise
    finally:
        os.close(number)
