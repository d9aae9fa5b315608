"""A judgement as plain text for a terminal or a printer."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterator

from walkthrough.judge.judge import KINDS, SEVERITIES, Judgement
from walkthrough.report.cautions import CAUTIONS, MARKS, NOT_A_CERTIFICATE
from walkthrough.report.text import clean
from walkthrough.survey.model import Finding, Outlet

WIDTH = 96
_SEVERITY = {
    "hazard": "HAZARD - shock or fire danger now",
    "serious": "SERIOUS - a defect",
    "upgrade": "UPGRADE - less than the chosen edition asks",
    "info": "INFORMATION",
}


def as_text(judgement: Judgement) -> str:
    """The whole judgement; wrapped for 96 columns, control characters made harmless."""
    return "\n".join(clean(line) for line in _lines(judgement)) + "\n"


def _lines(judgement: Judgement) -> Iterator[str]:
    session, book, house = judgement.session, judgement.book, judgement.house
    yield session.title
    yield f"Judged by: {book.title} ({book.id})"
    yield f"Day judged: {house.day.isoformat() if house.day else 'not recorded'}"
    yield from _wrapped(f"Fingerprint of the rules: {book.fingerprint}")
    before = session.judged_by
    if before.fingerprint and (before.ruleset, before.fingerprint) != (book.id, book.fingerprint):
        yield from _wrapped(
            f"The record was last judged by other rules: {before.ruleset}, {before.fingerprint}"
        )
    yield ""
    yield from _wrapped(NOT_A_CERTIFICATE)
    for caution in CAUTIONS:
        yield from _wrapped(caution, "! ")
    yield from _counts(judgement)
    yield from _findings(judgement)
    yield from _asked(judgement)
    yield from _limits(judgement)
    yield from _protection(judgement)


def _counts(judgement: Judgement) -> Iterator[str]:
    yield from _heading("In short")
    kinds = Counter(finding.kind for finding in judgement.findings)
    told = ", ".join(f"{kinds[kind]} {kind}{'s' if kinds[kind] != 1 else ''}" for kind in KINDS)
    yield f"{len(judgement.findings)} findings: {told}"
    outlets = judgement.session.outlets
    for demand in judgement.book.demands.values():
        needing = [each for each in outlets if judgement.requires(each)[demand.topic]]
        found = Counter(judgement.has(each)[demand.topic] for each in needing)
        title = judgement.book.topics[demand.topic]
        open_here = {
            each.subject
            for each in judgement.undecided
            if each.decision.rule.declared.topic == demand.topic
        } - {each.id for each in needing}
        also = f"; open whether it is asked at {len(open_here)} more" if open_here else ""
        yield from _wrapped(
            f"{title}: asked at {len(needing)} outlets; there at {found['yes']}, "
            f"missing at {found['no']}, not known at {found['unknown']}{also}"
        )
    yield f"Not tested or not reached: {len(judgement.not_tested)}"


def _findings(judgement: Judgement) -> Iterator[str]:
    for severity in SEVERITIES:
        found = [each for each in judgement.findings if each.severity == severity]
        if not found:
            continue
        yield from _heading(_SEVERITY[severity])
        for rule in dict.fromkeys(each.rule for each in found):
            yield from _rule(judgement, [each for each in found if each.rule == rule])


def _rule(judgement: Judgement, findings: list[Finding]) -> Iterator[str]:
    declared = judgement.book.rules[findings[0].rule].declared
    for says in dict.fromkeys(each.says for each in findings):
        yield from _wrapped(says)
        for each in (finding for finding in findings if finding.says == says):
            yield from _wrapped(f"{each.kind}: {_place(judgement, each)}", "  - ")
    yield from _wrapped(f"section {', '.join(declared.cite)}{_mark(declared.confidence)}", "  ")
    yield from _wrapped(declared.why, "  why: ")
    if declared.cure:
        yield from _wrapped(f"{', '.join(declared.cure)}; by: {declared.done_by}", "  cure: ")
    yield ""


def _place(judgement: Judgement, finding: Finding) -> str:
    subject = judgement.house.subjects[finding.of, finding.subject]
    if isinstance(subject, Outlet):
        room = judgement.session.room(subject.room)
        return (
            f"{subject.id}, {room.name if room else subject.room}, {subject.at} ({subject.circuit})"
        )
    if finding.of == "circuit":
        return f"circuit {finding.subject}, {getattr(subject, 'serves', '')}"
    return f"{finding.of} {finding.subject}"


def _asked(judgement: Judgement) -> Iterator[str]:
    if judgement.disputed:
        yield from _heading("Ask the authority having jurisdiction")
    for verdict in judgement.disputed:
        sections = ", ".join(verdict.decision.rule.declared.cite)
        yield from _wrapped(f"{verdict.subject}: {judgement.says(verdict)} ({sections})")
        for reading in verdict.decision.readings:
            yield from _wrapped(reading, "  one reading: ")
    if judgement.contradictions:
        yield from _heading("Tests and record contradict each other")
        for each in judgement.contradictions:
            yield from _wrapped(f"{each.outlet}: {each.says}")


def _limits(judgement: Judgement) -> Iterator[str]:
    yield from _heading("Limits: not tested or not reached")
    for each in judgement.not_tested:
        yield from _wrapped(f"{each.subject}: {each.reason}", "- ")
    if judgement.undecided:
        yield from _heading("Still open")
        waiting: dict[str, dict[str, None]] = {}
        for verdict in judgement.undecided:
            for subject, question in verdict.waits_for:
                waiting.setdefault(subject, {}).setdefault(question.replace("_", " "))
        for subject, questions in waiting.items():
            yield from _wrapped(", ".join(questions), f"{subject}: ")


def _protection(judgement: Judgement) -> Iterator[str]:
    yield from _heading("Every outlet: what the edition asks, and what is there")
    topics = [demand.topic for demand in judgement.book.demands.values()]
    for outlet in judgement.session.outlets:
        requires, has = judgement.requires(outlet), judgement.has(outlet)
        told = [
            f"{topic}: {has[topic]}"
            + (f" (asked by {', '.join(requires[topic])})" if requires[topic] else "")
            for topic in topics
            if requires[topic] or has[topic] == "yes"
        ]
        yield from _wrapped("; ".join(told) or "nothing asked, nothing there", f"{outlet.id}: ")


def _heading(text: str) -> Iterator[str]:
    yield from ("", text, "-" * len(text))


def _mark(confidence: str) -> str:
    return f" [{MARKS[confidence]}]" if MARKS[confidence] else ""


def _wrapped(text: str, first: str = "") -> Iterator[str]:
    yield from textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=" " * len(first)
    ) or [first]
