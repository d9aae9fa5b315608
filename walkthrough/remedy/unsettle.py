"""Work that leans on what nobody knows: a rule that was settled hangs on an unknown after it."""

from __future__ import annotations

from walkthrough.judge.house import House
from walkthrough.remedy.work import Changes
from walkthrough.rulebook.decide import decide
from walkthrough.rulebook.rulebook import Rule
from walkthrough.rulebook.situation import Situation
from walkthrough.survey.model import Subject

_SETTLED = frozenset({"met", "excepted", "not applicable"})


class Unsettled:
    """The rules of which it is known, before any work, that they are not broken at a subject."""

    def __init__(self, house: House, subject: Subject) -> None:
        self._house = house
        self._facts = house.situation(subject)
        decisions = house.decisions(subject) if house.is_judged(subject) else []
        # Where all that a rule reads is known there is nothing to lean on.
        self._rules = frozenset(
            each.rule.id
            for each in decisions
            if each.outcome in _SETTLED and any(map(self._is_unknown, each.rule.words))
        )

    def by(self, rule: Rule, changes: Changes, after: Situation) -> bool:
        """Whether changes bring a rule to hang on what is not known, so that it may be broken.

        What hangs on a reading is no such case: that is taken once the work is done.
        """
        if rule.id not in self._rules or all(changes.get(each) is None for each in rule.words):
            return False
        if rule.deficient.truth(after) is not None:
            return False
        waits_for = decide(rule, after, self._house.book).waits_for
        return bool(waits_for) and not any(
            word in changes or not self._is_unknown(word) for word in waits_for
        )

    def _is_unknown(self, word: str) -> bool:
        question = self._house.book.questions.get(word)
        return question is not None and not question.reading and self._facts.known(word) is None
