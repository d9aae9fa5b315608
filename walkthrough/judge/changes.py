"""What changes in one house from one ruleset to another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from walkthrough.judge.judge import Judgement, Verdict
from walkthrough.survey.model import Subject

Level = Literal["no", "open", "ask", "yes"]
"""What the rules of a topic say of a subject: nothing, an open question, a dispute, a finding."""
LEVELS: tuple[Level, ...] = ("no", "open", "ask", "yes")
_LEVEL: Mapping[str, Level] = {"deficient": "yes", "ask the AHJ": "ask", "undecided": "open"}


@dataclass(frozen=True)
class HouseChange:
    """A subject on which the rules of a topic come out differently; `verdict` tells the graver."""

    subject: str
    topic: str
    was: Level
    now: Level
    verdict: Verdict
    says: str


def changes_in(old: Judgement, new: Judgement) -> Iterator[HouseChange]:
    """Every subject and topic that comes out differently, in the order of the walk."""
    for subject in new.house.subjects.values():
        before, after = _by_topic(old, subject), _by_topic(new, subject)
        for topic in dict.fromkeys([*before, *after]):
            was, now = _level(before.get(topic)), _level(after.get(topic))
            if was != now:
                graver = old if LEVELS.index(was) > LEVELS.index(now) else new
                verdict = (before if graver is old else after)[topic]
                name = new.house.key(subject)[1]
                yield HouseChange(name, topic, was, now, verdict, graver.says(verdict))


def _by_topic(judgement: Judgement, subject: Subject) -> dict[str, Verdict]:
    """The gravest verdict of each topic."""
    found: dict[str, Verdict] = {}
    for verdict in judgement.on(subject):
        topic = verdict.decision.rule.declared.topic
        if topic not in found or LEVELS.index(_level(verdict)) > LEVELS.index(_level(found[topic])):
            found[topic] = verdict
    return found


def _level(verdict: Verdict | None) -> Level:
    return "no" if verdict is None else _LEVEL.get(verdict.decision.outcome, "no")
