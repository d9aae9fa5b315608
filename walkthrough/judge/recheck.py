"""What a re-inspection has to look at, and what it finds: corrected, still there, or new."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator

from walkthrough.judge import units
from walkthrough.judge.house import House, SubjectKey
from walkthrough.judge.judge import SEVERITIES, Verdict
from walkthrough.rulebook.conditions import leaves
from walkthrough.rulebook.explain import deciding_words
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Circuit, Finding, Outlet, Recheck, Session, Subject
from walkthrough.trade.protection import TEST_OF

_PROTECTION = ("_protected", "_protector_accessible")
_FIRST_IN_LINE = ("_at_origin", "_at_first_receptacle")


def to_check(house: House, findings: Iterable[Finding], on: datetime.date) -> list[Recheck]:
    """An entry for each deficiency that is still open, the gravest first.

    All of one subject stand together, at its gravest; those that are alike grave go room by room,
    in the order in which one walks. A note demands nothing, so there is nothing to check.
    """
    open_now = [each for each in findings if each.state == "open" and each.kind != "note"]
    gravest: dict[SubjectKey, int] = {}
    for each in open_now:
        key = each.of, each.subject
        gravest[key] = min(_rank(each), gravest.get(key, len(SEVERITIES)))
    places = _walked(house)

    def order(each: Finding) -> tuple[int, int, int]:
        key = each.of, each.subject
        return gravest[key], places.get(key, len(places)), _rank(each)

    return [
        Recheck(
            on=on,
            of=each.of,
            subject=each.subject,
            rule=each.rule,
            severity=each.severity,
            says=each.says,
            cite=list(each.cite),
            under=list(each.under),
        )
        for each in sorted(open_now, key=order)
    ]


def _rank(finding: Finding) -> int:
    # A record that was edited by hand may hold another word.
    known = finding.severity in SEVERITIES
    return SEVERITIES.index(finding.severity) if known else len(SEVERITIES)


def _walked(house: House) -> dict[SubjectKey, int]:
    """The place of each subject in the walk: outlets come with their room."""
    session = house.session
    rooms = {id(each): number for number, each in enumerate(session.rooms, 1)}

    def room_of(subject: Subject) -> int:
        room = session.room(subject.room) if isinstance(subject, Outlet) else subject
        return rooms.get(id(room), 0)

    walked = sorted(house.subjects.items(), key=lambda item: room_of(item[1]))
    return {key: place for place, (key, _) in enumerate(walked)}


def forget_tests(session: Session, subject: Subject) -> None:
    """Drop what an instrument showed of something that is another one now.

    What the old one did on its TEST, and what died or lived by it, says nothing of the new one.
    """
    subject.readings.clear()
    at = session.reference(subject)
    session.trips = [trip for trip in session.trips if trip.at != at]


def forget_its_test(
    session: Session, books: Iterable[Rulebook], subject: Subject, word: str
) -> None:
    """Drop what the TEST of a device or breaker showed where `word` says that it is another one.

    What is asked only because of that TEST goes with it, and so does what died or lived by it.
    """
    device, test = TEST_OF.get(subject.of, ("", ""))
    if word != device or test not in subject.readings:
        return
    asked = (item for book in books for item in book.asked_when.items())
    for each in {test, *(question for question, when in asked if test in leaves(when.node))}:
        subject.readings.pop(each, None)
        subject.answers.pop(each, None)
    at = session.reference(subject)
    session.trips = [
        trip for trip in session.trips if (trip.at, trip.action) != (at, "test button")
    ]


def latest(session: Session) -> list[Recheck]:
    """What was to be checked on the last day of checking."""
    last = max((each.on for each in session.rechecks), default=None)
    return [each for each in session.rechecks if each.on == last]


def new_since(session: Session, findings: Iterable[Finding]) -> list[Finding]:
    """What stands now and was not found before the last re-inspection; [] without one."""
    if not session.rechecks:
        return []
    before = {(each.of, each.subject, each.rule) for each in latest(session)}
    waived = {
        (each.of, each.subject, each.rule) for each in session.findings if each.state != "open"
    }
    return [
        each
        for each in findings
        if each.kind != "note" and (each.of, each.subject, each.rule) not in before | waived
    ]


def behind(house: House, verdict: Verdict) -> list[tuple[Subject, str]]:
    """The questions whose answers decided a verdict, each with the subject that answers it.

    What a correction changes is among them.
    """
    subject = house.subjects[verdict.of, verdict.subject]
    found: dict[tuple[SubjectKey, str], Subject] = {}
    for word in deciding_words(verdict.decision, house.situation(subject)):
        for each, question in told_by(house, subject, word):
            found.setdefault((house.key(each), question), each)
    return [(each, question) for (_, question), each in found.items()]


def _at_breaker(circuit: Circuit) -> Iterator[tuple[Subject, str]]:
    yield from ((circuit, "breaker"), (circuit, "breaker_test_result"))


def told_by(house: House, subject: Subject, word: str) -> Iterator[tuple[Subject, str]]:
    """The questions behind a word that rules use, each with the subject that answers it."""
    question = house.book.questions.get(word)
    if question is not None:
        above = house.above(subject)
        scopes = [of for of in question.of if of in above]
        holders = (each for of in scopes for each in units.holders(house.session, of, above))
        told = next((each for each in holders if each.answer(word) is not None), None)
        yield told or units.asked_at(house.session, scopes[0], word, above), word
    elif isinstance(subject, Outlet) and word.endswith(_PROTECTION):
        # Protection is told at the outlet itself, at what feeds it, and at the breaker.
        for each in (subject, *(step.outlet for step in house.wiring.upstream(subject))):
            yield from ((each, "device"), (each, "test_result"))
        circuit = house.wiring.circuit_of(subject)
        if circuit is not None:
            yield from _at_breaker(circuit)
    elif isinstance(subject, Circuit) and word.endswith(_FIRST_IN_LINE):
        yield from _at_breaker(subject)
        points = {house.key(each)[1] for each in house.wiring.on(subject)}
        for each in house.wiring.first_receptacles(subject, points) or ():
            yield from ((each, "device"), (each, "test_result"))
    elif word in house.book.gathers:
        gather, condition = house.book.gathers[word]
        # Of many that are counted, those matter that made the count come out as it did.
        truth = house.situation(subject).known(word)
        below = house.children(subject, gather.over) if gather.of == subject.of else []
        for child in below:
            if condition.truth(house.situation(child)) is not truth:
                continue
            for leaf in leaves(condition.node):
                if leaf in house.book.questions and child.answer(leaf) is not None:
                    yield child, leaf
