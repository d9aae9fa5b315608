"""Judges a whole record: every rule on every subject, and what follows from it."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from walkthrough.judge.house import House, SubjectKey
from walkthrough.judge.urgency import urgency
from walkthrough.rulebook.decision import Decision
from walkthrough.rulebook.declarations import Deadline
from walkthrough.rulebook.explain import Step, spoken, trail
from walkthrough.rulebook.kleene import either
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.rulebook.words import PROTECTED
from walkthrough.survey.model import UNSEEN, Circuit, Finding, Outlet, Session, Subject
from walkthrough.trade.contradictions import Contradiction, contradictions
from walkthrough.trade.protection import Open

_PLACEHOLDER = re.compile(r"\{(\w+)\}")
SEVERITIES = ("hazard", "serious", "upgrade", "info")
KINDS = ("defect", "gap", "note")


class Verdict(NamedTuple):
    """What one rule says of one subject."""

    of: str
    subject: str
    decision: Decision
    waits_for: tuple[Open, ...] = ()
    asks: tuple[Open, ...] = ()
    """What of it is worth asking: it can still lead to a finding, or away from one."""


@dataclass(frozen=True)
class NotTested:
    """Something that was not tested or reached, and why: a limit of the survey.

    `of` is the kind of subject; "" for what the survey as a whole left out. `in_part` says that
    something of it was seen or tested.
    """

    subject: str
    reason: str
    of: str = ""
    in_part: bool = False


@dataclass(frozen=True)
class Sample:
    """How many of a room's receptacles were tested."""

    room: str
    tested: int
    of: int


@dataclass
class Judgement:
    """All verdicts on one record under one rulebook.

    `made_in` is the year for which is judged where things are seen as they were when they were
    made; only the things of that year are in it then.
    """

    house: House
    verdicts: tuple[Verdict, ...]
    made_in: int | None = None
    _by_subject: dict[SubjectKey, list[Verdict]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        for verdict in self.verdicts:
            self._by_subject.setdefault((verdict.of, verdict.subject), []).append(verdict)

    @property
    def book(self) -> Rulebook:
        return self.house.book

    @property
    def session(self) -> Session:
        return self.house.session

    @property
    def under(self) -> str:
        """What a finding of this judgement stands under: the ruleset, and the year if it counts."""
        return self.book.id + (f", as built in {self.made_in}" if self.made_in else "")

    def on(self, subject: Subject) -> list[Verdict]:
        """The verdicts on one subject."""
        return self._by_subject.get(self.house.key(subject), [])

    def requires(self, outlet: Outlet) -> dict[str, list[str]]:
        """The sections that demand each kind of protection here, met or not, beyond dispute."""
        return self._demanding(outlet, disputed=False)

    def disputes(self, outlet: Outlet) -> dict[str, list[str]]:
        """The sections of which it is disputed whether they demand protection that is not shown."""
        return self._demanding(outlet, disputed=True)

    def _demanding(self, outlet: Outlet, disputed: bool) -> dict[str, list[str]]:
        facts = self.house.situation(outlet)
        sections: dict[str, dict[str, None]] = {
            demand.topic: {} for demand in self.book.demands.values()
        }
        for decision in (verdict.decision for verdict in self.on(outlet)):
            rule = decision.rule
            if rule.declared.topic in sections and decision.demanded:
                is_disputed = decision.outcome != "met" and either(
                    dispute.when.truth(facts) for dispute in rule.disputed
                )
                if bool(is_disputed) is disputed:
                    sections[rule.declared.topic].update(dict.fromkeys(rule.declared.cite))
        return {topic: list(cited) for topic, cited in sections.items()}

    def has(self, outlet: Outlet) -> dict[str, str]:
        """Whether each kind of protection is there: yes, no or unknown."""
        facts = self.house.situation(outlet)
        words: Mapping[bool | None, str] = {True: "yes", False: "no", None: "unknown"}
        return {
            demand.topic: words[facts.known(demand.has)] for demand in self.book.demands.values()
        }

    @cached_property
    def findings(self) -> list[Finding]:
        """The deficiencies in the order of `urgent`; those alike in walking order."""
        found = [each for each in self.verdicts if each.decision.outcome == "deficient"]
        return [self.finding(each) for each in sorted(found, key=self.urgent)]

    def urgent(self, verdict: Verdict) -> tuple[int, int, bool, bool, int]:
        """What a deficiency is ordered by: severity, danger, kind."""
        return (
            SEVERITIES.index(self.severity(verdict)),
            *urgency(self.house, verdict).order,
            KINDS.index(verdict.decision.kind),
        )

    @cached_property
    def disputed(self) -> list[Verdict]:
        """What only the authority having jurisdiction can settle."""
        return [each for each in self.verdicts if each.decision.outcome == "ask the AHJ"]

    @cached_property
    def undecided(self) -> list[Verdict]:
        """What is still open, with the questions that would decide it."""
        return [each for each in self.verdicts if each.decision.outcome == "undecided"]

    @cached_property
    def contradictions(self) -> list[Contradiction]:
        """Trip tests and records, circuits of a shared neutral, or answers that do not agree."""
        names = self.house.wiring.name
        return [
            *contradictions(self.house.tracer),
            *(self._disagreeing(word, *each) for word, each in self.house.disagreeing()),
            *(
                Contradiction(names(at), names(at), f"{self.asked(word)} {wrong}")
                for at, word, wrong in self.house.impossible()
            ),
        ]

    def _disagreeing(self, word: str, one: Circuit, other: Circuit) -> Contradiction:
        names = [self.house.wiring.name(each) for each in (one, other)]
        said = [spoken(word, each.answer(word), self.book) for each in (one, other)]
        asked = self.asked(word)
        says = f"{asked} Recorded: {said[1]}; at {names[0]}, which shares its neutral: {said[0]}"
        return Contradiction(names[0], names[1], says)

    @cached_property
    def not_tested(self) -> list[NotTested]:
        """The limits of the survey: said by the surveyor, and readings that are missing."""
        found: list[NotTested] = []
        for (of, name), subject in self.house.subjects.items():
            if self.made_in and not self.on(subject):
                continue
            limits = subject.limits if isinstance(subject, Outlet) else []
            found += self._counted_limits(name, subject)
            for limit in limits:
                seen = bool(subject.readings) or limit.what not in UNSEEN
                found.append(NotTested(name, f"{limit.what}: {limit.reason}", of, seen))
            missing = self._missing_readings(subject)
            if missing and not limits:
                seen = bool(subject.readings or subject.answers)
                found.append(NotTested(name, f"no reading recorded: {missing}", of, seen))
        found += [NotTested(limit.subject, limit.reason) for limit in self.session.limits]
        return found

    @cached_property
    def samples(self) -> list[Sample]:
        """How many receptacles of each room were tested; those not reached count too."""
        points = self.house.tracer.receptacle_points
        found: list[Sample] = []
        for room in self.session.rooms:
            here = self.house.children(room, "outlet")
            here = [each for each in here if str(each.answer("point")) in points]
            answers = (
                room.answer(word) for word, each in self.book.questions.items() if each.limit
            )
            beyond = sum(int(answer) for answer in answers if isinstance(answer, int | float))
            tested = sum(bool(each.readings) for each in here)
            if here or beyond:
                home = self.session.home(room)
                name = f"{room.name} ({home})" if home else room.name
                found.append(Sample(name, tested, len(here) + beyond))
        return found

    def _counted_limits(self, name: str, subject: Subject) -> list[NotTested]:
        answers = {
            question.limit: subject.answer(word)
            for word, question in self.book.questions.items()
            if question.limit
        }
        return [
            NotTested(name, f"{answer:g} {limit}", subject.of)
            for limit, answer in answers.items()
            if isinstance(answer, int | float) and answer > 0
        ]

    def finding(self, verdict: Verdict) -> Finding:
        """A verdict in the form in which the record keeps it."""
        declared = verdict.decision.rule.declared
        return Finding(
            subject=verdict.subject,
            of=verdict.of,
            rule=verdict.decision.rule.id,
            topic=declared.topic,
            kind=verdict.decision.kind,
            severity=self.severity(verdict),
            cite=list(declared.cite),
            says=self.says(verdict),
            confidence=declared.confidence,
        )

    def deadlines(self, verdict: Verdict) -> list[Deadline]:
        """The times for the correction that hold here, or may: the programme can be unknown."""
        facts = self.house.situation(self.house.subjects[verdict.of, verdict.subject])
        return [
            due.declared
            for due in verdict.decision.rule.deadlines
            if due.when.truth(facts) is not False
        ]

    def verdict(self, finding: Finding) -> Verdict:
        """The verdict that a finding of this judgement tells."""
        return next(
            each
            for each in self._by_subject[finding.of, finding.subject]
            if each.decision.rule.id == finding.rule
        )

    def severity(self, verdict: Verdict) -> str:
        """The severity of the rule; work that had to comply is never a mere upgrade."""
        declared = verdict.decision.rule.declared.severity
        if verdict.decision.kind == "defect":
            return min(declared, "serious", key=SEVERITIES.index)
        return declared

    def says(self, verdict: Verdict) -> str:
        """The sentence of the rule with the recorded values put in."""
        return self._filled(verdict, verdict.decision.rule.declared.says)

    def remedy(self, verdict: Verdict) -> str:
        """What is to be put where, in plain words; a cure without such words stands as written."""
        declared = verdict.decision.rule.declared
        if declared.remedy:
            return self._filled(verdict, declared.remedy)
        return "; ".join(self.book.cures.get(each, each) for each in declared.cure)

    def caveats(self, verdict: Verdict) -> list[str]:
        """What is to be minded with the cure of a finding, as things are known to stand there."""
        facts = self.house.situation(self.house.subjects[verdict.of, verdict.subject])
        declared = verdict.decision.rule.declared
        return [
            each.declared.says for each in self.book.caveats.values() if each.holds(declared, facts)
        ]

    def _filled(self, verdict: Verdict, text: str) -> str:
        facts = self.house.situation(self.house.subjects[verdict.of, verdict.subject])

        def value(match: re.Match[str]) -> str:
            return spoken(match[1], facts.known(match[1]), self.book)

        return _PLACEHOLDER.sub(value, text)

    def trail(self, verdict: Verdict) -> list[Step]:
        """Why a verdict came out as it did, with what tracing found behind derived words."""
        subject = self.house.subjects[verdict.of, verdict.subject]
        steps = trail(verdict.decision, self.house.situation(subject), self.book)
        if isinstance(subject, Outlet):
            for kind in self.book.vocabulary.traced:
                if f"{kind}{PROTECTED}" in verdict.decision.rule.words:
                    protection = self.house.tracer.protection(subject, kind)
                    by = f"protected by {', '.join(protection.by)}" if protection.by else ""
                    steps += [Step(1, note) for note in (by, *protection.notes) if note]
        steps += [
            Step(1, f"waits for {where}: {self.asked(question)}")
            for where, question in verdict.waits_for
            if where != verdict.subject
        ]
        return steps

    def asked(self, question: str) -> str:
        """A question as it is put; the word itself where the ruleset does not ask it."""
        known = self.book.questions.get(question)
        return known.ask if known is not None else question.replace("_", " ")

    def _missing_readings(self, subject: Subject) -> str:
        """Instrument readings of a subject on which some verdict on it still waits."""
        name = self.house.key(subject)[1]
        waiting = {
            question
            for verdict in self.on(subject)
            for where, question in verdict.waits_for
            if where == name
        }
        return ", ".join(
            name.replace("_", " ")
            for name, question in self.book.questions.items()
            if question.reading and name in waiting
        )


def judge(session: Session, book: Rulebook, day: datetime.date | None = None) -> Judgement:
    """Judge every subject of a record by every rule of a rulebook."""
    return judge_house(House(session, book, day))


def judge_house(house: House) -> Judgement:
    """Judge a house that is built already."""
    return Judgement(
        house,
        tuple(
            verdict
            for subject in house.subjects.values()
            for verdict in verdicts_on(house, subject)
        ),
    )


def verdicts_on(house: House, subject: Subject) -> Iterator[Verdict]:
    """The verdicts of every rule on one subject."""
    if not house.is_judged(subject):
        return
    of, name = house.key(subject)
    for decision in house.decisions(subject):
        if decision.outcome == "undecided":
            waits_for = _opened(house, subject, decision.waits_for)
            asks = _opened(house, subject, decision.asks)
            yield Verdict(of, name, decision, waits_for, asks)
        else:
            yield Verdict(of, name, decision)


def asked_for(house: House, subject: Subject) -> Iterator[tuple[str, Open]]:
    """The rules that are not decided on one subject, with each question worth asking for them."""
    for decision in house.decisions(subject) if house.is_judged(subject) else ():
        for asks in _opened(house, subject, decision.asks):
            yield decision.rule.id, asks


def _opened(house: House, subject: Subject, words: tuple[str, ...]) -> tuple[Open, ...]:
    """The questions behind words, each once."""
    every = (item for word in words for item in house.open_questions(subject, word))
    return tuple(dict.fromkeys(every))
