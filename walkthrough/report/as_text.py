"""Judgements of one record as plain text for a terminal or a printer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator, Sequence

from walkthrough.judge.as_built import AsBuilt
from walkthrough.judge.judge import KINDS, SEVERITIES, Judgement
from walkthrough.judge.since import since_judged
from walkthrough.judge.under import Judged, Told
from walkthrough.report import recheck
from walkthrough.report.as_json import copied_data
from walkthrough.report.cautions import CAUTIONS, NOT_A_CERTIFICATE
from walkthrough.report.demanded_text import demanded, every_outlet
from walkthrough.report.groups import minded
from walkthrough.report.text import clean, counted, heading, wrapped
from walkthrough.report.verdicts_json import due_data
from walkthrough.report.words import COPIED, SEVERITY, differ, due_words, mark, place, since_told
from walkthrough.survey.photos import Photo


def as_text(judged: Judged, photos: Sequence[Photo] = ()) -> str:
    """All judgements of a record; wrapped for 96 columns, control characters made harmless.

    `photos` are its pictures, compared with their files.
    """
    return "\n".join(clean(line) for line in _lines(judged, photos)) + "\n"


def _lines(judged: Judged, photos: Sequence[Photo]) -> Iterator[str]:
    yield judged.session.title
    for each in judged.all:
        yield from wrapped(f"Judged by: {each.book.title} ({each.under}){_preview(each)}")
    if not judged.chosen:
        own = judged.session.judged_by.ruleset
        yield from wrapped(f"Only as built: what the record is judged by, {own}, is left out here.")
    for day in dict.fromkeys(each.house.day for each in judged.chosen):
        yield f"Day judged: {day.isoformat() if day else 'not recorded'}"
    for book in {each.book.id: each.book for each in judged.all}.values():
        yield from wrapped(f"Fingerprint of the rules {book.id}: {book.fingerprint}")
    yield from _changed(judged)
    yield ""
    yield from wrapped(NOT_A_CERTIFICATE)
    for caution in CAUTIONS:
        yield from wrapped(caution, "! ")
    for notice in dict.fromkeys(each for one in judged.all for each in one.book.notices):
        yield from wrapped(notice, "* ")
    yield from heading("In short")
    yield from _counts(judged)
    yield from _since(judged)
    yield from _rechecked(judged)
    yield from _findings(judged)
    yield from _asked(judged)
    yield from _limits(judged)
    yield from _notes(judged)
    yield from _photos(photos)
    yield from every_outlet(judged)


def _notes(judged: Judged) -> Iterator[str]:
    session = judged.session
    noted = [each for each in session.subjects() if each.note]
    if noted:
        yield from heading("Notes")
    for each in noted:
        yield from wrapped(each.note, f"{session.reference(each)}: ")


def _photos(photos: Sequence[Photo]) -> Iterator[str]:
    if photos:
        yield from heading("Photos")
    names: dict[str, list[str]] = {}
    for each in photos:
        names.setdefault(each.subject, []).append(each.name)
    for subject, here in names.items():
        yield from wrapped(", ".join(here), f"{subject}: ")
    for told in dict.fromkeys(each.told for each in photos if each.told):
        yield from wrapped(f"notice: {told}", "- ")


def _preview(judgement: Judgement) -> str:
    rules = judgement.book.rules.values()
    preview = any(rule.declared.status == "preview" for rule in rules)
    return " - PREVIEW: parts of this edition are not confirmed" if preview else ""


def _changed(judged: Judged) -> Iterator[str]:
    for each in since_judged(judged):
        if judged.chosen and each.by_other_rules:
            yield from wrapped(
                f"The record was last judged by other rules: {each.ruleset}, {each.before}"
            )


def _since(judged: Judged) -> Iterator[str]:
    for each in since_judged(judged):
        if not each.differs:
            continue
        yield from heading(f"Otherwise than when last judged by {each.ruleset}")
        yield from wrapped(since_told(each.by_other_rules))
        for told, found in (("Found now", each.came), ("No longer found", each.went)):
            if found:
                yield f"{told}: {len(found)}"
            for one in found:
                yield from wrapped(f"{one.subject}: {one.says} ({', '.join(one.cite)})", "  - ")
        if each.regraded:
            yield f"Graded otherwise: {len(each.regraded)}"
        for was, now in each.regraded:
            grades = f"{was.kind}, {was.severity} -> {now.kind}, {now.severity}"
            yield from wrapped(f"{now.subject}: {now.says} ({grades})", "  - ")


def _counts(judged: Judged) -> Iterator[str]:
    kinds = Counter(finding.kind for finding in judged.once)
    told = ", ".join(f"{kinds[kind]} {kind}{'s' if kinds[kind] != 1 else ''}" for kind in KINDS)
    yield f"{counted(len(judged.once), 'finding')}: {told}"
    if len(judged.findings) > len(judged.once):
        yield from wrapped(differ(len(judged.findings)), "- ")
    for each in judged.all:
        if len(judged.all) > 1:
            yield from wrapped(f"{len(each.findings)} of them under {each.under}", "- ")
        yield from demanded(each, "  " if len(judged.all) > 1 else "")
    yield f"Not tested or not reached: {len(judged.not_tested)}"
    if judged.as_built:
        yield from _years(judged.as_built)


def _years(as_built: AsBuilt) -> Iterator[str]:
    waiting: dict[str, list[str]] = {}
    for (_, name), (where, question) in as_built.year_open:
        asked = as_built.there.asked(question)
        waiting.setdefault(f"{where}: {asked}", []).append(name)
    for question, names in waiting.items():
        yield from wrapped(f"Year not known ({question}), not judged: {', '.join(names)}")
    if as_built.before:
        names = [f"{name} ({year})" for (_, name), year in as_built.before]
        yield from wrapped(f"Older than the oldest rules told here: {', '.join(names)}")


def _rechecked(judged: Judged) -> Iterator[str]:
    parts = list(recheck.told(judged))
    if parts:
        yield from heading(f"Re-inspection of {judged.session.reinspects or 'an earlier visit'}")
    for outcome, lines in parts:
        yield f"{outcome.capitalize()}: {len(lines)}"
        for line in lines:
            yield from wrapped(line, "  - ")


def _findings(judged: Judged) -> Iterator[str]:
    for severity in SEVERITIES:
        found = [each for each in judged.findings if each.finding.severity == severity]
        if not found:
            continue
        yield from heading(SEVERITY[severity])
        groups: dict[Hashable, list[Told]] = {}
        for told in found:
            groups.setdefault(_in_common(told), []).append(told)
        for group in groups.values():
            yield from _rule(judged, group)


def _in_common(told: Told) -> Hashable:
    """What is told once for all places: another ruleset may be less sure, or ask for more."""
    declared = told.judged[0].book.rules[told.finding.rule].declared
    return (
        (told.finding.rule, declared.cite, declared.confidence, declared.grade, declared.why),
        (declared.duty, declared.code, told.judged[0].remedy(told.verdict), declared.done_by),
    )


def _rule(judged: Judged, group: list[Told]) -> Iterator[str]:
    judgement = group[0].judged[0]
    declared = judgement.book.rules[group[0].finding.rule].declared
    verify_in = judgement.book.verify_in
    for says in dict.fromkeys(each.finding.says for each in group):
        yield from wrapped(says)
        for told in (each for each in group if each.finding.says == says):
            # Under which it stands is worth a word only where there are several.
            under = f" - under {'; '.join(told.under)}" if len(judged.all) > 1 else ""
            also = _counted_with(judged, told)
            where = f"{place(told.judged[0], told.finding)}{under}{also}"
            yield from wrapped(f"{told.finding.kind}: {where}", "  - ")
    yield from wrapped(
        f"section {', '.join(declared.cite)}{mark(declared.confidence, verify_in)}", "  "
    )
    if declared.grade:
        sure = mark(declared.grade.confidence, verify_in)
        yield from wrapped(f"graded there as: {declared.grade.word}{sure}", "  ")
    for due in dict.fromkeys(
        due
        for each in group
        for due in each.judged[0].deadlines(each.judged[0].verdict(each.finding))
    ):
        yield from wrapped(
            f"to be corrected {due_words(due_data(due, judged.notice))}: "
            f"{due.programme}{mark(due.confidence, verify_in)}",
            "  ",
        )
    yield from wrapped(declared.why, "  why: ")
    if declared.duty:
        yield from wrapped(declared.duty, "  report: ")
    if declared.code:
        yield from wrapped(f"for comparison, in the code: {', '.join(declared.code)}", "  ")
    if remedy := judgement.remedy(group[0].verdict):
        yield from wrapped(f"{remedy}; by: {declared.done_by}", "  cure: ")
    for at, caveat in minded(
        {each.finding.subject: each.judged[0].caveats(each.verdict) for each in group}
    ):
        yield from wrapped(f"but {at}: {caveat}", "  ")
    yield ""


def _counted_with(judged: Judged, told: Told) -> str:
    """The finding that it counts with, and under which ruleset that stands if there are several."""
    counts = judged.counts_with(told)
    if counts is told:
        return ""
    under = f" under {'; '.join(counts.under)}" if len(judged.all) > 1 else ""
    return f" - counted with {counts.finding.rule}{under}"


def _asked(judged: Judged) -> Iterator[str]:
    disputed: dict[tuple[str, ...], list[str]] = {}
    for judgement in judged.all:
        for verdict in judgement.disputed:
            sections = ", ".join(verdict.decision.rule.declared.cite)
            says = f"{verdict.subject}: {judgement.says(verdict)} ({sections})"
            disputed.setdefault((says, *verdict.decision.readings), []).append(judgement.under)
    if disputed:
        yield from heading("Ask the authority having jurisdiction")
    for (says, *readings), under in disputed.items():
        yield from wrapped(says + (f" - under {'; '.join(under)}" if len(judged.all) > 1 else ""))
        for reading in readings:
            yield from wrapped(reading, "  one reading: ")
    contradictions = judged.all[0].contradictions if judged.all else []
    if contradictions:
        yield from heading("Tests and record contradict each other")
        for each in contradictions:
            yield from wrapped(f"{each.outlet}: {each.says}")


def _limits(judged: Judged) -> Iterator[str]:
    yield from heading("Limits: not tested or not reached")
    for each in judged.not_tested:
        yield from wrapped(f"{each.subject}: {each.reason}", "- ")
    samples = [each for each in judged.samples if each.tested < each.of]
    if samples:
        told = ", ".join(f"{each.room} {each.tested} of {each.of}" for each in samples)
        yield from wrapped(f"Receptacles tested, where not all were: {told}", "- ")
    copied = ", ".join(f"{e['subject']} ({e['answers']})" for e in copied_data(judged.session))
    if copied:
        yield from wrapped(f"{COPIED}: {copied}", "- ")
    waiting: dict[str, dict[str, None]] = {}
    for judgement in judged.all:
        for verdict in judgement.undecided:
            for subject, question in verdict.asks:
                waiting.setdefault(subject, {}).setdefault(judgement.asked(question))
    if waiting:
        yield from heading("Still open")
    for subject, questions in waiting.items():
        yield from wrapped("; ".join(questions), f"{subject}: ")
