"""Judgements of one record as plain data: the stable machine format of `replay`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from walkthrough.judge.judge import KINDS, Judgement
from walkthrough.judge.since import since_judged
from walkthrough.judge.under import Judged, Told
from walkthrough.report import recheck
from walkthrough.report.cautions import CAUTIONS, NOT_A_CERTIFICATE
from walkthrough.report.groups import numbered
from walkthrough.report.places_json import (
    besides_rooms,
    by_severity,
    circuits,
    devices,
    found_under,
    protection,
    rooms,
    stands,
)
from walkthrough.report.verdicts_json import (
    disputed_data,
    finding_data,
    since_data,
    undecided_data,
)
from walkthrough.report.words import standing
from walkthrough.rulebook.explain import spoken
from walkthrough.survey.model import Outlet, Session, Subject
from walkthrough.survey.photos import Photo


def as_json(judged: Judged, photos: Sequence[Photo] = ()) -> dict[str, Any]:
    """The judgements as JSON-ready data; keys are only ever added, never renamed.

    `ruleset` is the first of `rulesets`; findings, questions and readings of all of them stand in
    one list each and say under which they stand. `photos` are the pictures of the record, compared
    with their files.
    """
    session = judged.session
    return {
        "session": session.title,
        "ruleset": {"id": judged.name, "fingerprint": judged.fingerprint},
        "rulesets": [
            {**ruleset_data(each), **found_under(judged, each.under)} for each in judged.all
        ],
        "judged_before_by": {
            "id": session.judged_by.ruleset,
            "fingerprint": session.judged_by.fingerprint,
        },
        "judged_before": [since_data(each) for each in since_judged(judged)],
        "visits": visits_data(session),
        "date": next((day.isoformat() for each in judged.chosen if (day := each.house.day)), None),
        "notice_day": judged.notice.isoformat() if judged.notice else None,
        "notices": list(dict.fromkeys(each for one in judged.all for each in one.book.notices)),
        "cautions": [NOT_A_CERTIFICATE, *CAUTIONS],
        "units": [{"id": unit.id, "name": session.home(unit)} for unit in session.units],
        "outlets": [
            _outlet(judged, name, outlet)
            for name, outlet in session.references(session.outlets).items()
        ],
        "protection": protection(judged),
        "explained": explained_data(judged.all),
        "rooms": rooms(judged),
        "besides_rooms": besides_rooms(judged),
        "panels": [
            {
                "panel": session.reference(each),
                "name": each.name,
                "home": session.home(each),
                "fed_from": each.fed_from,
            }
            for each in session.panels
        ],
        "circuits": circuits(whole) if (whole := judged.whole) else [],
        "devices": devices(whole) if whole else [],
        "counts": counts(judged),
        "deficiencies": numbered([_finding(judged, told) for told in judged.findings]),
        "ask_the_ahj": [each for one in judged.all for each in disputed_data(one)],
        "undecided": [
            *(each for one in judged.all for each in undecided_data(one)),
            *_years_open(judged),
        ],
        "not_tested": not_tested_data(judged),
        "copied": copied_data(session),
        "notes": [
            {"subject": session.reference(each), "of": each.of, "note": each.note}
            for each in session.subjects()
            if each.note
        ],
        "photos": [
            {
                "number": number,
                "subject": each.subject,
                "of": each.of,
                "place": stands(session, subject)
                if (subject := session.meant(each.of, each.subject))
                else each.subject,
                "name": each.name,
                "sha256": each.sha256 or None,
                "state": each.state,
            }
            for number, each in enumerate(photos, 1)
        ],
        "recheck": recheck.as_data(judged),
        "samples": [
            {"room": each.room, "tested": each.tested, "of": each.of} for each in judged.samples
        ],
        "contradictions": [
            {"at": each.at, "outlet": each.outlet, "says": each.says}
            for one in judged.all[:1]
            for each in one.contradictions
        ],
    }


def visits_data(session: Session) -> list[dict[str, str]]:
    """The days on which the dwelling was walked."""
    return [
        {"date": each.date.isoformat(), "by": each.by, "purpose": each.purpose}
        for each in session.visits
    ]


def not_tested_data(judged: Judged) -> list[dict[str, Any]]:
    """The limits of the survey; `of` is the kind of subject, "" for the survey as a whole.

    `in_part` says that something was seen or tested there.
    """
    whole = judged.whole
    return [
        {
            "subject": each.subject,
            "of": each.of,
            "place": standing(whole, each.of, each.subject) if whole and each.of else each.subject,
            "reason": each.reason,
            "in_part": each.in_part,
        }
        for each in judged.not_tested
    ]


def copied_data(session: Session) -> list[dict[str, Any]]:
    """Outlets entered like another one, and how many of their answers nobody looked at there."""
    return [
        {
            "subject": session.reference(each),
            "of": each.of,
            "place": stands(session, each),
            "answers": len(each.carried),
        }
        for each in session.outlets
        if each.carried
    ]


def ruleset_data(judgement: Judgement) -> dict[str, Any]:
    """A ruleset by which was judged."""
    book = judgement.book
    return {
        "id": book.id,
        "title": book.title,
        "fingerprint": book.fingerprint,
        "as_built_in": judgement.made_in,
        "under": judgement.under,
    }


def _outlet(judged: Judged, name: str, outlet: Outlet) -> dict[str, Any]:
    session = judged.session
    on_it = [each for each in judged.all if each.made_in is None or each.on(outlet)]
    # What is there hangs on no year.
    there = on_it[:1] or ([judged.as_built.there] if judged.as_built else [])
    told: list[tuple[str, dict[str, Any]]] = [
        (
            each.under,
            {
                "requires": each.requires(outlet),
                "disputed": each.disputes(outlet),
                "has": each.has(outlet),
            },
        )
        for each in on_it or there
    ]
    return {
        "id": name,
        "unit": session.unit_of(outlet),
        "room": room.name if (room := session.room(outlet.room)) else outlet.room,
        "circuit": outlet.circuit,
        "at": outlet.at,
        "point": outlet.answer("point"),
        "requires": _joined(each["requires"] for _, each in told),
        "disputed": _joined(each["disputed"] for _, each in told),
        "has": told[0][1]["has"] if told else {},
        "protected_by": {
            kind: {
                "state": traced.state,
                "by": list(traced.by),
                "given_by": [{"of": each.of, "subject": each.name} for each in traced.givers],
                "known_by": traced.known_by,
                "notes": list(traced.notes),
            }
            for one in there
            for kind in one.house.tracer.tables.kinds
            for traced in (one.house.tracer.protection(outlet, kind),)
        },
        "under": dict(told) if on_it else {},
    }


def counts(judged: Judged) -> dict[str, Any]:
    """How many findings there are, how grave and of which kind, and what was not tested.

    What needs the same at one place counts once; `told` is how many there are where it counts as
    often as rules and rulesets tell it.
    """
    found = judged.once
    return {
        "deficiencies": len(found),
        "told": len(judged.findings),
        "by_severity": by_severity(each.severity for each in found),
        "by_kind": {each: sum(f.kind == each for f in found) for each in KINDS},
        "not_tested": len(judged.not_tested),
    }


def _joined(parts: Iterable[dict[str, list[str]]]) -> dict[str, list[str]]:
    whole: dict[str, dict[str, None]] = {}
    for part in parts:
        for topic, sections in part.items():
            whole.setdefault(topic, {}).update(dict.fromkeys(sections))
    return {topic: list(sections) for topic, sections in whole.items()}


def _finding(judged: Judged, told: Told) -> dict[str, Any]:
    counts = judged.counts_with(told)
    data = finding_data(told.judged[0], told.verdict, told.under, judged.notice)
    subject = told.judged[0].house.subjects[told.verdict.of, told.verdict.subject]
    return {
        **data,
        "seen": list(_in_words(judged, told.judged[0], subject, data["seen"])),
        "counts_with": "" if counts is told else counts.finding.rule,
        "counts_with_under": [] if counts is told else counts.under,
    }


def _in_words(
    judged: Judged, own: Judgement, subject: Subject, seen: Iterable[dict[str, Any]]
) -> Iterator[dict[str, Any]]:
    """What was seen, in the words of the ruleset that asks for it, which may be another one."""
    for each in seen:
        word = each["question"]
        asking = (own, *judged.all)
        there = next((one for one in asking if word in one.book.questions), own)
        if there is own:
            yield each
        elif there.house.counts(subject, word):
            answer = spoken(word, subject.answer(word), there.book)
            yield {**each, "ask": there.asked(word), "answer": answer}


def explained_data(judged: Sequence[Judgement]) -> list[dict[str, Any]]:
    """Words of the trade that a report may have to explain, as the first ruleset puts them."""
    words = {word: each for one in reversed(judged) for word, each in one.book.explained.items()}
    return [
        {
            "written": list(each.written),
            "says": each.says,
            "confidence": each.confidence,
            "source": each.source,
            "verify_in": judged[0].book.verify_in,
        }
        for each in words.values()
    ]


def _years_open(judged: Judged) -> Iterator[dict[str, Any]]:
    if judged.as_built is None:
        return
    there = judged.as_built.there
    for (of, name), (where, question) in judged.as_built.year_open:
        yield {
            "subject": name,
            "of": of,
            "rule": "",
            "waiting_for": [question if where == name else f"{where}: {question}"],
            "questions": [{"subject": where, "question": question, "ask": there.asked(question)}],
            "under": ["as built"],
        }
