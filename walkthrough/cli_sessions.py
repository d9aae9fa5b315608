"""Reads sessions for the commands: each checked against the questions that its answers answer."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Sequence
from pathlib import Path

from walkthrough.judge.under import editions_of, own_rulesets, questions_of
from walkthrough.rulebook.files import ruleset_files
from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.model import Session


class Shelf:
    """Rulesets by name and series, each read once."""

    def __init__(self) -> None:
        self._books: dict[str, Rulebook] = {}
        self.editions = functools.cache(editions_of)

    def book(self, name: str) -> Rulebook:
        """The ruleset of that name; raises Unusable."""
        if name not in self._books:
            self._books[name] = load(name)
        return self._books[name]

    def distinct(self, names: Iterable[str]) -> list[Rulebook]:
        """The rulesets of these names or files, each once."""
        return list({book.id: book for book in map(self.book, names)}.values())


def load_session(path: Path, shelf: Shelf, judging: Sequence[Rulebook]) -> Session:
    """Load a session for some rulesets, as `checked_session` looks it over."""
    return checked_session(store.load(path), path, shelf, judging)


def checked_session(
    session: Session, path: Path, shelf: Shelf, judging: Sequence[Rulebook]
) -> Session:
    """A session whose answers fit the questions of its own rulesets and of those that judge it.

    Raises Unusable, with the place of every slip.
    """
    there = ruleset_files()
    own = [shelf.book(name) for name in own_rulesets(session) if name in there]
    dated = shelf.editions(session.as_built) if session.as_built else ()
    # Answers are checked against the questions they were given to; other rulesets ask others.
    return store.checked(session, path, questions_of([*own, *judging, *dated]))
