"""Which deficiency of a re-inspection is in hand, which comes next, and which came before it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from walkthrough.app.fields import Refused
from walkthrough.app.record import Record
from walkthrough.judge.recheck import latest
from walkthrough.survey.model import Recheck, Subject

TO_CHECK = "to check"


class Items:
    """The deficiencies to check, by their places in the record.

    `at` is the one in hand, None when all were looked at. `is_again` tells that it was settled
    before and is put once more; it stays in hand until it is settled anew.
    """

    def __init__(self, record: Record) -> None:
        self.record = record
        self.at: int | None = None
        self.is_again = False
        self._later: set[int] = set()
        self._before: list[int] = []

    @property
    def every(self) -> dict[int, Recheck]:
        """What is to be checked on the last day of checking, by its place in the record."""
        now = {id(each) for each in latest(self.record.session)}
        return {n: e for n, e in enumerate(self.record.session.rechecks) if id(e) in now}

    @property
    def item(self) -> Recheck | None:
        """The deficiency in hand; None when all were looked at."""
        return None if self.at is None else self.record.session.rechecks[self.at]

    @property
    def progress(self) -> str:
        """How far one is: "4 of 12 looked at"."""
        items = self.every
        done = sum(each.outcome != TO_CHECK for each in items.values())
        return f"{done} of {len(items)} looked at"

    @property
    def subject(self) -> Subject:
        """The subject of the one in hand, else the dwelling."""
        item = self.item
        found = self.record.subject((item.of, item.subject)) if item is not None else None
        return found or self.record.session.dwelling

    def waiting_at(self, subject: Subject) -> int | None:
        """The first that is still to be checked at a subject."""
        key = (*self.record.key(subject), TO_CHECK)
        waiting = (n for n, e in self.every.items() if (e.of, e.subject, e.outcome) == key)
        return next(waiting, None)

    def take(self, at: int | None) -> None:
        """Take one in hand; None leaves it to the order which."""
        self.at = at
        self.is_again = False

    def next(self) -> int | None:
        """The next one that is not settled; those put off come last."""
        open_now = [n for n, each in self.every.items() if each.outcome == TO_CHECK]
        waiting = [n for n in open_now if n not in self._later]
        if not waiting:
            self._later.clear()
            waiting = open_now
        return waiting[0] if waiting else None

    def is_settled(self) -> bool:
        """Whether the one in hand needs nothing more."""
        item = self.every.get(self.at) if self.at is not None else None
        return item is None or (item.outcome != TO_CHECK and not self.is_again)

    def put_off(self) -> None:
        """Leave the one in hand for later."""
        if self.at is not None:
            self._later.add(self.at)

    def left(self) -> None:
        """The one in hand was answered: going back leads to it."""
        if self.at is not None:
            self._before.append(self.at)

    def back(self) -> bool:
        """Take the one in hand that was put before; after a restart, the one settled before."""
        while self._before and self._before[-1] == self.at:
            self._before.pop()
        items = list(self.every)
        here = items.index(self.at) if self.at in items else len(items)
        settled = (n for n in reversed(items[:here]) if self.every[n].outcome != TO_CHECK)
        before = self._before.pop() if self._before else next(settled, None)
        if before is None:
            return False
        self.take(before)
        self._later.discard(before)
        self.is_again = True
        return True

    def settle(self, **told: Any) -> None:
        """Keep what became of the one in hand, and save."""
        if self.at is None:
            raise Refused("choose a deficiency first")
        self.is_again = False
        rechecks = self.record.session.rechecks
        rechecks[self.at] = rechecks[self.at].model_copy(update=told)
        self.record.change(self.subject, "")

    def settle_all(self, told: Mapping[int, Mapping[str, Any]], subject: Subject) -> None:
        """Keep what became of several at one subject, as one step."""
        rechecks = self.record.session.rechecks
        for at, each in told.items():
            rechecks[at] = rechecks[at].model_copy(update=dict(each))
        self.record.change(subject, "")

    def told_before(self, name: str) -> str | datetime.date | None:
        """What was told here before, else elsewhere: a paper often tells of several corrections."""
        others = [each for each in reversed(self.every.values()) if each is not self.item]
        for each in (self.item, *others):
            told: str | datetime.date | None = getattr(each, name, None)
            if told:
                return told
        return None
