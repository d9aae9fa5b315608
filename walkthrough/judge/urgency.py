"""Which finding of one severity goes before another, by what the ruleset says of dangers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from walkthrough.judge.house import House
    from walkthrough.judge.judge import Verdict

LAST = 1_000_000
"""Behind every danger that a ruleset names."""


@dataclass(frozen=True)
class Urgency:
    """How dangerous a finding is beside others of its severity.

    `rank` is that of the danger, the lowest goes first; `first` whether it is at a place where that
    danger is greater, `first_says` why, `tested` whether an instrument or a button showed it.
    `word` and `says` are "" where the ruleset names no danger for it.
    """

    word: str
    says: str
    rank: int
    first: bool
    first_says: str
    tested: bool

    @property
    def order(self) -> tuple[int, bool, bool]:
        """The most dangerous first; of these where it is greater, and what is most certain."""
        return self.rank, not self.first, not self.tested


def urgency(house: House, verdict: Verdict) -> Urgency:
    """How dangerous it is, by the danger of its rule and what is known of its place."""
    rule = verdict.decision.rule
    subject = house.subjects[verdict.of, verdict.subject]
    tested = not rule.words.isdisjoint(subject.readings)
    danger = rule.danger
    if danger is None:
        return Urgency("", "", LAST, first=False, first_says="", tested=tested)
    declared, when = danger.declared, danger.first_when
    first = when is not None and when.truth(house.situation(subject)) is True
    told = declared.first_says if first else ""
    return Urgency(danger.word, declared.says, declared.rank, first, told, tested)
