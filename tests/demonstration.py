"""Judges the demonstration record anew and saves it: run after a change of the rules."""

from __future__ import annotations

from pathlib import Path

from walkthrough.judge.judge import judge
from walkthrough.rulebook.load import load
from walkthrough.survey import store
from walkthrough.survey.model import JudgedBy

RECORD = Path(__file__).resolve().parents[1] / "sessions" / "larkspur-house.toml"


def renew() -> None:
    """Put findings and fingerprint of the record's own ruleset into it."""
    session = store.load(RECORD)
    book = load(session.judged_by.ruleset)
    session.findings = list(judge(session, book).findings)
    session.judged_by = JudgedBy(ruleset=book.id, fingerprint=book.fingerprint)
    store.save(session, RECORD)
    store.previous(RECORD).unlink(missing_ok=True)


if __name__ == "__main__":
    renew()
