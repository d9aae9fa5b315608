"""What is another one in the later of two records, and which deficiencies went with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from walkthrough.judge.alike import Change
from walkthrough.judge.house import SubjectKey
from walkthrough.judge.visits import Compared, Visits
from walkthrough.survey.model import Outlet

_CORRECTED = ("corrected, with a new defect", "corrected")


@dataclass(frozen=True)
class Work:
    """What differs at one outlet, circuit or panel of what work changes, recorded both times.

    `corrected` are the deficiencies, there or on what it protects, that the rule finds no longer.
    """

    key: SubjectKey
    changes: tuple[Change, ...]
    corrected: tuple[Compared, ...]


def work_done(visits: Visits) -> list[Work]:
    """Everything that is another one now, in the order of the new record."""
    changed = {there: tuple(_changes(visits, there)) for there in visits.new.house.subjects}
    gone: dict[SubjectKey, list[Compared]] = {}
    for each in visits.compared:
        if each.became in _CORRECTED:
            for key in _by(visits, each):
                gone.setdefault(key, []).append(each)
    return [
        Work(key, changes, tuple(gone.get(key, ()))) for key, changes in changed.items() if changes
    ]


def _changes(visits: Visits, key: SubjectKey) -> Iterator[Change]:
    """What both records hold of a subject, of what work changes and no instrument reads."""
    before = visits.alike.old_of.get(key)
    if before is None:
        return
    was, now = visits.old.house.subjects[before], visits.new.house.subjects[key]
    for word, question in visits.new.book.questions.items():
        old, new = was.answer(word), now.answer(word)
        if word not in visits.by_work or question.reading:
            continue
        if old is not None and new is not None and old != new:
            yield Change(*key, word, old, new)


def _by(visits: Visits, each: Compared) -> set[SubjectKey]:
    """Where the work was done that corrected a deficiency.

    Of all that feeds an outlet only what protects it now can have given it its protection.
    """
    at = {(one.of, one.subject) for one in each.changes if one.question in visits.by_work}
    if each.now is None:
        return at
    own = each.now.of, each.now.subject
    subject = visits.new.house.subjects[own]
    words = visits.new.book.vocabulary.words
    kinds = {words[w].protection for w in each.now.decision.rule.words if w in words} - {""}
    if not kinds or not isinstance(subject, Outlet):
        return at
    tracer = visits.new.house.tracer
    return (at & {own}) | {
        (by.of, by.name) for kind in kinds for by in tracer.protection(subject, kind).givers
    }
