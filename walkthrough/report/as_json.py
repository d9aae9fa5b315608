"""The stable JSON form of a judgement, for scripts."""

from __future__ import annotations

from typing import Any

from walkthrough.judge.judge import Judgement, Verdict


def as_json(judgement: Judgement) -> dict[str, Any]:
    """Names never change; new ones may be added. Undecided and disputed points stand apart."""
    session, house = judgement.session, judgement.house
    return {
        "session": session.title,
        "ruleset": {"id": judgement.book.id, "fingerprint": judgement.book.fingerprint},
        "judged_before_by": {
            "id": session.judged_by.ruleset,
            "fingerprint": session.judged_by.fingerprint,
        },
        "date": house.day.isoformat() if house.day else None,
        "outlets": [
            {
                "id": outlet.id,
                "room": room.name if (room := session.room(outlet.room)) else outlet.room,
                "circuit": outlet.circuit,
                "at": outlet.at,
                "point": outlet.answer("point"),
                "requires": judgement.requires(outlet),
                "has": judgement.has(outlet),
                "protected_by": {
                    kind: {
                        "by": list(traced.by),
                        "known_by": traced.known_by,
                        "notes": list(traced.notes),
                    }
                    for kind in ("gfci", "afci")
                    for traced in (house.tracer.protection(outlet, kind),)
                },
            }
            for outlet in session.outlets
        ],
        "deficiencies": [
            {
                "subject": finding.subject,
                "of": finding.of,
                "rule": finding.rule,
                "topic": finding.topic,
                "kind": finding.kind,
                "severity": finding.severity,
                "cite": finding.cite,
                "says": finding.says,
                "confidence": finding.confidence,
                "why": judgement.book.rules[finding.rule].declared.why,
                "cure": list(judgement.book.rules[finding.rule].declared.cure),
                "done_by": judgement.book.rules[finding.rule].declared.done_by,
                "trail": _trail(judgement, finding.of, finding.subject, finding.rule),
            }
            for finding in judgement.findings
        ],
        "ask_the_ahj": [
            {
                "subject": verdict.subject,
                "of": verdict.of,
                "rule": verdict.decision.rule.id,
                "topic": verdict.decision.rule.declared.topic,
                "cite": list(verdict.decision.rule.declared.cite),
                "says": judgement.says(verdict),
                "readings": list(verdict.decision.readings),
            }
            for verdict in judgement.disputed
        ],
        "undecided": [
            {
                "subject": verdict.subject,
                "of": verdict.of,
                "rule": verdict.decision.rule.id,
                "waiting_for": [_waited(verdict, each) for each in verdict.waits_for],
            }
            for verdict in judgement.undecided
        ],
        "not_tested": [
            {"subject": each.subject, "reason": each.reason} for each in judgement.not_tested
        ],
        "contradictions": [
            {"at": each.at, "outlet": each.outlet, "says": each.says}
            for each in judgement.contradictions
        ],
    }


def _waited(verdict: Verdict, opened: tuple[str, str]) -> str:
    subject, question = opened
    return question if subject == verdict.subject else f"{subject}: {question}"


def _trail(judgement: Judgement, of: str, subject: str, rule: str) -> list[str]:
    verdict = next(
        each
        for each in judgement.on(judgement.house.subjects[of, subject])
        if each.decision.rule.id == rule
    )
    return ["  " * step.depth + step.text for step in judgement.trail(verdict)]
