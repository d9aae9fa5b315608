"""Every change of a record, to be taken back and made again without limit, also after a restart.

A step is kept as the lines that it replaced in the text of the record and those it put there. The
steps stand in a file beside the record, one line each, and behind them how many held when one was
taken back or made again. The record itself does not depend on it: if the file is lost or does not
fit, only taking back is lost.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import re
from dataclasses import dataclass
from pathlib import Path

from walkthrough.survey.canonical import as_toml
from walkthrough.survey.model import Session, Subject

_NOT_ENTERED = ("\n[[finding]]\n", "\n[photo_sums]\n")
"""What is judged or measured, and not entered, stands at the end of a record under these."""
_FINGERPRINT = re.compile(r'\nfingerprint = "[^"\n]*"')
_ENTERED = [name for name, each in Session.model_fields.items() if each.default == []]
_ENTERED.remove("findings")
SubjectKey = tuple[str, str]


@dataclass(frozen=True)
class Step:
    """One change: where it was made, which prompt it answered, and the lines that it turned."""

    where: SubjectKey
    prompt: str
    line: int
    old: tuple[str, ...]
    new: tuple[str, ...]
    after: str
    """A digest of the text that the step led to."""


class History:
    """The steps of a record and how many of them hold now; the rest can be made again.

    `problem` says why the last step was not written.
    """

    def __init__(self, session: Session, path: Path | None = None) -> None:
        """Read the steps that belong to the record as it is; others are left behind."""
        self.text = as_entered(session)
        self.steps: list[Step] = []
        self.place = 0
        self.problem = ""
        self._path = path
        self._ends: list[int] = [0]
        if path is not None:
            self._read()

    def note(
        self, session: Session, where: SubjectKey, prompt: str, changed: Subject | None = None
    ) -> None:
        """Add what was just changed; what had been taken back can no longer be made again.

        `changed` is as for `as_toml`.
        """
        text = as_entered(session, changed)
        step = _step(self.text, text, where, prompt)
        del self.steps[self.place :]
        self.steps.append(step)
        self.place += 1
        self.text = text
        self._write()

    def judged_anew(self, session: Session) -> None:
        """The record was judged by rules that have changed since; its steps hold all the same."""
        text = as_entered(session)
        if text.count("\n") != self.text.count("\n"):
            # It had never been judged: every step stands on other lines now.
            self.steps, self.place = [], 0
        self.text = text

    def holding(self) -> list[Step]:
        """The steps that hold now, in their order."""
        return self.steps[: self.place]

    def back(self) -> tuple[Step, str] | None:
        """The last step that holds, and the text of the record without it."""
        if not self.place:
            return None
        self.place -= 1
        step = self.steps[self.place]
        self.text = _turned(self.text, step.line, step.new, step.old)
        self._write_place()
        return step, self.text

    def again(self) -> tuple[Step, str] | None:
        """The step that was taken back last, and the text of the record with it."""
        if self.place == len(self.steps):
            return None
        step = self.steps[self.place]
        self.place += 1
        self.text = _turned(self.text, step.line, step.old, step.new)
        self._write_place()
        return step, self.text

    def _read(self) -> None:
        assert self._path is not None
        end = 0
        ends = [0]
        steps: list[Step] = []
        place = None
        # A line that was not written whole, or is none of ours, ends what can be used.
        with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
            for line in self._path.read_bytes().splitlines(keepends=True):
                told = _from_line(line)
                if isinstance(told, int):
                    place = told
                    break
                end += len(line)
                steps.append(told)
                ends.append(end)
        text = _digest(self.text)
        fits = [n for n, step in enumerate(steps, 1) if step.after == text]
        if steps and _leads_to(steps[0], self.text):
            # Everything may have been taken back.
            fits.insert(0, 0)
        if fits:
            # A step may leave the text as it was: then only the count tells whether it holds.
            self.place = place if place in fits else fits[-1]
            self.steps, self._ends = steps, ends

    def _write(self) -> None:
        """Bring the file up to the steps that hold; what could not be written before comes too."""
        if self._path is None:
            return
        size = _size(self._path)
        kept = min(self.place - 1, len(self._ends) - 1)
        if self._ends[kept] > size:
            # Another file, or none: its drive was taken away, or is back.
            kept = 0
        # Whatever comes of it, the file is cut there: no later end counts any more.
        del self._ends[kept + 1 :]
        lines = [_as_line(step) for step in self.steps[kept : self.place]]
        try:
            _write_behind(self._path, size, self._ends[kept], b"".join(lines))
        except OSError as error:
            self.problem = error.strerror or str(error)
            return
        self.problem = ""
        for line in lines:
            self._ends.append(self._ends[-1] + len(line))

    def _write_place(self) -> None:
        """Say behind the steps how many of them hold; without it the text of the record tells."""
        if self._path is None:
            return
        size, end = _size(self._path), self._ends[-1]
        if end <= size and len(self._ends) > len(self.steps):
            line = (json.dumps({"place": self.place}) + "\n").encode()
            with contextlib.suppress(OSError):
                _write_behind(self._path, size, end, line)


def beside(path: Path) -> Path:
    """Where the history of a record stands."""
    target = path.resolve()
    return target.with_name(target.name + ".history")


def with_findings(text: str, session: Session) -> str:
    """The text of a record with what a session has that is judged or measured, not entered."""
    return text + not_entered(session)


def not_entered(session: Session) -> str:
    """The end of the text of a record: what is judged or measured, and not entered."""
    # Only the end is wanted; writing out all that was entered would take most of the time.
    short = as_toml(session.model_copy(update={name: [] for name in _ENTERED}))
    return short[_end_of_entered(short) :]


def as_entered(session: Session, changed: Subject | None = None) -> str:
    """The text of a record without its findings and the like."""
    return as_toml(session.model_copy(update={"findings": [], "photo_sums": {}}), changed)


def _end_of_entered(whole: str) -> int:
    return min((at for part in _NOT_ENTERED if (at := whole.find(part)) >= 0), default=len(whole))


def _step(before: str, after: str, where: SubjectKey, prompt: str) -> Step:
    start = before.rfind("\n", 0, _same_at_start(before, after)) + 1
    same_at_end = _same_at_end(before, after, min(len(before), len(after)) - start)
    # Only whole lines at the end are left out.
    to_line = before.find("\n", len(before) - same_at_end)
    rest = len(before) - to_line if to_line >= 0 else 0
    return Step(
        where,
        prompt,
        before.count("\n", 0, start),
        tuple(before[start : len(before) - rest].split("\n")),
        tuple(after[start : len(after) - rest].split("\n")),
        _digest(after),
    )


def _same_at_start(one: str, other: str) -> int:
    """How many characters two texts begin with alike, by halving: texts are long, changes short."""
    low, high = 0, min(len(one), len(other))
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _same_at_end(one: str, other: str, at_most: int) -> int:
    """How many characters two texts end with alike."""
    low, high = 0, at_most
    while low < high:
        middle = (low + high + 1) // 2
        ends = (slice(len(each) - middle, len(each) - low) for each in (one, other))
        if one[next(ends)] == other[next(ends)]:
            low = middle
        else:
            high = middle - 1
    return low


def _turned(text: str, line: int, gone: tuple[str, ...], there: tuple[str, ...]) -> str:
    lines = text.split("\n")
    lines[line : line + len(gone)] = there
    return "\n".join(lines)


def _leads_to(first: Step, text: str) -> bool:
    """Whether the first step follows on a text."""
    lines = text.split("\n")
    if tuple(lines[first.line : first.line + len(first.old)]) != first.old:
        return False
    return _digest(_turned(text, first.line, first.old, first.new)) == first.after


def _digest(text: str) -> str:
    # By which state of the rules it was judged last is none of what was entered.
    # They stand near the beginning, and the rest is long.
    last = text.rfind('\nfingerprint = "')
    end = text.find("\n", last + 1) if last >= 0 else 0
    entered = _FINGERPRINT.sub("", text[:end]) + text[end:]
    return hashlib.blake2b(entered.encode(), digest_size=12).hexdigest()


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0


def _write_behind(path: Path, size: int, end: int, what: bytes) -> None:
    """Write behind the end of a part of a file of that size; what stood there is gone."""
    with path.open("r+b" if size else "wb") as file:
        if size > end:
            file.truncate(end)
        file.seek(end)
        file.write(what)


def _as_line(step: Step) -> bytes:
    told = {
        "where": step.where,
        "prompt": step.prompt,
        "line": step.line,
        "old": step.old,
        "new": step.new,
        "after": step.after,
    }
    return (json.dumps(told, ensure_ascii=False) + "\n").encode()


def _from_line(line: bytes) -> Step | int:
    """A step, or how many of those before it hold."""
    if not line.endswith(b"\n"):
        raise ValueError("a line that was not written whole")
    found = json.loads(line)
    if "place" in found:
        return int(found["place"])
    of, name = found["where"]
    return Step(
        (str(of), str(name)),
        str(found["prompt"]),
        int(found["line"]),
        tuple(map(str, found["old"])),
        tuple(map(str, found["new"])),
        str(found["after"]),
    )
