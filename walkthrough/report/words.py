"""Words that the reports share: how grave, where, how sure, and what was seen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from walkthrough.judge.judge import Judgement, Verdict
from walkthrough.report.cautions import how_sure
from walkthrough.report.text import joined
from walkthrough.rulebook.explain import deciding_words, failing_words, spoken
from walkthrough.survey.model import Circuit, Finding, Outlet, Subject, Unit
from walkthrough.trade.protection import TEST_OF

READERS = {
    "client": "for the client",
    "landlord": "for the landlord",
    "electrician": "for the electrician",
}
SEVERITY = {
    "hazard": "HAZARD - shock or fire danger now",
    "serious": "SERIOUS - may become a danger",
    "upgrade": "UPGRADE - less than is asked",
    "info": "INFORMATION",
}
COPIED = "Entered like another outlet, with so many answers copied that nobody looked at there"

NOT_CONFIRMED = (
    "Where a section was not confirmed in the code book, that stands behind it: look it up before "
    "you rely on it. It says nothing of what was seen or tested."
)
A_TEST = (
    "A test tells of what it tests and of nothing else: something was found also where the tester "
    "shows correct wiring."
)


def mark(confidence: str, verify_in: str) -> str:
    """The confidence mark in brackets, with a space before it; "" for what is confirmed."""
    told = how_sure(confidence, verify_in)
    return f" [{told}]" if told else ""


def since_told(by_other_rules: bool) -> str:
    """Why a record may come out otherwise than it says itself."""
    if by_other_rules:
        return (
            "The rules have changed since. Set beside the deficiencies that the record keeps, "
            "its answers come out as follows today."
        )
    return (
        "The rules are the same, but what is recorded comes out otherwise than the deficiencies "
        "that the record keeps: it was changed since, or judged by another version of the program."
    )


def due_words(due: Mapping[str, Any]) -> str:
    """A time for the correction, as JSON has it: its last day, or from when it counts."""
    counted = f"{due['within']} from the day of notice"
    return f"by {due['by']} ({counted})" if due["by"] else f"within {counted}"


def differ(told: int) -> str:
    """Why more is told than was counted."""
    return (
        f"{told} are told: what needs the same at one place counts once, at its gravest, however "
        "many rules and rulesets ask for it there"
    )


def place(judgement: Judgement, finding: Finding) -> str:
    """Where a finding is, as one would say it on the way there."""
    return standing(judgement, finding.of, finding.subject)


def standing(judgement: Judgement, of: str, name: str) -> str:
    """Where something is, as one would say it on the way there."""
    subject = judgement.house.subjects[of, name]
    if isinstance(subject, Outlet):
        room = judgement.session.room(subject.room)
        parts = (name, room.name if room else subject.room)
        home = judgement.session.home(subject)
        return f"{joined((*parts, home, subject.at))} ({subject.circuit})"
    if isinstance(subject, Circuit):
        return joined((f"circuit {name}", subject.serves))
    if isinstance(subject, Unit):
        return judgement.session.home(subject)
    return f"{of} {name}"


def seen(judgement: Judgement, verdict: Verdict) -> list[dict[str, Any]]:
    """What was read or recorded at the subject itself: every reading, and the answers that decided.

    `tested` says that an instrument or a button showed it, `decided` that it is this that is not
    as the rule asks, or that made a defect of it.
    """
    subject = judgement.house.subjects[verdict.of, verdict.subject]
    facts = judgement.house.situation(subject)
    deciding = deciding_words(verdict.decision, facts)
    failing = {
        word
        for word in failing_words(verdict.decision, facts)
        if word in subject.answers or word in subject.readings
    }
    if not failing and verdict.decision.kind == "defect":
        # What is not as asked was worked out: what made it binding is told then.
        failing = {*deciding}
    words = [
        *(word for word in subject.readings if _can_be_read(judgement, subject, word)),
        *(word for word in deciding if word in subject.answers and word not in subject.readings),
    ]
    return [
        {
            "question": word,
            "ask": judgement.asked(word),
            "answer": spoken(word, subject.answer(word), judgement.book),
            "tested": word in subject.readings,
            "decided": word in failing,
        }
        for word in words
    ]


def _can_be_read(judgement: Judgement, subject: Subject, reading: str) -> bool:
    """Whether a reading can be one of what is recorded there now, not of what was there before."""
    device, test = TEST_OF.get(subject.of, ("", ""))
    if reading == test:
        tables = judgement.house.tracer.tables
        gives = tables.device if subject.of == Outlet.of else tables.breaker
        what = subject.answer(device)
        return what is None or bool(gives.get(str(what)))
    return judgement.house.counts(subject, reading)
