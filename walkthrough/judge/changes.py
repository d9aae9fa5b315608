"""What changes in one house from one ruleset to another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from walkthrough.judge.judge import KINDS, SEVERITIES, Judgement, Verdict
from walkthrough.survey.model import Subject

Level = Literal["no", "open", "ask", "yes"]
"""What the rules of a topic say of a subject: nothing, an open question, a dispute, a finding."""
LEVELS: tuple[Level, ...] = ("no", "open", "ask", "yes")
_LEVEL: Mapping[str, Level] = {"deficient": "yes", "ask the AHJ": "ask", "undecided": "open"}


@dataclass(frozen=True)
class HouseChange:
    """A subject on which the rules of a topic come out differently; `verdict` tells the graver.

    `graded` says how it weighed and weighs where the level is the same.
    """

    subject: str
    topic: str
    was: Level
    now: Level
    graded: str
    verdict: Verdict
    says: str


def changes_in(old: Judgement, new: Judgement) -> Iterator[HouseChange]:
    """Every subject and topic that comes out differently, in the order of the walk."""
    for subject in new.house.subjects.values():
        before, after = _by_topic(old, subject), _by_topic(new, subject)
        for topic in dict.fromkeys([*before, *after]):
            was, now = before.get(topic, []), after.get(topic, [])
            yield from _change(old, new, topic, was, now)


def _change(
    old: Judgement, new: Judgement, topic: str, was: list[Verdict], now: list[Verdict]
) -> Iterator[HouseChange]:
    first, then = _weight(old, was[:1]), _weight(new, now[:1])
    graver, judgement = (was, old) if first > then else (now, new)
    if first == then:
        # As grave as before; but a rule that both rulesets have may hold only now, or no longer.
        fresh = [each for each in now if _came(old, each, was)]
        gone = [each for each in was if _came(new, each, now)]
        graver, judgement = (fresh, new) if fresh else (gone, old)
    if not graver:
        return
    levels = (_level(was[:1]), _level(now[:1]))
    if first == then:
        levels = ("no", levels[1]) if graver and judgement is new else (levels[0], "no")
    graded = f"{_graded(old, was)} -> {_graded(new, now)}" if levels[0] == levels[1] else ""
    verdict = graver[0]
    yield HouseChange(verdict.subject, topic, *levels, graded, verdict, judgement.says(verdict))


def _came(there: Judgement, verdict: Verdict, others: list[Verdict]) -> bool:
    """Whether what a rule holds here it does not hold there, though it stands there too."""
    name = verdict.decision.rule.id
    return name in there.book.rules and all(e.decision.rule.id != name for e in others)


def _by_topic(judgement: Judgement, subject: Subject) -> dict[str, list[Verdict]]:
    """What is held or open, by topic, the gravest first."""
    found: dict[str, list[Verdict]] = {}
    for verdict in judgement.on(subject):
        if verdict.decision.outcome in _LEVEL and (
            verdict.decision.outcome != "undecided" or verdict.asks
        ):
            found.setdefault(verdict.decision.rule.declared.topic, []).append(verdict)
    return {
        topic: sorted(each, key=lambda e: _weight(judgement, [e]), reverse=True)
        for topic, each in found.items()
    }


def _weight(judgement: Judgement, gravest: list[Verdict]) -> tuple[int, int, int]:
    if not gravest:
        return 0, 0, 0
    severity = judgement.severity(gravest[0])
    kind = gravest[0].decision.kind
    level = LEVELS.index(_level(gravest))
    if level < LEVELS.index("ask"):
        return level, 0, 0
    return level, -SEVERITIES.index(severity), -KINDS.index(kind)


def _graded(judgement: Judgement, verdicts: list[Verdict]) -> str:
    if not verdicts:
        return "nothing"
    return f"{verdicts[0].decision.kind}, {judgement.severity(verdicts[0])}"


def _level(gravest: list[Verdict]) -> Level:
    return _LEVEL[gravest[0].decision.outcome] if gravest else "no"
