"""Findings put together: of one rule in the same words, of one cure, or counting as one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Data = Mapping[str, Any]
Minded = list[tuple[str, str]]
"""Where something is to be minded with a cure, and what."""

COUNTED = ("counts_with", "counts_with_under")
"""With what a finding counts: the rule, and the rulesets under which that stands."""


@dataclass(frozen=True)
class Group:
    """Findings of one rule in the same words: what is common to them, and each place."""

    common: Data
    places: list[Data]

    @property
    def correct_within(self) -> list[Data]:
        """The deadlines that hold at one of the places, each once."""
        every = (due for each in self.places for due in each["correct_within"])
        return list({tuple(due.items()): due for due in every}.values())

    @property
    def is_alike(self) -> bool:
        """Whether all places are of one kind, under the same rulesets, and count alike."""
        told = {str([each[name] for name in ("kind", "under", *COUNTED)]) for each in self.places}
        return len(told) == 1

    @property
    def seen_at_all(self) -> list[Data]:
        """What decided the finding at each of the places, and is the same at all of them."""
        first, *others = (_decided(each) for each in self.places)
        return [seen for seen in first if all(seen in other for other in others)]

    @property
    def minded(self) -> Minded:
        """What is to be minded with the cure, each with the places where that is so."""
        return minded({each["subject"]: each["caveats"] for each in self.places})

    def seen_at(self, place: Data) -> list[Data]:
        """What decided the finding at one of the places, and is not the same at all of them."""
        return [seen for seen in _decided(place) if seen not in self.seen_at_all]


@dataclass(frozen=True)
class Block:
    """Groups that have the same reason and the same remedy, so that these are told once."""

    groups: list[Group]

    @property
    def common(self) -> Data:
        """What is the same in all of them."""
        return self.groups[0].common

    @property
    def correct_within(self) -> list[Data]:
        """The deadlines, the same in all of them."""
        return self.groups[0].correct_within

    @property
    def told_for(self) -> str:
        """Of which findings it is told, by number; "" where there is one only."""
        first, last = self.groups[0].common["number"], self.groups[-1].common["number"]
        return "" if first == last else f"{first} to {last} alike."

    @property
    def minded(self) -> Minded:
        """What is to be minded with the cure, each with the places where that is so."""
        at: dict[str, list[str]] = {}
        for place in (each for group in self.groups for each in group.places):
            at.setdefault(place["subject"], []).extend(place["caveats"])
        return minded(at)


# What stands once for all places of a group: another ruleset may be less sure, or ask for more.
_IN_COMMON = (
    *("rule", "says", "cite", "confidence", "status", "why", "remedy", "done_by"),
    *("verify_in", "grade", "duty", "code"),
)


def minded(caveats: Mapping[str, Iterable[str]]) -> Minded:
    """Caveats by subject turned round: where each holds, "here" if that is everywhere."""
    where: dict[str, dict[str, None]] = {}
    for subject, every in caveats.items():
        for each in every:
            where.setdefault(each, {})[subject] = None
    return [
        ("here" if len(subjects) == len(caveats) else f"at {', '.join(subjects)}", caveat)
        for caveat, subjects in where.items()
    ]


def grouped(findings: Iterable[Data], *also: str) -> list[Group]:
    """Findings of one rule in the same words together; they are alike in `also` as well."""
    groups: dict[str, Group] = {}
    for each in findings:
        key = str([each[name] for name in (*_IN_COMMON, *also)])
        groups.setdefault(key, Group(each, [])).places.append(each)
    return list(groups.values())


def blocks(groups: Iterable[Group]) -> list[Block]:
    """Groups with one reason and cure together, in the order of the first of each."""
    found: dict[str, Block] = {}
    for each in groups:
        told = [each.common[name] for name in ("why", "remedy", "done_by", "duty")]
        found.setdefault(str((told, each.correct_within)), Block([])).groups.append(each)
    return list(found.values())


def joins(finding: Data) -> bool:
    """Whether it is told beside the finding that it counts with, of another rule at its place.

    What a programme grades, dates or asks to be reported stands by itself.
    """
    other = finding["counts_with"] not in ("", finding["rule"])
    return other and not (finding["grade"] or finding["correct_within"] or finding["duty"])


def counts_with(finding: Data, lead: Data) -> bool:
    """Whether a finding is counted with another one."""
    same = ("of", "subject")
    return (
        all(finding[name] == lead[name] for name in same)
        and [finding[name] for name in COUNTED] == [lead["rule"], lead["under"]]
        and not lead["counts_with"]
    )


def numbered(findings: Sequence[Data]) -> list[dict[str, Any]]:
    """Findings with the number that stands at them in a report: one for all that are told together.

    It counts from 1 in reading order; what joins another finding has the number of that.
    """
    alone = [each for each in findings if not joins(each)]
    by_severity: dict[str, list[Group]] = {}
    for group in grouped(alone, "severity"):
        by_severity.setdefault(group.common["severity"], []).append(group)
    told = (
        each for groups in by_severity.values() for block in blocks(groups) for each in block.groups
    )
    number = {id(each): count for count, group in enumerate(told, 1) for each in group.places}
    return [
        {
            **each,
            "number": number.get(id(each))
            or next(number[id(lead)] for lead in alone if counts_with(each, lead)),
        }
        for each in findings
    ]


def tested(findings: Iterable[Data]) -> dict[str, dict[str, list[str]]]:
    """What instruments and buttons showed: question -> answer -> the subjects, each once."""
    told: dict[str, dict[str, dict[str, None]]] = {}
    for each in findings:
        for seen in each["seen"]:
            if seen["tested"]:
                shown = told.setdefault(seen["ask"], {}).setdefault(seen["answer"], {})
                shown.setdefault(each["subject"])
    return {
        ask: {answer: list(subjects) for answer, subjects in answers.items()}
        for ask, answers in told.items()
    }


def _decided(place: Data) -> list[Data]:
    return [seen for seen in place["seen"] if seen["decided"]]
