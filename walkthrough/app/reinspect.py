"""A re-inspection: the deficiencies of an earlier visit, one after the other, and nothing else."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

from walkthrough.app.describe import name_of
from walkthrough.app.fields import FIELD, OTHER_REASON, Refused
from walkthrough.app.menu import MENU
from walkthrough.app.prompt import Prompt
from walkthrough.app.record import Record
from walkthrough.app.reinspect_prompts import (
    AGAIN,
    DIFFERS,
    DONE,
    EVIDENCE,
    differs_prompt,
    done_prompt,
    evidence_prompt,
    item_prompt,
    reason_prompt,
    which_prompt,
)
from walkthrough.app.walk import Walk, asks_under
from walkthrough.judge.house import House
from walkthrough.judge.judge import Verdict, verdicts_on
from walkthrough.judge.recheck import forget_tests, latest
from walkthrough.survey.model import AnswerValue, Recheck, Subject

TO_CHECK = "to check"


class Reinspection(Walk):
    """Where one stands among the deficiencies of an earlier visit.

    `is_free` once the person went over to the ordinary walk.
    """

    def __init__(self, record: Record) -> None:
        self.is_free = False
        self._at: int | None = None
        self._later: set[int] = set()
        self._correcting = False
        self._evidence: list[str] = []
        self._wants_papers = False
        self._reason_in_words = False
        super().__init__(record)

    @property
    def items(self) -> dict[int, Recheck]:
        """What is to be checked on the last day of checking, by its place in the record."""
        now = {id(each) for each in latest(self.record.session)}
        return {n: e for n, e in enumerate(self.record.session.rechecks) if id(e) in now}

    @property
    def item(self) -> Recheck | None:
        """The deficiency in hand; None when all were looked at."""
        return None if self._at is None else self.record.session.rechecks[self._at]

    @property
    def place(self) -> str:
        """How far one is: "4 of 12 looked at"."""
        items = self.items
        done = sum(each.outcome != TO_CHECK for each in items.values())
        return f"{done} of {len(items)} looked at"

    def stopped_at(self) -> Subject:
        """The subject of the next deficiency."""
        if self.is_free:
            return super().stopped_at()
        self._choose_item()
        return self._subject()

    def go_to(self, subject: Subject, prompt: str = "") -> None:
        """Go to a subject; without a prompt of it, to what is still to be checked there."""
        if not self.is_free and not prompt:
            key = (*self.record.key(subject), TO_CHECK)
            waiting = [n for n, e in self.items.items() if (e.of, e.subject, e.outcome) == key]
            if not waiting:
                raise Refused(f"nothing is left to be checked at {name_of(self.record, subject)}")
            self._begin_item(waiting[0])
        self.jump(subject, prompt)

    def undo(self) -> bool:
        """Take the last change back; the deficiency that it was about is in hand again."""
        return self._stand_anew(super().undo())

    def redo(self) -> bool:
        """Make again what was taken back last."""
        return self._stand_anew(super().redo())

    def _stand_anew(self, turned: bool) -> bool:
        if turned and not self.is_free:
            self._begin_item(None)
            self._asked_for = ""
            self.prompt = self._next()
        return turned

    def _subject(self) -> Subject:
        item = self.item
        found = self.record.subject((item.of, item.subject)) if item is not None else None
        return found or self.record.session.dwelling

    def _choose_item(self) -> None:
        """Keep the deficiency in hand while it is not settled, else take the next."""
        items = self.items
        open_now = [n for n, each in items.items() if each.outcome == TO_CHECK]
        if self._at in items and (self._evidence or self._at in open_now):
            return
        waiting = [n for n in open_now if n not in self._later]
        if not waiting:
            self._later.clear()
            waiting = open_now
        self._begin_item(waiting[0] if waiting else None)

    def _begin_item(self, at: int | None) -> None:
        self._at = at
        self._correcting = self._reason_in_words = self._wants_papers = False
        self._evidence = []

    def cancel(self) -> bool:
        """Leave what was begun, and put the deficiency again."""
        if self._correcting and not self._asked_for:
            self._correcting = False
        self._asked_for = ""
        self._stepped_back = 0
        self.prompt = self._next()
        return True

    def _next(self) -> Prompt:
        if self._asked_for or self.is_free:
            return super()._next()
        self._choose_item()
        item = self.item
        if item is None:
            self.focus = self.record.session.dwelling
            return done_prompt(self.items.values())
        self.focus = self._subject()
        if self._evidence:
            name = self._evidence[0]
            return evidence_prompt(name, self._told_before(name))
        if self._reason_in_words:
            ask = "Which other reason?"
            return Prompt(AGAIN + "reason in words", ask, "text", can_skip=False)
        if self._correcting:
            return self._correction(item)
        return item_prompt(self.record, item, self.focus, self.place)

    def _prompt(self, id: str) -> Prompt:
        if id == AGAIN + "reason":
            return reason_prompt()
        if id == AGAIN + "one":
            return which_prompt(self.items)
        return super()._prompt(id)

    def _take(self, value: AnswerValue | None) -> None:
        id = self.prompt.id
        if self.is_free:
            super()._take(value)
        elif id.startswith(AGAIN):
            self._asked_for = ""
            self._taken(id.removeprefix(AGAIN), value)
            self.prompt = self._next()
        elif id in (DIFFERS, DONE):
            self._chosen(str(value))
            self.prompt = self._next()
        else:
            if self._correcting and not id.startswith((MENU, FIELD)):
                self._begin_anew(id, value)
            super()._take(value)

    def _taken(self, name: str, value: AnswerValue | None) -> None:
        match name, value:
            case "item", "later":
                if self._at is not None:
                    self._later.add(self._at)
                self._begin_item(None)
            case "item", "not corrected":
                self._settle(outcome="not corrected", looked=True)
            case "item", "not checked":
                self._asked_for = AGAIN + "reason"
            case "item", "papers":
                self._evidence = list(EVIDENCE)
                self._settle(outcome="corrected", looked=False)
            case "item", _:
                self._wants_papers = value == "look and papers"
                self._correcting = True
            case "reason", _ if value == OTHER_REASON:
                self._reason_in_words = True
            case "reason" | "reason in words", _:
                self._settle(outcome="not checked", looked=False, reason=str(value))
            case "one", _:
                at = int(str(value)) - 1
                self._begin_item(at)
                self._settle(outcome=TO_CHECK, looked=True, reason="", new=[])
            case _:
                self._evidence.pop(0)
                nothing = None if name == "work_on" else ""
                self._settle(**{name: value or nothing})

    def _chosen(self, way: str) -> None:
        if way == "free":
            self.is_free = True
            self.focus = super().stopped_at()
        elif way == "one":
            self._asked_for = AGAIN + "one"
        elif way == "nothing":
            self._settle(outcome="not corrected", looked=True)
        else:
            of, id, word = way.split("|", 2)
            subject = self.record.subject((of, id))
            if subject is None:
                raise Refused(f"{id} is no longer in the record")
            self.focus, self._asked_for = subject, word

    def _begin_anew(self, word: str, value: AnswerValue | None) -> None:
        """What was changed must be tested again: what the old one showed says nothing of it."""
        subject, record = self.focus, self.record
        if record.question(word).reading or subject.answer(word) == value:
            return
        forget_tests(record.session, subject)

    def _settle(self, **told: Any) -> None:
        """Keep what became of the deficiency in hand, and save."""
        if self._at is None:
            raise Refused("choose a deficiency first")
        rechecks = self.record.session.rechecks
        rechecks[self._at] = rechecks[self._at].model_copy(update=told)
        self.record.change(self._subject(), "")

    def _verdicts(self, item: Recheck) -> Iterator[tuple[House, Verdict]]:
        subject = self._subject()
        for house in self.record.houses:
            for verdict in verdicts_on(house, subject):
                if verdict.decision.rule.id == item.rule:
                    yield house, verdict

    def _correction(self, item: Recheck) -> Prompt:
        """The next thing to tell of a correction, until the rule itself says what became of it."""
        verdicts = list(self._verdicts(item))
        if any(each.decision.outcome == "deficient" for _, each in verdicts):
            return differs_prompt(self.record, item, self._subject(), verdicts)
        for house, verdict in verdicts:
            for name, word in verdict.asks:
                question = house.book.questions.get(word)
                for of in question.of if question is not None else ():
                    subject = self.record.subject((of, name))
                    if subject is not None and word not in subject.cannot_tell:
                        self.focus = subject
                        return self._question(word, (item.rule,))
        reading = next(
            (ask for ask in asks_under(self.record, self.focus) if ask.question.reading), None
        )
        if reading is not None:
            return self._question(reading.word, reading.decides)
        if any(each.decision.outcome == "undecided" for _, each in verdicts):
            return differs_prompt(self.record, item, self._subject(), verdicts)
        new = self._new_here(item)
        self._evidence = list(EVIDENCE) if self._wants_papers else []
        self._correcting = False
        outcome = "corrected, with a new defect" if new else "corrected"
        self._settle(outcome=outcome, looked=True, new=new)
        return self._next()

    def _new_here(self, item: Recheck) -> list[str]:
        """The rules that find something at the subject now and did not before."""
        session = self.record.session
        told = ((each.of, each.subject, each.rule) for each in session.rechecks)
        waived = (each for each in session.findings if each.state != "open")
        also = ((each.of, each.subject, each.rule) for each in waived)
        before = {rule for of, id, rule in (*told, *also) if (of, id) == (item.of, item.subject)}
        now = {
            verdict.decision.rule.id: None
            for house in self.record.houses
            for verdict in verdicts_on(house, self._subject())
            if verdict.decision.outcome == "deficient" and verdict.decision.kind != "note"
        }
        return [rule for rule in now if rule not in before]

    def _told_before(self, name: str) -> str | datetime.date | None:
        """The same paper often tells of several corrections."""
        for n, each in reversed(self.items.items()):
            told: str | datetime.date | None = getattr(each, name)
            if n != self._at and told:
                return told
        return None
