"""An open record: every change is saved at once and can be taken back."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from walkthrough.judge.house import House
from walkthrough.judge.judge import Judgement, judge_house
from walkthrough.rulebook.load import load as load_ruleset
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.lock import Lock, lock
from walkthrough.survey.model import AnswerValue, Finding, JudgedBy, Session, Subject, Visit


@dataclass(frozen=True)
class Change:
    """One change: where it was made, which prompt it answered, and how to take it back."""

    subject: Subject
    prompt: str
    undo: Callable[[], None]


class Record:
    """One record open for writing.

    `problem` says why the last save failed; the change is then kept in memory, and `save` tries
    again.
    """

    def __init__(
        self,
        session: Session,
        book: Rulebook,
        path: Path,
        held: Lock,
        today: datetime.date | None = None,
    ) -> None:
        self.session = session
        self.book = book
        self.path = path
        self.problem = ""
        self.history: list[Change] = []
        self._held = held
        self._today = today
        self._house: House | None = None
        self._judgement: Judgement | None = None

    @classmethod
    def begin(
        cls,
        path: Path,
        title: str,
        ruleset: str,
        day: datetime.date,
        today: datetime.date | None = None,
    ) -> Record:
        """A new record; it is on disk when this returns.

        Raises Unusable where a file stands there already: it is never written over.
        """
        book = load_ruleset(ruleset)
        held = lock(path)
        try:
            if path.exists():
                raise _unusable(path, "a file is there already; expected a path for a new record")
            judged_by = JudgedBy(ruleset=book.id, fingerprint=book.fingerprint)
            session = Session(title=title, judged_by=judged_by, visits=[Visit(date=day)])
            store.save(session, path)
        except BaseException:
            held.release()
            raise
        return cls(session, book, path, held, today or day)

    @classmethod
    def open(
        cls, path: Path, ruleset: str | None = None, today: datetime.date | None = None
    ) -> Record:
        """A record that is there; raises Unusable where it or its ruleset cannot be used.

        `ruleset` may say where its own ruleset is; another one is refused, because going on
        under it would change what the record was judged by.
        """
        held = lock(path)
        try:
            session = store.load(path)
            own = session.judged_by.ruleset
            book = load_ruleset(ruleset or own)
            if book.id != own:
                raise _unusable(
                    path,
                    f"this record is judged by '{own}', not '{book.id}'; "
                    f"use replay --ruleset {ruleset} to judge it by that one",
                )
            session = store.load(path, book.questions)
        except BaseException:
            held.release()
            raise
        return cls(session, book, path, held, today)

    @property
    def saved(self) -> bool:
        """Whether everything answered is on disk."""
        return not self.problem

    @property
    def house(self) -> House:
        """The record under its rulebook, as it is now."""
        if self._house is None:
            self._house = House(self.session, self.book)
        return self._house

    @property
    def judgement(self) -> Judgement:
        """The whole record judged, as it is now."""
        if self._judgement is None:
            self._judgement = judge_house(self.house)
        return self._judgement

    @property
    def is_judged(self) -> bool:
        """Whether the whole record was judged since the last change."""
        return self._judgement is not None

    def holds(self, subject: Subject) -> bool:
        """Whether a subject is still part of the record."""
        return any(each is subject for each in self.session.subjects())

    def change(self, subject: Subject, prompt: str, undo: Callable[[], None]) -> None:
        """Note a change that was just made to the session, and save it."""
        self.history.append(Change(subject, prompt, undo))
        self._note_visit()
        self._changed()

    def undo(self) -> Change | None:
        """Take the last change back; None when there is none of this sitting."""
        if not self.history:
            return None
        last = self.history.pop()
        last.undo()
        self._changed()
        return last

    def answer(self, subject: Subject, word: str, value: AnswerValue | None) -> None:
        """Record an answer; None records that it was asked and cannot be told."""
        undo = snapshot(subject)
        self._put(subject, word, value)
        self.change(subject, word, undo)

    def answer_all(self, subject: Subject, values: dict[str, AnswerValue | None]) -> None:
        """Record several answers with one save; each can be taken back on its own."""
        for word, value in values.items():
            self.history.append(Change(subject, word, snapshot(subject)))
            self._put(subject, word, value)
        if values:
            self._note_visit()
            self._changed()

    def forget(self, subject: Subject, word: str) -> None:
        """Remove an answer, so that the question is open again."""
        undo = snapshot(subject)
        subject.answers.pop(word, None)
        subject.readings.pop(word, None)
        if word in subject.cannot_tell:
            subject.cannot_tell.remove(word)
        self.change(subject, word, undo)

    def take_judgement(self, judgement: Judgement) -> None:
        """Keep a judgement of the present state, made elsewhere, and write its findings."""
        self._judgement = judgement
        self._write_findings()

    def save(self) -> bool:
        """Try to write; False when that failed, with the reason in `problem`."""
        try:
            store.save(self.session, self.path)
        except store.SaveError as error:
            self.problem = str(error)
        else:
            self.problem = ""
        return self.saved

    def close(self) -> bool:
        """Write the findings and give the record free; False when it could not be saved."""
        try:
            if self.history or not self.saved:
                _ = self.judgement
                self._write_findings()
            return self.saved
        finally:
            self._held.release()

    def _write_findings(self) -> None:
        session, judgement = self.session, self.judgement
        states = {_same(each): each.state for each in session.findings}
        session.judged_by = JudgedBy(ruleset=self.book.id, fingerprint=self.book.fingerprint)
        session.findings = [
            each.model_copy(update={"state": states.get(_same(each), each.state)})
            for each in judgement.findings
        ]
        self.save()

    def _put(self, subject: Subject, word: str, value: AnswerValue | None) -> None:
        question = self.book.questions[word]
        subject.answers.pop(word, None)
        subject.readings.pop(word, None)
        told = [each for each in subject.cannot_tell if each != word]
        if value is None:
            told.append(word)
        elif question.reading:
            subject.readings[word] = value
        else:
            subject.answers[word] = value
        subject.cannot_tell = told

    def _note_visit(self) -> None:
        """A change made on a later day than the last visit belongs to a visit of that day."""
        day = self._today or datetime.date.today()
        visits = self.session.visits
        if not visits or max(each.date for each in visits) < day:
            visits.append(Visit(date=day))

    def _changed(self) -> None:
        self._house = None
        self._judgement = None
        self.save()


def snapshot(*subjects: Subject) -> Callable[[], None]:
    """A function that puts subjects back as they are now."""
    kept = [(each, each.model_copy(deep=True)) for each in subjects]

    def restore() -> None:
        for subject, copy in kept:
            for name in type(subject).model_fields:
                setattr(subject, name, getattr(copy, name))

    return restore


def drop_last(items: list[Any]) -> Callable[[], None]:
    """A function that removes what was appended last."""

    def undo() -> None:
        items.pop()

    return undo


def _unusable(path: Path, message: str) -> Unusable:
    return Unusable([Problem(str(path), 0, 0, message)])


def _same(finding: Finding) -> tuple[str, str, str]:
    return finding.of, finding.subject, finding.rule
