"""Joins a record with a rulebook: what each rule can see of each subject."""

from __future__ import annotations

import datetime
import functools
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any, Literal

from walkthrough.judge import traced, units, years
from walkthrough.judge.entering import is_left
from walkthrough.rulebook.conditions import leaves
from walkthrough.rulebook.decide import decide_all
from walkthrough.rulebook.decision import Decision
from walkthrough.rulebook.diagram import TooManySituations
from walkthrough.rulebook.kleene import at_least, both
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.rulebook.situation import Situation
from walkthrough.rulebook.support import deciding_words
from walkthrough.survey.answers import check_beside
from walkthrough.survey.model import Circuit, Outlet, Panel, Session, Subject
from walkthrough.trade.protection import Open, Tracer
from walkthrough.trade.wiring import Wiring

SubjectKey = tuple[str, str]
"""Kind and reference of a subject."""


class House:
    """One record under one rulebook. Build it anew when the record changes.

    `day` is the day for which is judged; the last visit if not given. `unsure` is what protection
    counts for that was not shown: open, or none where only what was shown may be relied on.
    """

    def __init__(
        self,
        session: Session,
        book: Rulebook,
        day: datetime.date | None = None,
        unsure: Literal[False] | None = None,
        wiring: Wiring | None = None,
    ) -> None:
        self.session = session
        self.book = book
        self._for_day, self._unsure = day, unsure
        self.day = day or max((visit.date for visit in session.visits), default=None)
        self.wiring = wiring or Wiring(session)
        is_void = functools.partial(traced.is_void, self)
        self.tracer = Tracer(self.wiring, traced.device_tables(book), is_void)
        self._above: dict[int, Mapping[str, Subject]] = {}
        self._told: dict[int, dict[str, Any]] = {}
        self._weighed: set[tuple[int, str]] = set()
        """Subjects and questions of which is just being worked out whether they make sense."""
        self._situations: dict[int, Situation] = {}
        self._decisions: dict[int, list[Decision]] = {}
        self._providers: Mapping[str, Callable[[Subject], Any]] = {
            "room_left": lambda each: is_left(self.wiring, each),
            **traced.providers(self, {"yes": True, "no": False, "unknown": unsure}),
            **units.providers(self.wiring),
        }

    @cached_property
    def subjects(self) -> dict[SubjectKey, Subject]:
        """Every subject of the record, in the order in which it is walked."""
        session = self.session
        found = {self.key(each): each for each in (session.dwelling, *session.units)}
        kinds: tuple[tuple[str, Sequence[Subject]], ...] = (
            ("panel", session.panels),
            ("circuit", session.circuits),
            ("room", session.rooms),
            ("outlet", session.outlets),
        )
        for kind, subjects in kinds:
            found.update(
                {(kind, name): each for name, each in session.references(subjects).items()}
            )
        return found

    def key(self, subject: Subject) -> SubjectKey:
        return subject.of, self.wiring.name(subject)

    def situation(self, subject: Subject) -> Situation:
        """What is known about a subject; worked out when asked, and kept."""
        found = self._situations.get(id(subject))
        if found is None:
            above = self.above(subject)
            found = self._situations[id(subject)] = Situation(
                self._as_told(subject), self.book.terms, lambda word: self.value(word, above)
            )
        return found

    def decisions(self, subject: Subject) -> list[Decision]:
        """What every rule says of a subject; worked out when asked, and kept."""
        found = self._decisions.get(id(subject))
        if found is None:
            found = decide_all(subject.of, self.situation(subject), self.book)
            self._decisions[id(subject)] = found
        return found

    def with_answers(self, of: Subject) -> House:
        """The house after nothing but answers of one subject changed.

        What belongs to what stays as it is, and so does what was told of what is not below it.
        """
        # A device that is another one by now takes what its TEST showed along.
        is_as_wired = self.wiring.trips is self.session.trips
        wiring = self.wiring if is_as_wired else None
        after = House(self.session, self.book, self._for_day, self._unsure, wiring)
        after._above = self._above
        after._told = {
            id: told for id, told in self._told.items() if self._above[id].get(of.of) is not of
        }
        return after

    def _as_told(self, subject: Subject) -> dict[str, Any]:
        """The answers that hold as they stand: given where their question is asked first.

        What `value` would find for them one by one. Those of the dwelling can be its units' own.
        """
        told = self._told.get(id(subject))
        if told is not None:
            return told
        told = {}
        for kind, each in self.above(subject).items():
            asked = self.book.asked_first.get(kind, frozenset())
            for answers in (each.readings, each.answers) if kind != "dwelling" else ():
                told.update(
                    answers
                    if answers.keys() <= asked
                    else {word: answers[word] for word in answers.keys() & asked}
                )
        self._told[id(subject)] = told
        return told

    def belongs_to(self, subject: Subject) -> Iterator[Subject]:
        """The subject, then all that it belongs to."""
        yield subject
        session, wiring = self.session, self.wiring
        circuit = subject if isinstance(subject, Circuit) else None
        if isinstance(subject, Outlet):
            room = wiring.rooms.get(subject.room)
            if room is not None:
                yield room
            circuit = wiring.circuit_of(subject)
            if circuit is not None:
                yield circuit
        panel = self._panel_of(circuit) if circuit is not None else None
        if panel is not None:
            yield panel
        unit = session.unit(wiring.unit_of(subject)) if session.units else None
        if unit is not None and unit is not subject:
            yield unit
        if subject is not session.dwelling:
            yield session.dwelling

    def above(self, subject: Subject) -> Mapping[str, Subject]:
        """A subject and what it belongs to, by kind; the dwelling is its unit, if it has one."""
        found = self._above.get(id(subject))
        if found is None:
            every: dict[str, Subject] = {}
            for each in self.belongs_to(subject):
                every.setdefault(each.of, each)
            # It holds the subject, so that no other one can have its number, here or elsewhere.
            found = self._above[id(subject)] = every
        return found

    def is_judged(self, subject: Subject) -> bool:
        """Whether rules are held against a subject: those on dwellings are against each unit."""
        return subject is not self.session.dwelling or not self.session.units

    def children(self, subject: Subject, of: str) -> list[Subject]:
        """The subjects of one kind that belong to a subject."""
        session, wiring = self.session, self.wiring
        if isinstance(subject, Circuit):
            return list(wiring.on(subject))
        if isinstance(subject, Panel):
            circuits = [each for each in session.circuits if self._panel_of(each) is subject]
            if of == "circuit":
                return list(circuits)
            return [outlet for each in circuits for outlet in wiring.on(each)]
        if subject.of == "room":
            return [each for each in session.outlets if wiring.rooms.get(each.room) is subject]
        unit = session.unit_of(subject)
        return [each for each in session.all_of(of) if wiring.unit_of(each) == unit]

    def _panel_of(self, circuit: Circuit) -> Panel | None:
        return self.wiring.panels.get(circuit.panel)

    def open_questions(self, subject: Subject, word: str) -> tuple[Open, ...]:
        """What would have to be answered, and where, for an unknown word to become known."""
        question = self.book.questions.get(word)
        above = self.above(subject)
        if question is not None:
            together = self._answered_together(word, above)
            if together:
                return ((self.key(together[0])[1], word),)
            scope = next((scope for scope in question.of if scope in above), "")
            where = units.asked_at(self.session, scope, word, above) if scope else subject
            return ((self.key(where)[1], word),)
        if word in self.book.gathers:
            return self._open_behind_gather(word, above)
        if word == "code_year":
            found = years.open_years(self, above)
        else:
            found = traced.open_behind(self, word, above)
        return found or ((self.key(subject)[1], word),)

    def recorded(self, subject: Subject, word: str) -> Any:
        """The answer that holds for a subject: its own, or that of what it belongs to."""
        return self._answered(word, self.above(subject))

    def year_made(self, subject: Subject) -> int | None:
        """The year in which a subject was made or last replaced; None where it is not known."""
        return years.year_made(self, self.above(subject))

    def value(self, word: str, above: Mapping[str, Subject]) -> Any:
        """The value of a word for a subject, with what it belongs to; None for unknown."""
        question = self.book.questions.get(word)
        if question is not None:
            answer = self._answered(word, above)
            if answer is not None:
                return answer
            # Who was asked and cannot tell is not helped by a presumption.
            told = any(
                word in each.cannot_tell
                for scope in question.of
                for each in units.holders(self.session, scope, above)
            )
            return None if told else question.presume
        if word == "date":
            return self.day
        if word in self.book.gathers:
            gather, condition = self.book.gathers[word]
            if gather.of not in above:
                return None
            truths = (
                condition.truth(self.situation(child))
                for child in self.children(above[gather.of], gather.over)
            )
            counted = at_least(gather.at_least, truths) if gather.any else both(truths)
            # One that is still to be entered can make an `any` true and an `all` false.
            may_turn = counted is not bool(gather.any) and not self._is_settled(word, above)
            return None if may_turn else counted
        if word == "code_year":
            return years.code_year(self, above)
        provider = self._providers.get(word)
        scope = next((each for each in self.book.vocabulary.words[word].of if each in above), "")
        return provider(above[scope]) if provider is not None and scope else None

    def _answered(self, word: str, above: Mapping[str, Subject]) -> Any:
        answer = self._told_for(word, above)
        return answer if answer is None or self._makes_sense(word, above) else None

    def _told_for(self, word: str, above: Mapping[str, Subject]) -> Any:
        question = self.book.questions.get(word)
        if question is not None and question.one_for_shared_neutral:
            together = self._answered_together(word, above)
            said = {str(each.answer(word)): each.answer(word) for each in together}
            said.pop(str(None), None)
            return next(iter(said.values())) if len(said) == 1 else None
        for scope in question.of if question is not None else ():
            answer = units.answer_at(self.session, scope, word, above)
            if answer is not None:
                return answer
        return self._shown_by_trips(word, above)

    def _answered_together(self, word: str, above: Mapping[str, Subject]) -> list[Circuit]:
        """The circuits of a shared neutral that have one answer to a question; none else."""
        circuit = above.get("circuit")
        if not self.book.questions[word].one_for_shared_neutral:
            return []
        return self.wiring.sharing_neutral(circuit) if isinstance(circuit, Circuit) else []

    def disagreeing(self) -> Iterator[tuple[str, tuple[Circuit, Circuit]]]:
        """The questions to which two circuits of a shared neutral are recorded with two answers."""
        words = [w for w, each in self.book.questions.items() if each.one_for_shared_neutral]
        seen: set[int] = set()
        for one in self.session.circuits:
            seen.add(id(one))
            for other in self.wiring.sharing_neutral(one) if words else ():
                for word in words if id(other) not in seen else ():
                    said = one.answer(word), other.answer(word)
                    if None not in said and said[0] != said[1]:
                        yield word, (one, other)

    def impossible(self) -> Iterator[tuple[Subject, str, str]]:
        """Answers that cannot both be right at one subject, with what is wrong with the first."""
        for subject in self.subjects.values():
            for word, value in subject.answers.items():
                question = self.book.questions.get(word)
                if question is not None and (question.at_most or question.alone):
                    wrong = check_beside(subject, word, value, self.book.questions)
                    if wrong:
                        yield subject, word, wrong

    def _makes_sense(self, word: str, above: Mapping[str, Subject]) -> bool:
        """Whether a question can be put here at all, by what else is told.

        Where it cannot, its answer was given before something else was told otherwise: it counts as
        not given, and again once it makes sense again.
        """
        sense = self.book.counts_when.get(word)
        if sense is None:
            return True
        subject = next(iter(above.values()))
        here = (id(subject), word)
        if here in self._weighed:
            # A question whose own answer says whether it is put makes sense as long as it is told.
            return True
        self._weighed.add(here)
        try:
            return sense.truth(self.situation(subject)) is not False
        finally:
            self._weighed.remove(here)

    def counts(self, subject: Subject, word: str) -> bool:
        """Whether the judge takes the answer that a subject has itself to a question."""
        return self._makes_sense(word, self.above(subject))

    def _shown_by_trips(self, word: str, above: Mapping[str, Subject]) -> str | None:
        """The TEST reading that the trip-and-probe round shows where none was recorded."""
        outlet, circuit = above.get("outlet"), above.get("circuit")
        shown: str | None = None
        if word == "test_result" and isinstance(outlet, Outlet):
            shown = self.tracer.shown_credit(outlet)
        elif word == "breaker_test_result" and isinstance(circuit, Circuit):
            shown = self.tracer.shown_breaker_credit(circuit)
        credits = self.tracer.tables.credit
        return next((reading for reading, means in credits.items() if means == shown), None)

    def _is_settled(self, word: str, above: Mapping[str, Subject]) -> bool:
        """Whether all that a gather counts is known to be in the record."""
        settled = self.book.settled_when.get(word)
        if settled is None:
            return True
        return settled.truth(self.situation(above[self.book.gathers[word][0].of])) is True

    def _open_behind_gather(self, word: str, above: Mapping[str, Subject]) -> tuple[Open, ...]:
        gather, condition = self.book.gathers[word]
        if gather.of not in above:
            return ()
        asked = [(each, condition) for each in self.children(above[gather.of], gather.over)]
        settled = self.book.settled_when.get(word)
        if settled is not None:
            asked.append((above[gather.of], settled))
        found: dict[Open, None] = {}
        for subject, asks in asked:
            facts = self.situation(subject)
            if asks.truth(facts) is not None:
                continue
            try:
                words, _ = deciding_words(
                    (asks.node,), facts.known, self.book.vocabulary.words, lambda t: t
                )
            except TooManySituations:
                words = tuple(each for each in leaves(asks.node) if facts.known(each) is None)
            for each in words:
                found.update(dict.fromkeys(self.open_questions(subject, each)))
        return tuple(found)
