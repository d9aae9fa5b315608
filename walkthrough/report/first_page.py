"""What the first page of a report says is to be done first: one line for a danger at a place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from walkthrough.report.groups import Data, Group, grouped

UNTIL = (
    "Until each of these is put right, use nothing there, keep children away, and have its circuit "
    "switched off. Find out first what else goes off with it: smoke alarms, medical equipment, a "
    "sump pump and a freezer need somebody who minds them. Labels at a panel may be wrong: a lamp "
    "at another, sound outlet of the circuit goes out, or an electrician shows that it is off. All "
    "this is common practice, no source."
)
"""What is to be done about a danger before it is put right."""


@dataclass(frozen=True)
class Urgent:
    """A danger at a place as one ruleset puts it, and how others put it there."""

    finding: Data
    others: list[Data] = field(default_factory=list)

    def takes(self, other: Data, alike: tuple[str, ...]) -> bool:
        """Whether another finding puts the same danger at the place, under rulesets not yet here.

        Two findings of one ruleset are two defects, and both have a line.
        """
        mine = self.finding
        here = {under for each in (mine, *self.others) for under in each["under"]}
        same = ("of", "subject", *alike)
        return (
            mine["danger"]["word"] == other["danger"]["word"]
            and all(mine[name] == other[name] for name in same)
            and here.isdisjoint(other["under"])
        )


def urgent(findings: Iterable[Data]) -> list[Urgent]:
    """The gravest findings that count, most dangerous first; what several rulesets find, once.

    Under a second ruleset the same danger may stand in other words, or with another cure: it goes
    with the line of the same topic and cures, else of one of them.
    """
    lines: list[Urgent] = []
    for each in findings:
        if each["severity"] != "hazard" or each["counts_with"]:
            continue
        fits = (
            line
            for alike in (("topic", "cure"), ("topic",), ("cure",))
            for line in lines
            if line.takes(each, alike)
        )
        line = next(fits, None)
        if line is None:
            lines.append(Urgent(each))
        else:
            line.others.append(each)
    return lines


def off_together(findings: Iterable[Data], data: Data) -> dict[str, list[str]]:
    """The circuits of findings that share a neutral -> those to be switched off with each."""
    outlets = {each["id"]: each["circuit"] for each in data["outlets"]}
    shares = {each["id"]: each["shares_neutral_with"] for each in data["circuits"]}
    at = (
        each["subject"] if each["of"] == "circuit" else outlets.get(each["subject"])
        for each in findings
        if each["of"] in ("circuit", "outlet")
    )
    return {each: shares[each] for each in dict.fromkeys(at) if each and shares.get(each)}


def first_lines(lines: Iterable[Urgent]) -> list[Group]:
    """The lines of one rule and of one danger together, so that none stands before a graver one."""
    return grouped((each.finding for each in lines), "danger")
