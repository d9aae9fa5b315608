"""Judges what was asked when each thing was made: by the edition in force in its year."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from walkthrough.judge.house import House, SubjectKey
from walkthrough.judge.judge import Judgement, Verdict, verdicts_on
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Session, Subject
from walkthrough.trade.protection import Open

DAY = "date"


@dataclass(frozen=True)
class AsBuilt:
    """What the editions of their years say of the subjects of a record.

    `judged` holds one judgement for each edition and year. `year_open` names subjects whose year
    is not known, with the answer that would tell it; `before` those made before the first of the
    editions, with their year. `there` judges nothing: it tells what is there, whatever the year,
    and what was not tested.
    """

    there: Judgement
    judged: tuple[Judgement, ...]
    year_open: tuple[tuple[SubjectKey, Open], ...]
    before: tuple[tuple[SubjectKey, int], ...]


def judge_as_built(
    session: Session, editions: Sequence[Rulebook], lag_years: int | None = None
) -> AsBuilt:
    """Judge each subject as new work of its year, by the edition that was in force then.

    `editions` are of one series and share their questions. `lag_years` is the time from an
    edition to its adoption; without it the answer in the record counts.
    """
    latest = editions[-1]
    told = _with_lag(session, latest, lag_years)
    dated = House(told, latest)
    groups: dict[tuple[str, int], list[SubjectKey]] = {}
    year_open: list[tuple[SubjectKey, Open]] = []
    before: list[tuple[SubjectKey, int]] = []
    books = {book.id: book for book in editions}
    for key, subject in dated.subjects.items():
        if not dated.is_judged(subject):
            continue
        found = dated.year_made(subject)
        code_year = dated.situation(subject).known("code_year")
        if found is None or code_year is None:
            year_open += [(key, each) for each in dated.open_questions(subject, "code_year")]
            continue
        book = in_force(int(code_year), editions)
        if book is None:
            before.append((key, found))
        else:
            groups.setdefault((book.id, found), []).append(key)
    judged = [
        _judged_together(as_made(told, latest, year), books[name], year, keys)
        for (name, year), keys in sorted(groups.items(), key=lambda each: each[0][1])
    ]
    there = Judgement(dated, ())
    return AsBuilt(there, tuple(judged), tuple(year_open), tuple(before))


def in_force(year: int, editions: Sequence[Rulebook]) -> Rulebook | None:
    """The edition that was in force in a year; of two, the later or the more particular one."""
    held = [
        book
        for book in editions
        if book.in_force_from is not None
        and book.in_force_from.year <= year
        and (book.in_force_to is None or year <= book.in_force_to.year)
    ]
    return max(
        held,
        key=lambda book: (book.in_force_from or datetime.date.min, len(book.chain)),
        default=None,
    )


def as_made(session: Session, book: Rulebook, year: int) -> Session:
    """A copy of a record in which what was made in a year is as it was on its day: new.

    What was made in other years stays as it is: an outlet added to an older circuit does not make
    that circuit new, nor the older outlets on it.
    """
    made = session.model_copy(deep=True)
    seen = House(session, book)
    for old, new in zip(session.subjects(), made.subjects(), strict=True):
        lens, told = book.as_built.get(old.of), seen.year_made(old)
        if lens is None or told != year:
            continue
        if lens.declared.year_word:
            new.answers[lens.declared.year_word] = year
        for word, turned in lens.declared.made.items():
            answer = seen.recorded(old, word)
            was = str(book.questions[word].presume if answer is None else answer)
            if was in turned and word not in old.cannot_tell:
                new.answers[word] = turned[was]
    return made


def _with_lag(session: Session, book: Rulebook, lag_years: int | None) -> Session:
    """The record, with another time between an edition and its adoption where one is given."""
    less = next((lens.declared.less for lens in book.as_built.values() if lens.declared.less), "")
    if lag_years is None or not less:
        return session
    told = session.model_copy(deep=True)
    for each in (told.dwelling, *told.units):
        each.answers[less] = lag_years
    return told


def _judged_together(
    made: Session, book: Rulebook, year: int, keys: Sequence[SubjectKey]
) -> Judgement:
    """Subjects of one year under one edition; what hangs on the day within the year stays open."""
    first = House(made, book, datetime.date(year, 1, 1))
    last = House(made, book, datetime.date(year, 12, 31))
    verdicts = [each for key in keys for each in _settled(first, last, first.subjects[key])]
    return Judgement(first, tuple(verdicts), made_in=year)


def _settled(first: House, last: House, subject: Subject) -> Iterator[Verdict]:
    of, name = first.key(subject)
    for early, late in zip(verdicts_on(first, subject), verdicts_on(last, subject), strict=True):
        if not _binds(early, first, subject):
            continue
        if early.decision.outcome == late.decision.outcome:
            yield early
        else:
            open_day = early.decision._replace(outcome="undecided", waits_for=(DAY,))
            yield Verdict(of, name, open_day, ((name, DAY),))


def _binds(verdict: Verdict, house: House, subject: Subject) -> bool:
    """Whether a rule bound the work itself: a gap that is none of the work's own was not asked."""
    rule = verdict.decision.rule
    if rule.declared.kind != "gap" or rule.defect_when is None:
        return True
    return rule.defect_when.truth(house.situation(subject)) is not False
