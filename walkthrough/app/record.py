"""An open record: every change is saved at once and can be taken back."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path

from walkthrough.app import opening
from walkthrough.app.findings_kept import name_rulesets, with_states
from walkthrough.judge.as_built import judge_as_built
from walkthrough.judge.house import House
from walkthrough.judge.judge import Judgement, judge_house
from walkthrough.judge.recheck import forget_its_test, to_check
from walkthrough.judge.under import Judged, questions_of
from walkthrough.rulebook.declarations import Question
from walkthrough.rulebook.explain import spoken
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.history import History, Step, SubjectKey, beside, not_entered
from walkthrough.survey.model import AnswerValue, Circuit, Finding, Subject, Visit
from walkthrough.survey.naming import follow_findings
from walkthrough.survey.photos import named
from walkthrough.survey.turned import other_state


class Record:
    """One record open for writing.

    `books` are the rulesets that it is judged by, the first one first; `editions` those among
    which is looked up what was asked when it was built, if the record wants that.
    `is_changed` tells whether anything was changed in this sitting.
    `problem` says why the last save failed; the change is then kept in memory, and `save` tries
    again.
    """

    def __init__(
        self, opened: opening.Opened, path: Path, today: datetime.date | None = None
    ) -> None:
        self.session = opened.session
        self.books = tuple(opened.books)
        self.editions = tuple(opened.editions)
        self.path = path
        self.problem = ""
        self.history = History(self.session, beside(path))
        self.is_changed = False
        self._behind: tuple[list[Finding], dict[str, str], str] = [], {}, ""
        self.last_photo = ""
        """The picture that was named last in this sitting."""
        self._held = opened.held
        self._today = today
        self._houses: tuple[House, ...] | None = None
        self._judged: Judged | None = None

    @classmethod
    def begin(
        cls,
        path: Path,
        title: str,
        ruleset: str,
        day: datetime.date,
        today: datetime.date | None = None,
        also: Sequence[str] = (),
        as_built: str = "",
    ) -> Record:
        """A new record; it is on disk when this returns.

        `also` are further rulesets to judge by, `as_built` the series of editions for what was
        asked when it was built. Raises Unusable where a file stands there already:
        it is never written over.
        """
        return cls(opening.begin(path, title, ruleset, day, also, as_built), path, today or day)

    @classmethod
    def reinspect(cls, old: Path, path: Path, day: datetime.date) -> Record:
        """A copy of a record, in which its open deficiencies are checked; the old one stays.

        Raises Unusable where nothing is open, or where a file stands at `path` already.
        """
        before = cls.open(old, today=day)
        try:
            session = before.session.model_copy(deep=True)
            found = session.findings or before.judged.to_record()
            session.rechecks = to_check(before.house, found, day)
        finally:
            before.close()
        opening.put_reinspection(session, old, path, day)
        return cls.open(path, today=day)

    @classmethod
    def open(
        cls, path: Path, ruleset: str | None = None, today: datetime.date | None = None
    ) -> Record:
        """A record that is there; raises Unusable where it or its ruleset cannot be used.

        `ruleset` may say where its own ruleset is; another one is refused, because going on
        under it would change what the record was judged by.
        """
        return cls(opening.open_there(path, ruleset), path, today)

    @property
    def saved(self) -> bool:
        """Whether everything answered is on disk."""
        return not self.problem

    @property
    def book(self) -> Rulebook:
        """The ruleset that is named first."""
        return self.books[0]

    @cached_property
    def questions(self) -> dict[str, Question]:
        """Everything that its rulesets ask, as the first one that asks it words it."""
        return questions_of([*self.books, *self.editions])

    def question(self, word: str) -> Question:
        """A question of any of the rulesets."""
        return self._asked_by(word).questions[word]

    def spoken(self, word: str, value: AnswerValue | None) -> str:
        """An answer in the words of the ruleset that asks for it."""
        return spoken(word, value, self._asked_by(word))

    def counts(self, subject: Subject, word: str) -> bool:
        """Whether any ruleset takes the answer of a subject; else it makes no sense any more."""
        asking = [each for each in self.houses if word in each.book.questions]
        return not asking or any(each.counts(subject, word) for each in asking)

    def _asked_by(self, word: str) -> Rulebook:
        books = (*self.books, *self.editions)
        return next((each for each in books if word in each.questions), self.book)

    @property
    def dated_house(self) -> House | None:
        """The record under the newest of the editions that were in force; None if none counts."""
        return House(self.session, self.editions[-1]) if self.editions else None

    @property
    def houses(self) -> tuple[House, ...]:
        """The record under each of its rulesets, as it is now."""
        if self._houses is None:
            self._houses = tuple(House(self.session, book) for book in self.books)
        return self._houses

    @property
    def house(self) -> House:
        """The record under its first ruleset, as it is now."""
        return self.houses[0]

    @property
    def judged(self) -> Judged:
        """The whole record judged under all of its rulesets, as it is now."""
        if self._judged is None:
            as_built = judge_as_built(self.session, self.editions) if self.editions else None
            self._judged = Judged(
                self.session, tuple(judge_house(each) for each in self.houses), as_built
            )
        return self._judged

    @property
    def judgement(self) -> Judgement:
        """The whole record judged under its first ruleset, as it is now."""
        return self.judged.chosen[0]

    @property
    def is_judged(self) -> bool:
        """Whether the whole record was judged since the last change."""
        return self._judged is not None

    def holds(self, subject: Subject) -> bool:
        """Whether a subject is still part of the record."""
        return any(each is subject for each in self.session.subjects())

    def key(self, subject: Subject) -> SubjectKey:
        """What a subject is called; it stays so when the record is read anew."""
        return subject.of, self.session.reference(subject)

    def subject(self, key: SubjectKey) -> Subject | None:
        """The subject that is called so; None where there is none (any more)."""
        return self.session.meant(*key)

    def change(self, subject: Subject, prompt: str) -> None:
        """Note a change that was just made to the session, and save it."""
        self.note(subject, prompt)
        self.changed()

    def undo(self) -> Step | None:
        """Take the last change back; None when there is none."""
        return self._turn(self.history.text, self.history.back())

    def redo(self) -> Step | None:
        """Make again what was taken back last; None when there is nothing."""
        return self._turn(self.history.text, self.history.again())

    def answer(self, subject: Subject, word: str, value: AnswerValue | None) -> None:
        """Record an answer; None records that it was asked and cannot be told."""
        self.answer_all(subject, {word: value})

    def answer_all(self, subject: Subject, values: dict[str, AnswerValue | None]) -> None:
        """Record several answers with one save; each can be taken back on its own."""
        alone = True
        for word, value in values.items():
            for each in self._answering(subject, word):
                self._put(each, word, value)
                alone = alone and each is subject
            self.note(subject, word, is_answer=alone)
        if values:
            self.changed(subject if alone else None)

    def forget(self, subject: Subject, word: str) -> None:
        """Remove an answer, so that the question is open again."""
        _clear(subject, word)
        self.change(subject, word)

    def take_judgement(self, judged: Judged) -> None:
        """Keep a judgement of the present state, made elsewhere, and write its findings.

        Who only looks in changes nothing: then they are not written.
        """
        self._judged = judged
        if self.is_changed:
            self._write_findings()

    def take_photo_sums(self, sums: dict[str, str]) -> None:
        """Keep the checksums of pictures, and save; of what is named nowhere none is kept."""
        session = self.session
        kept = {name for _, _, name in named(session)}
        every = {**sums, **session.photo_sums}
        session.photo_sums = {name: each for name, each in every.items() if name in kept}
        self.save()

    def save(self, text: str | None = None, answered: Subject | None = None) -> bool:
        """Try to write; False when that failed, with the reason in `problem`.

        `text` is what stands in the file then, where that is known already; `answered` is the
        subject where nothing but its answers changed since the last save.
        """
        try:
            # What was not saved before may be wrong anywhere.
            store.save(self.session, self.path, text, answered if self.saved else None)
        except store.SaveError as error:
            self.problem = str(error)
        else:
            self.problem = ""
        return self.saved

    def close(self) -> bool:
        """Write the findings and give the record free; False when it could not be saved."""
        try:
            if self.is_changed or not self.saved:
                _ = self.judged
                self._write_findings()
            return self.saved
        finally:
            self._held.release()

    def _write_findings(self) -> None:
        if name_rulesets(self.session, self.books):
            self.history.judged_anew(self.session)
        self.session.findings = with_states(self.session, self.judged.to_record())
        self.save()

    def _put(self, subject: Subject, word: str, value: AnswerValue | None) -> None:
        question = self.question(word)
        if value is not None and subject.answers.get(word, value) != value:
            # It may be another one by now: what the old one showed says nothing of it.
            forget_its_test(self.session, self.books, subject, word)
        _clear(subject, word)
        if value is None:
            subject.cannot_tell.append(word)
        elif question.reading:
            subject.readings[word] = value
        else:
            subject.answers[word] = value

    def _answering(self, subject: Subject, word: str) -> list[Subject]:
        """The subjects that an answer is given for: both circuits of a shared neutral at once."""
        if self.question(word).one_for_shared_neutral and isinstance(subject, Circuit):
            return [*self.house.wiring.sharing_neutral(subject)]
        return [subject]

    def _note_visit(self) -> None:
        """A change made on a later day than the last visit belongs to a visit of that day."""
        day = self._today or datetime.date.today()
        visits = self.session.visits
        if not visits or max(each.date for each in visits) < day:
            visits.append(Visit(date=day))

    def note(self, subject: Subject, prompt: str, is_answer: bool = False) -> None:
        """Note one of several changes; `changed` saves them together.

        `is_answer` says that nothing changed in any other subject.
        """
        self._note_visit()
        houses, self._houses = self._houses, None
        if is_answer and houses is not None:
            self._houses = tuple(each.with_answers(subject) for each in houses)
        changed = subject if is_answer else None
        self.history.note(self.session, self.key(subject), prompt, changed)

    def _turn(self, was: str, turned: tuple[Step, str] | None) -> Step | None:
        """Take the record as a step leaves it; its findings stay until it is judged anew.

        `was` is what stood in it before, as the history tells it.
        """
        if turned is None:
            return None
        step, text = turned
        before = self.session
        self.session = other_state(before, was, text, self.path)
        follow_findings(before, self.session)
        self.changed()
        return step

    def changed(self, answered: Subject | None = None) -> None:
        """Save what was noted; everything judged before is out of date.

        `answered` is as for `save`.
        """
        self.is_changed = True
        if answered is None:
            self._houses = None
        self._judged = None
        self.save(self.history.text + self._not_entered(answered), answered)

    def _not_entered(self, answered: Subject | None) -> str:
        """What stands behind what was entered; an answer leaves it as it was."""
        findings, sums, text = self._behind
        session = self.session
        if answered is None or findings is not session.findings or sums is not session.photo_sums:
            text = not_entered(session)
            self._behind = session.findings, session.photo_sums, text
        return text


def _clear(subject: Subject, word: str) -> None:
    """Remove whatever was told to a question, also that it cannot be told."""
    subject.answers.pop(word, None)
    subject.readings.pop(word, None)
    subject.carried = [each for each in subject.carried if each != word]
    subject.cannot_tell = [each for each in subject.cannot_tell if each != word]
