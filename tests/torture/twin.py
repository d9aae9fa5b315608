"""The walk that the program should make: says what to type, and what must then be on disk."""

from __future__ import annotations

import datetime
import random
from dataclasses import dataclass
from pathlib import Path

from tests.app.any_answer import BACK, TAB, keys_for, replied
from walkthrough.app import menu
from walkthrough.app.fields import Refused
from walkthrough.app.new_prompts import NEW
from walkthrough.app.record import Record
from walkthrough.app.walk import Walk
from walkthrough.survey.history import SubjectKey
from walkthrough.survey.model import Subject

FINDINGS = "\n[[finding]]\n"
UNDO, REDO, SKIP = "\x1a", "\x19", "\x1b[19~"
SEEN = 40
"""So much of a question stands on its first line at 80 columns."""


@dataclass(frozen=True)
class State:
    """What the record holds after a save, without findings, and where one stands then.

    `at` is None where the way there does not show in the record: after undo and the like.
    """

    text: str
    steps: int
    at: tuple[SubjectKey, str] | None


def told(path: Path) -> str:
    """A record on disk without its findings: they are judged, not entered."""
    text = path.read_text(encoding="utf-8")
    at = text.find(FINDINGS)
    return text if at < 0 else text[:at]


class Twin:
    """A record of its own that takes the same keys by the same rules, without any screen."""

    def __init__(self, record: Record) -> None:
        self.record = record
        self.walk = Walk(record)
        self.states: list[State] = []
        self._note(None)
        real = record.save

        def save(text: str | None = None, answered: Subject | None = None) -> bool:
            done = real(text, answered)
            self._note(None)
            return done

        record.save = save  # type: ignore[method-assign]

    @property
    def ask(self) -> str:
        """How the present question begins."""
        return self.walk.prompt.ask[:SEEN]

    def _note(self, at: tuple[SubjectKey, str] | None) -> None:
        self.states.append(State(told(self.record.path), self.record.history.place, at))

    def step(self, chance: random.Random) -> str:
        """Do the next thing, and say the keys for it."""
        before = len(self.states)
        for _ in range(200):
            keys = self._turned(chance) if chance.random() < 0.06 else self._answered(chance)
            if keys:
                break
        else:
            raise AssertionError(f"no way to answer {self.walk.prompt}")
        if len(self.states) > before and keys not in (UNDO, REDO, TAB, BACK, SKIP):
            self.states.pop()
            self._note((self.record.key(self.walk.focus), self.walk.prompt.id))
        return keys

    def _turned(self, chance: random.Random) -> str:
        way = chance.choice((UNDO, UNDO, REDO, BACK, SKIP))
        if way == BACK:
            return BACK if self.walk.step_back() else ""
        if way == SKIP:
            self.walk.skip_rest()
            return SKIP
        return way if (self.walk.undo() if way == UNDO else self.walk.redo()) else ""

    def _answered(self, chance: random.Random) -> str:
        prompt = self.walk.prompt
        keys = TAB if chance.random() < 0.05 else keys_for(prompt, chance)
        reply = replied(prompt, keys)
        if reply is None:
            return ""
        try:
            self.walk.reply(reply)
        except Refused:
            return ""
        # A key that leads nowhere (nothing is as before): what is typed after it is dropped.
        return keys if self.walk.prompt is not prompt else ""


def is_right(twin: Twin, at: tuple[SubjectKey, str]) -> bool:
    """Whether a resumed walk stands where the one stood that was cut off.

    The choice of the way is no part of a record: any such choice will do.
    """
    (key, prompt), now = at, twin.walk.prompt.id
    ways = (menu.MENU, NEW)
    if prompt.startswith(ways) and now.startswith(ways):
        return True
    return (twin.record.key(twin.walk.focus), now) == (key, prompt)


def begun(path: Path, title: str, ruleset: str, day: datetime.date) -> Twin:
    """A twin of a new record."""
    return _unlocked(Record.begin(path, title, ruleset, day, day))


def reopened(copy: Path, day: datetime.date) -> Twin:
    """A twin that goes on from a copy of a record."""
    return _unlocked(Record.open(copy, today=day))


def _unlocked(record: Record) -> Twin:
    # Nobody else comes near a twin, and the file of its lock would only be in the way.
    record._held.release()
    return Twin(record)
