"""The pictures of a record: where they are, the name that comes next, and whether they changed.

A picture stays outside the record, which holds its file name and, once the file was there, the
SHA-256 of its bytes. Pictures are looked for in one folder: the one beside the record that is
named like it without its ending, or, where there is none, the folder of the record itself.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Literal

from walkthrough.survey.model import Session

State = Literal["as recorded", "changed", "missing", "no checksum yet", "refused"]
_COUNTED = re.compile(r"(.*?)([0-9]{1,9})([^0-9]*)")


class Refused(ValueError):
    """A name that cannot be that of a picture beside the record; says why."""


@dataclass(frozen=True)
class Photo:
    """One picture as its subject names it, and what is known of its file.

    `subject` is the reference of the subject, `sha256` the checksum that the record holds, "" for
    none; `told` says what is wrong, "" where nothing is.
    """

    subject: str
    of: str
    name: str
    sha256: str
    state: State
    told: str = ""


def folder_of(record: Path) -> Path:
    """Where the pictures of a record are."""
    # A link to a record stays a link: its pictures are where the record itself is.
    record = record.resolve()
    own = record.with_suffix("")
    return own if own != record and own.is_dir() else record.parent


def check_name(name: str) -> None:
    """Raises Refused for what is no plain file name: a picture cannot be named elsewhere."""
    is_plain = all(kind(name).name == name for kind in (PurePosixPath, PureWindowsPath))
    if not is_plain or name in ("", ".", "..") or not name.isprintable():
        shown = "".join(each if each.isprintable() else "?" for each in name)
        raise Refused(f"found '{shown}'; expected a plain file name such as IMG_0412.jpg")


def file_of(name: str, folder: Path) -> Path | None:
    """The file of a picture; None where it is not at hand.

    Raises Refused where the name, or a link, leads out of the folder.
    """
    check_name(name)
    try:
        path = (folder / name).resolve()
        inside = path.is_relative_to(folder.resolve())
        if inside:
            return path if path.is_file() else None
    except (OSError, RuntimeError):
        return None
    raise Refused(f"'{name}' leads out of the photo folder; put the picture itself there")


def checksum(path: Path) -> str:
    """The SHA-256 of a file, in hexadecimal; "" where it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def checksums(names: Iterable[str], folder: Path) -> dict[str, str]:
    """The checksum of each picture that is at hand; others are left out."""
    found: dict[str, str] = {}
    for name in names:
        try:
            path = file_of(name, folder)
        except Refused:
            continue
        if path is not None and (sha256 := checksum(path)):
            found[name] = sha256
    return found


def look(session: Session, record: Path) -> list[Photo]:
    """Every picture of a record, in the order of the walk, compared with its file.

    Each file is read once, which takes a moment where they are many.
    """
    folder = folder_of(record)
    seen: dict[str, tuple[State, str]] = {}
    found: list[Photo] = []
    for of, subject, name in named(session):
        sha256 = session.photo_sums.get(name, "")
        if name not in seen:
            seen[name] = _compared(name, sha256, folder)
        found.append(Photo(subject, of, name, sha256, *seen[name]))
    return found


def _compared(name: str, sha256: str, folder: Path) -> tuple[State, str]:
    try:
        path = file_of(name, folder)
    except Refused as refused:
        return "refused", str(refused)
    if path is None:
        return "missing", f"{name} is not in the folder {folder.name}"
    if not sha256:
        return "no checksum yet", ""
    now = checksum(path)
    if not now:
        return "missing", f"{name} cannot be read"
    if now != sha256:
        return "changed", f"{name} is another picture than the one that was recorded"
    return "as recorded", ""


def named(session: Session) -> Iterator[tuple[str, str, str]]:
    """The kind and reference of each subject with each of its pictures."""
    for each in session.subjects():
        for name in each.photos:
            yield each.of, session.reference(each), name


def next_name(taken: Iterable[str], last: str = "") -> str:
    """The name after the last one: IMG_0413.jpg after IMG_0412.jpg; "" where none has a number.

    Without a last one it goes on from the highest number of the kind that stands last. A camera
    begins again after the highest number that its digits can hold.
    """
    names = list(taken)
    counted = [each for name in names if (each := _counted(name))]
    start = _counted(last) if last in names else None
    if start is None and counted:
        kind = (counted[-1].stem, counted[-1].rest)
        alike = [each for each in counted if (each.stem, each.rest) == kind]
        start = max(alike, key=lambda each: each.number)
    if start is None:
        return ""
    number = start.number
    for _ in range(len(names) + 1):
        number = (number + 1) % 10**start.digits or 1
        name = start.with_number(number)
        if name not in names:
            return name
    return ""


def with_number(typed: str, taken: Iterable[str], last: str = "") -> str:
    """What was typed; a bare number becomes a name like the others with that number."""
    pattern = _counted(next_name(taken, last))
    is_number = re.fullmatch("[0-9]{1,9}", typed) is not None
    return pattern.with_number(int(typed)) if pattern is not None and is_number else typed


@dataclass(frozen=True)
class _Counted:
    """A file name taken apart at the last number before its ending."""

    stem: str
    number: int
    digits: int
    rest: str

    def with_number(self, number: int) -> str:
        return f"{self.stem}{number:0{self.digits}}{self.rest}"


def _counted(name: str) -> _Counted | None:
    ending = PurePosixPath(name).suffix
    found = _COUNTED.fullmatch(name.removesuffix(ending))
    if found is None:
        return None
    return _Counted(found[1], int(found[2]), len(found[2]), found[3] + ending)
