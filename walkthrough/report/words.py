"""Words that the reports share: how grave, where, how sure, and what was seen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
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
        f"{told} are told: what one rule finds at one place counts once, and is told once for each "
        "way in which rulesets word, cite or grade it"
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
    asked = judgement.book.asked_when.get(reading)
    return asked is None or asked.truth(judgement.house.situation(subject)) is not False


CURES = {
    "afci": "give it arc-fault (AFCI) protection",
    "blank": "close it or take it away, so that nothing can be plugged in or touched",
    "box": "give the wires a box that is large enough",
    "breaker": "put in the breaker that belongs there",
    "cover": "put on the cover that belongs there",
    "directory": "write the panel directory anew",
    "gfci": "give it ground-fault (GFCI) protection",
    "label": "put on the mark that belongs there",
    "plate": "put on a plate that belongs there",
    "rating": "put in a device of the rating that belongs there",
    "reach": "see to it that it can be reached",
    "remove-cord": "take out the cord; if power is needed there, have it wired",
    "replace": "replace the device",
    "rewire": "correct the wiring",
    "splice": "splice the wires as the rule asks",
    "tie": "have the breakers switched off together",
    "tr": "put in a tamper-resistant receptacle (TR)",
    "wr": "put in a weather-resistant receptacle (WR)",
}
"""What the cures of the rules mean in plain words."""


def cured(words: Iterable[str]) -> str:
    """What has to be done, in plain words; a cure of a ruleset of one's own as it is written."""
    return "; ".join(CURES.get(word, word) for word in words)
