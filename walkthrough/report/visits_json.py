"""Two records of one dwelling side by side as plain data: the machine format of `compare`."""

from __future__ import annotations

import datetime
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from walkthrough.judge.alike import Change, moved
from walkthrough.judge.house import SubjectKey
from walkthrough.judge.judge import KINDS, SEVERITIES, Judgement, Verdict
from walkthrough.judge.since import since_judged
from walkthrough.judge.under import Judged
from walkthrough.judge.urgency import LAST
from walkthrough.judge.visits import BECAME, STANDS, Compared, Visits
from walkthrough.judge.work_done import work_done
from walkthrough.report.as_json import copied_data, not_tested_data, ruleset_data, visits_data
from walkthrough.report.cautions import CAUTIONS, NOT_A_CERTIFICATE
from walkthrough.report.verdicts_json import (
    finding_data,
    questions_data,
    since_data,
    undecided_data,
)
from walkthrough.report.words import standing
from walkthrough.rulebook.explain import spoken

COMPARES_RECORDS = (
    "This compares two records, judged by the same rules. It tells what is recorded, not what was "
    "done: corrected means that the rule finds it no longer by the answers of the new record. What "
    "was not looked at again is no better for it."
)
COUNTS_EACH = (
    "Each rule counts by itself here, as each can become another thing: a report on one record "
    "counts once what needs the same at one place, so its numbers are lower."
)
_NOTHING = "not recorded"


@dataclass(frozen=True)
class Record:
    """One of the two records: its file, and how it was judged."""

    path: Path
    judged: Judged

    @property
    def file(self) -> str:
        """The name of the file; bytes that are no text stand as their numbers."""
        return self.path.name.encode("utf-8", "backslashreplace").decode("utf-8")


def visits_json(
    old: Record,
    new: Record,
    visits: Sequence[Visits],
    warnings: Sequence[str],
) -> dict[str, Any]:
    """The comparison as JSON-ready data; keys are only ever added, never renamed.

    There is one of `visits` for each ruleset; what comes out the same under several stands once.
    """
    first = visits[0]
    items = _merged(visits, new.judged.notice)
    books = [each.new.book for each in visits]
    elsewhere = list(moved(first.old.house, first.new.house, first.alike))
    became = Counter(each["became"] for each in items)
    stands = Counter(each["severity"] for each in items if each["became"] in STANDS)
    return {
        "old": _record(old),
        "new": _record(new),
        "rulesets": [ruleset_data(each.new) for each in visits],
        "warnings": list(warnings),
        "notices": [
            COMPARES_RECORDS,
            COUNTS_EACH,
            *dict.fromkeys(each for book in books for each in book.notices),
        ],
        "cautions": [NOT_A_CERTIFICATE, *CAUTIONS],
        "counts": {
            "deficiencies": len(items),
            "became": {each: became[each] for each in BECAME},
            "not_shown_corrected": stands.total(),
            "not_shown_corrected_by_severity": {each: stands[each] for each in SEVERITIES},
            "contradictions": sum(bool(each["contradiction"]) for each in items),
            "only_old": len(first.alike.only_old),
            "only_new": len(first.alike.only_new),
            "moved": len(elsewhere),
        },
        "items": items,
        "work": _work(visits),
        "other_rechecks": [
            each.model_dump(mode="json")
            for each in first.other_rechecks
            if all(each in other.other_rechecks for other in visits[1:])
        ],
        "moved": [_change(first, each) for each in elsewhere],
        "only_old": [_subject(first.old, key) for key in first.alike.only_old],
        "only_new": [_subject(first.new, key) for key in first.alike.only_new],
        "undecided": [each for one in visits for each in undecided_data(one.new)],
        "not_tested": not_tested_data(new.judged),
        "copied": copied_data(new.judged.session),
    }


def _record(record: Record) -> dict[str, Any]:
    session = record.judged.session
    day = next((day.isoformat() for each in record.judged.chosen if (day := each.house.day)), None)
    return {
        "file": record.file,
        "session": session.title,
        "date": day,
        "visits": visits_data(session),
        "reinspects": session.reinspects,
        "judged_before": [since_data(each) for each in since_judged(record.judged)],
    }


def _subject(judgement: Judgement, key: SubjectKey) -> dict[str, str]:
    of, name = key
    subject = judgement.house.subjects[key]
    where = judgement.session.room(getattr(subject, "room", ""))
    told = (where.name if where else "", getattr(subject, "at", ""), getattr(subject, "name", ""))
    about = (*told, getattr(subject, "serves", ""))
    return {"of": of, "subject": name, "about": ", ".join(each for each in about if each)}


def _merged(visits: Sequence[Visits], notice: datetime.date | None) -> list[dict[str, Any]]:
    """The items of all rulesets; those that are alike but for the ruleset stand once."""
    found: dict[str, dict[str, Any]] = {}
    for one in visits:
        for each in one.compared:
            item = _item(one, each, notice)
            like = json.dumps({**item, "under": []}, sort_keys=True)
            found.setdefault(like, {**item, "under": []})["under"] += item["under"]
    return sorted(
        found.values(),
        key=lambda each: (
            BECAME.index(each["became"]),
            SEVERITIES.index(each["severity"]),
            each["danger"]["rank"] or LAST,
            not each["danger"]["first"],
            not each["danger"]["tested"],
            KINDS.index(each["kind"]),
        ),
    )


def _item(visits: Visits, each: Compared, notice: datetime.date | None) -> dict[str, Any]:
    stands = each.now is not None and each.now.decision.outcome == "deficient"
    judgement, verdict = (visits.new, each.now) if stands else (visits.old, each.was)
    assert verdict is not None
    book = visits.new.book
    rules = book.rules
    open_now = each.now is not None and each.now.decision.outcome == "undecided"
    return {
        "became": each.became,
        **finding_data(judgement, verdict, [visits.new.under], notice),
        "reason": each.reason,
        "was": _said(visits.old, each.was),
        "now": _said(visits.new, each.now),
        "waits_for": questions_data(visits.new, each.now) if open_now and each.now else [],
        "changes": [_change(visits, one) for one in each.changes],
        "new_there": [{"rule": name, "says": rules[name].declared.says} for name in each.new_there],
        "told": each.told.model_dump(mode="json") if each.told is not None else None,
        "contradiction": each.contradiction,
        "state_kept": _state(visits, verdict),
    }


def _work(visits: Sequence[Visits]) -> list[dict[str, Any]]:
    """What is another one now, with what was corrected by it under any of the rulesets."""
    found: dict[SubjectKey, dict[str, Any]] = {}
    for one in visits:
        for work in work_done(one):
            told = found.setdefault(
                work.key,
                {
                    "of": work.key[0],
                    "subject": work.key[1],
                    "place": standing(one.new, *work.key),
                    "changes": [_change(one, each) for each in work.changes],
                    "corrected": [],
                },
            )
            gone = [each.was for each in work.corrected if each.was is not None]
            told["corrected"] += [
                new
                for each in gone
                if (
                    new := {
                        "of": each.of,
                        "subject": each.subject,
                        "rule": each.decision.rule.id,
                        "says": one.old.says(each),
                    }
                )
                not in told["corrected"]
            ]
    return list(found.values())


def _said(judgement: Judgement, verdict: Verdict | None) -> dict[str, Any] | None:
    """What the rule says of the subject in one of the records; None where it is not there."""
    if verdict is None:
        return None
    held = verdict.decision.outcome == "deficient"
    return {
        "outcome": verdict.decision.outcome,
        "kind": verdict.decision.kind if held else None,
        "severity": judgement.severity(verdict) if held else None,
        "says": judgement.says(verdict) if held else None,
    }


def _state(visits: Visits, verdict: Verdict) -> str | None:
    """What the records say became of a deficiency: the new one, else the old one."""
    like = (verdict.of, verdict.subject, verdict.decision.rule.id)
    kept = (*visits.new.session.findings, *visits.old.session.findings)
    return next((e.state for e in kept if (e.of, e.subject, e.rule) == like), None)


def _change(visits: Visits, each: Change) -> dict[str, Any]:
    known = each.question in visits.new.book.questions

    def told(value: object) -> str:
        if value is None or value == "":
            return _NOTHING
        return spoken(each.question, value, visits.new.book) if known else str(value)

    return {
        "of": each.of,
        "subject": each.subject,
        "question": each.question,
        "ask": visits.new.asked(each.question),
        "was": told(each.was),
        "now": told(each.now),
        "tested": each.tested,
    }
