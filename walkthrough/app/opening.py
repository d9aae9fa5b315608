"""Begins a record, or opens one that is there, and holds it against other writers."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from walkthrough.app.findings_kept import judged_by
from walkthrough.judge.under import editions_of, own_rulesets, questions_of, refuse_missing
from walkthrough.rulebook.load import load as load_ruleset
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.lock import Lock, lock
from walkthrough.survey.model import Session, Visit


@dataclass(frozen=True)
class Opened:
    """A session with the rulesets and editions that it is judged by, and its lock."""

    session: Session
    books: Sequence[Rulebook]
    held: Lock
    editions: Sequence[Rulebook]


def begin(
    path: Path, title: str, ruleset: str, day: datetime.date, also: Sequence[str], as_built: str
) -> Opened:
    """A new session, on disk when this returns; raises Unusable where a file is there already."""
    books = [load_ruleset(each) for each in dict.fromkeys((ruleset, *also))]
    editions = editions_of(as_built) if as_built else ()
    held = lock(path)
    try:
        _refuse_there(path)
        first, *others = map(judged_by, books)
        session = Session(
            title=title,
            judged_by=first,
            judged_also=others,
            as_built=as_built,
            visits=[Visit(date=day)],
        )
        store.save(session, path)
    except BaseException:
        held.release()
        raise
    return Opened(session, books, held, editions)


def put_reinspection(session: Session, old: Path, path: Path, day: datetime.date) -> None:
    """Make a session the re-inspection of a record, and save it beside that; raises Unusable."""
    if not session.rechecks:
        raise _unusable(old, "no deficiency of this record is open; expected one to check")
    session.title = f"{session.title}, re-inspected {day}"
    session.reinspects = old.name
    session.visits.append(Visit(date=day, purpose="re-inspection"))
    held = lock(path)
    try:
        _refuse_there(path)
        store.save(session, path)
    finally:
        held.release()


def open_there(path: Path, ruleset: str | None) -> Opened:
    """A session that is there; raises Unusable where it or its ruleset cannot be used."""
    held = lock(path)
    try:
        session = store.load(path)
        own = session.judged_by.ruleset
        book = load_ruleset(ruleset or own)
        if book.id != own:
            raise _unusable(
                path,
                f"this record is judged by '{own}', not '{book.id}'; "
                f"use replay --ruleset {ruleset} to judge it by that one",
            )
        if ruleset is None:
            refuse_missing(session, path)
        others = [name for name in own_rulesets(session) if name != own]
        books = [book, *map(load_ruleset, others)]
        editions = editions_of(session.as_built) if session.as_built else ()
        session = store.checked(session, path, questions_of([*books, *editions]))
    except BaseException:
        held.release()
        raise
    return Opened(session, books, held, editions)


def _refuse_there(path: Path) -> None:
    if path.exists():
        raise _unusable(path, "a file is there already; expected a path for a new record")


def _unusable(path: Path, message: str) -> Unusable:
    return Unusable([Problem(str(path), 0, 0, message)])
