"""Which question comes next: only while its answer can still change a verdict, or is recorded."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from walkthrough.judge.house import House
from walkthrough.judge.judge import asked_for
from walkthrough.judge.units import answer_at
from walkthrough.rulebook.declarations import Question
from walkthrough.survey.model import Outlet, Subject


@dataclass(frozen=True)
class Ask:
    """A question to put about a subject, and the ids of the rules that wait for it."""

    word: str
    question: Question
    decides: tuple[str, ...]


def open_asks(house: House, subject: Subject) -> Iterator[Ask]:
    """Every question still to be put about a subject, in the order of the ruleset.

    A question is left out when it is answered, was put and could not be told, is presumed and not
    wanted for the record, or belongs to readings that the limits of an outlet say were not taken.
    """
    of, _ = house.key(subject)
    waiting = _waiting(house, subject)
    limited = isinstance(subject, Outlet) and bool(subject.limits)
    for word, question in house.book.questions.items():
        if of not in question.of or word in subject.cannot_tell or (limited and question.reading):
            continue
        decides, always = waiting.get(word, ()), _always_put(of, question)
        if not always and (question.presume is not None or not decides):
            continue
        if house.recorded(subject, word) is not None:
            continue
        sense = house.book.asked_when.get(word)
        truth = sense.truth(house.situation(subject)) if sense is not None else True
        if truth is False or (truth is None and question.only_when_known):
            continue
        yield Ask(word, question, decides)


def years_to_ask(house: House, subject: Subject) -> Iterator[Ask]:
    """Questions about years that tell by which edition something was built; any can be skipped."""
    lenses = house.book.as_built.values()
    taken = {each.take for lens in lenses for each in lens.years if each.of == subject.of}
    taken |= {lens.declared.less for lens in lenses}
    for word, question in house.book.questions.items():
        if word not in taken or subject.of not in question.of:
            continue
        told = answer_at(house.session, subject.of, word, house.above(subject))
        if told is not None or word in subject.cannot_tell:
            continue
        sense = house.book.asked_when.get(word)
        if sense is None or sense.truth(house.situation(subject)) is not False:
            yield Ask(word, question, ())


def _always_put(of: str, question: Question) -> bool:
    """Questions for the record, and those whose answer holds for all that belongs to a subject."""
    if len(question.of) > 1:
        return of == question.of[-1]
    return question.record


def _waiting(house: House, subject: Subject) -> Mapping[str, tuple[str, ...]]:
    found: dict[str, dict[str, None]] = {}
    _, name = house.key(subject)
    for each in (subject, *_concerned(house, subject)):
        for rule, (where, word) in asked_for(house, each):
            if where == name:
                found.setdefault(word, {}).setdefault(rule)
    return {word: tuple(rules) for word, rules in found.items()}


def _concerned(house: House, subject: Subject) -> list[Subject]:
    """Other subjects whose verdicts can wait for an answer given here."""
    if isinstance(subject, Outlet):
        return [each for each in house.belongs_to(subject) if each is not subject]
    if subject.of in ("circuit", "room"):
        return house.children(subject, "outlet")
    # What is asked of the whole building is waited for by its units.
    return [] if house.is_judged(subject) else list(house.session.units)
