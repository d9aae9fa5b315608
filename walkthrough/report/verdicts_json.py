"""Single verdicts as plain data: a finding, a dispute, an open question, a kept deficiency."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

from walkthrough.judge.judge import Judgement, Verdict
from walkthrough.judge.since import Since
from walkthrough.judge.urgency import urgency
from walkthrough.report.words import place, seen
from walkthrough.rulebook.declarations import Deadline
from walkthrough.survey.model import Finding


def finding_data(
    judgement: Judgement,
    verdict: Verdict,
    under: list[str],
    notice: datetime.date | None = None,
) -> dict[str, Any]:
    """A finding with all that is told of it; `notice` is the day from which its times count."""
    finding = judgement.finding(verdict)
    declared = verdict.decision.rule.declared
    danger = urgency(judgement.house, verdict)
    return {
        "subject": finding.subject,
        "of": finding.of,
        "place": place(judgement, finding),
        "rule": finding.rule,
        "topic": finding.topic,
        "kind": finding.kind,
        "severity": finding.severity,
        "cite": finding.cite,
        "says": finding.says,
        "confidence": finding.confidence,
        "verify_in": judgement.book.verify_in,
        "under": under,
        "status": declared.status,
        "why": declared.why,
        "cure": list(declared.cure),
        "remedy": judgement.remedy(verdict),
        "caveats": judgement.caveats(verdict),
        "danger": {
            "word": danger.word,
            "says": danger.says,
            "rank": danger.rank if danger.word else None,
            "first": danger.first_says,
            "tested": danger.tested,
        },
        "done_by": declared.done_by,
        "grade": {"word": declared.grade.word, "confidence": declared.grade.confidence}
        if declared.grade
        else None,
        "correct_within": [due_data(due, notice) for due in judgement.deadlines(verdict)],
        "duty": declared.duty,
        "code": list(declared.code),
        "seen": seen(judgement, verdict),
        "trail": ["  " * step.depth + step.text for step in judgement.trail(verdict)],
    }


def due_data(due: Deadline, notice: datetime.date | None) -> dict[str, Any]:
    """A time for the correction; `by` is its last day where the day of the notice is known."""
    return {
        "programme": due.programme,
        "within": due.told,
        "hours": due.length_hours,
        "by": None if notice is None else due.ends(notice).isoformat(),
        "confidence": due.confidence,
    }


def disputed_data(judgement: Judgement) -> Iterator[dict[str, Any]]:
    """What only the authority having jurisdiction can settle, with both readings."""
    for verdict in judgement.disputed:
        declared = verdict.decision.rule.declared
        yield {
            "subject": verdict.subject,
            "of": verdict.of,
            "rule": verdict.decision.rule.id,
            "topic": declared.topic,
            "cite": list(declared.cite),
            "says": judgement.says(verdict),
            "readings": list(verdict.decision.readings),
            "under": [judgement.under],
        }


def undecided_data(judgement: Judgement) -> Iterator[dict[str, Any]]:
    """What is open, with the questions that would decide it."""
    for verdict in judgement.undecided:
        yield {
            "subject": verdict.subject,
            "of": verdict.of,
            "rule": verdict.decision.rule.id,
            "waiting_for": [_waited(verdict, each) for each in verdict.waits_for],
            "questions": questions_data(judgement, verdict),
            "under": [judgement.under],
        }


def questions_data(judgement: Judgement, verdict: Verdict) -> list[dict[str, str]]:
    """The questions that would decide a verdict, as they are asked, and where."""
    return [
        {"subject": subject, "question": question, "ask": judgement.asked(question)}
        for subject, question in verdict.waits_for
    ]


def since_data(since: Since) -> dict[str, Any]:
    """A ruleset that the record was judged by, and what comes out otherwise now."""
    return {
        "id": since.ruleset,
        "fingerprint": since.before,
        "now": since.now or None,
        "other_rules": since.by_other_rules,
        "came": [_kept(each) for each in since.came],
        "went": [_kept(each) for each in since.went],
        "regraded": [
            {**_kept(now), "was": {"kind": was.kind, "severity": was.severity}}
            for was, now in since.regraded
        ],
    }


def _kept(finding: Finding) -> dict[str, Any]:
    names = ("subject", "of", "rule", "kind", "severity", "cite", "says")
    return finding.model_dump(mode="json", include=set(names))


def _waited(verdict: Verdict, opened: tuple[str, str]) -> str:
    subject, question = opened
    return question if subject == verdict.subject else f"{subject}: {question}"
