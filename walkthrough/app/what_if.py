"""What would follow from another device, breaker or ruleset; the record itself is not touched."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from walkthrough.app.editions import rulesets_beside
from walkthrough.app.record import Record
from walkthrough.judge.changes import HouseChange, changes_in
from walkthrough.judge.judge import judge
from walkthrough.judge.recheck import forget_tests
from walkthrough.judge.traced import device_tables
from walkthrough.rulebook.load import load
from walkthrough.survey.model import Outlet, Session, Subject
from walkthrough.trade.protection import TEST_OF

GOOD = "good"
_TESTED = "its TEST good, no other reading yet"
_UNTESTED = "with no reading yet"


@dataclass(frozen=True)
class Instead:
    """One thing to try: a ruleset, or another answer to a question of the subject in hand."""

    word: str
    value: str
    label: str


def ways(record: Record, subject: Subject) -> list[Instead]:
    """What can be tried at a subject."""
    found: list[Instead] = []
    word = _word(subject)
    question = record.book.questions.get(word)
    if question is not None:
        protects = _protects(record, subject)
        found = [
            Instead(word, choice, f"{label}, {_TESTED if protects.get(choice) else _UNTESTED}")
            for choice, label in question.choices.items()
        ]
    own = {book.id for book in record.books}
    others = rulesets_beside(record.book.id).items()
    found += [Instead("", id, f"Judged by {id}: {title}") for id, title in others if id not in own]
    return found


def outcome(record: Record, subject: Subject, instead: Instead) -> list[HouseChange]:
    """What comes out differently, for another ruleset at this subject only; raises Unusable."""
    now = record.judgement
    if not instead.word:
        key = record.key(subject)
        other = judge(record.session, load(instead.value))
        # An outlet and a circuit may share an id.
        return [each for each in changes_in(now, other) if (each.verdict.of, each.subject) == key]
    return list(changes_in(now, judge(_with(record, subject, instead), record.book)))


def _word(subject: Subject) -> str:
    return {"outlet": "device", "circuit": "breaker"}.get(subject.of, "")


def _protects(record: Record, subject: Subject) -> Mapping[str, Collection[str]]:
    """What each device, or each breaker, protects from."""
    tables = device_tables(record.book)
    return tables.device if isinstance(subject, Outlet) else tables.breaker


def _with(record: Record, subject: Subject, instead: Instead) -> Session:
    copy = record.session.model_copy(deep=True)
    changed = copy.meant(*record.key(subject))
    assert changed is not None
    changed.answers[instead.word] = instead.value
    changed.carried = [word for word in changed.carried if word != instead.word]
    forget_tests(copy, changed)
    credit = device_tables(record.book).credit
    reading = next((each for each, means in credit.items() if means == GOOD), None)
    # Only what protects has a TEST.
    if reading is not None and _protects(record, subject).get(instead.value):
        _, test = TEST_OF[subject.of]
        changed.readings[test] = reading
    return copy
