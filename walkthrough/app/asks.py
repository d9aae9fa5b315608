"""What is still to be asked: by any ruleset, and again where a circuit says something else."""

from __future__ import annotations

import heapq
from collections.abc import Iterator

from walkthrough.app.fields import Refused
from walkthrough.app.record import Record
from walkthrough.judge.house import House
from walkthrough.judge.interview import Ask, open_asks, years_to_ask
from walkthrough.rulebook.declarations import Question
from walkthrough.survey.answers import check_beside
from walkthrough.survey.model import AnswerValue, Outlet, Subject


def asks_under(record: Record, subject: Subject) -> Iterator[Ask]:
    """What is still to be asked about a subject under any of the record's rulesets, each once.

    What several of them ask goes in one order, not ruleset after ruleset.
    """
    seen: set[str] = set()
    order = {word: number for number, word in enumerate(record.questions)}
    asked = [open_asks(house, subject) for house in record.houses]
    asked += [_asked_again(house, subject) for house in record.houses]
    for ask in heapq.merge(*asked, key=lambda each: order[each.word]):
        if ask.word not in seen:
            seen.add(ask.word)
            yield ask
    dated = record.dated_house
    if dated is not None:
        yield from (ask for ask in years_to_ask(dated, subject) if ask.word not in seen)


def of_its_circuit(house: House, subject: Subject, question: Question) -> AnswerValue | None:
    """The answer that the circuit of an outlet gives to the question named in `offered_by`.

    None where it says nothing, or nothing but what is presumed.
    """
    above = house.book.questions.get(question.offered_by)
    if above is None or not isinstance(subject, Outlet):
        return None
    circuit = house.wiring.circuit_of(subject)
    told: AnswerValue | None = house.recorded(circuit, question.offered_by) if circuit else None
    if told == above.presume or (question.choices and told not in question.choices):
        return None
    return told


def _asked_again(house: House, subject: Subject) -> Iterator[Ask]:
    """Questions whose answer for the dwelling is not what the circuit of an outlet says."""
    if not isinstance(subject, Outlet):
        return
    for word, question in house.book.questions.items():
        offered = of_its_circuit(house, subject, question) if question.offered_by else None
        if offered is None or word in subject.cannot_tell or subject.answer(word) is not None:
            continue
        sense = house.book.asked_when.get(word)
        is_senseless = sense is not None and sense.truth(house.situation(subject)) is False
        if not is_senseless and house.recorded(subject, word) != offered:
            yield Ask(word, question, ())


def refuse_beside(record: Record, subject: Subject, word: str, value: AnswerValue) -> None:
    """Raises Refused for an answer that cannot go with another one that was given here."""
    questions = record.questions
    wrong = check_beside(subject, word, value, questions) if word in questions else ""
    if wrong:
        raise Refused(wrong)
