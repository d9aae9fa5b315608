"""Two circuits of a shared neutral: one answer tells of both, and two that differ tell of none."""

from __future__ import annotations

import datetime

import pytest

from walkthrough.judge.interview import open_asks
from walkthrough.judge.judge import Judgement, judge
from walkthrough.judge.under import Judged
from walkthrough.report.as_text import as_text
from walkthrough.rulebook.load import load
from walkthrough.survey.model import Circuit, JudgedBy, Panel, Session, Visit

TIED = "simultaneous_disconnect"


def judged(first: str | None, second: str | None, says_so: str = "1") -> Judgement:
    """Circuits 1 and 3, what is recorded of their handles, and which of them names the other."""
    circuits = [
        Circuit(
            id=name,
            panel="P",
            shares_neutral_with=other if name == says_so else "",
            answers={
                "breaker_amps": 20,
                "shares_neutral": True,
                **({TIED: told} if told else {}),
            },
        )
        for name, other, told in (("1", "3", first), ("3", "1", second))
    ]
    session = Session(
        title="A shared neutral",
        judged_by=JudgedBy(ruleset="nec-2020"),
        visits=[Visit(date=datetime.date(2026, 11, 26))],
        panels=[Panel(id="P")],
        circuits=circuits,
    )
    return judge(session, load("nec-2020"))


def outcomes(found: Judgement) -> dict[str, str]:
    return {
        each.subject: each.decision.outcome
        for each in found.verdicts
        if each.decision.rule.id == "shared-neutral.simultaneous"
    }


def asked_of(found: Judgement) -> list[str]:
    return [
        circuit.id
        for circuit in found.session.circuits
        for ask in open_asks(found.house, circuit)
        if ask.word == TIED
    ]


@pytest.mark.parametrize("says_so", ["1", "3"])
def test_what_is_told_at_one_circuit_holds_for_the_other(says_so: str) -> None:
    assert outcomes(judged("none", None, says_so)) == {"1": "deficient", "3": "deficient"}
    assert outcomes(judged(None, "two_pole", says_so)) == {"1": "met", "3": "met"}
    assert asked_of(judged(None, "two_pole", says_so)) == []


def test_it_is_asked_once_for_both() -> None:
    assert asked_of(judged(None, None)) == ["1"]


def test_two_answers_that_differ_are_told_and_decide_nothing() -> None:
    found = judged("none", "two_pole")
    assert outcomes(found) == {"1": "undecided", "3": "undecided"}
    assert asked_of(found) == ["1"]
    (told,) = found.contradictions
    assert (told.at, told.outlet) == ("1", "3")
    text = " ".join(as_text(Judged(found.session, (found,))).split())
    assert "Recorded: Two-pole breaker; at 1, which shares its neutral: No, each alone" in text


def test_two_answers_that_agree_contradict_nothing() -> None:
    assert judged("handle_tie", "handle_tie").contradictions == []
    assert outcomes(judged("handle_tie", "handle_tie")) == {"1": "met", "3": "met"}
