"""What a printed report holds, in reading order, drawn from the judged data alone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from walkthrough.report.firm import Firm
from walkthrough.report.first_page import UNTIL, Urgent, first_lines, off_together, urgent
from walkthrough.report.groups import (
    COUNTED,
    Block,
    Group,
    blocks,
    counts_with,
    grouped,
    joins,
    tested,
)
from walkthrough.report.photo_files import Shown
from walkthrough.report.pictures import Pictures
from walkthrough.report.words import A_TEST, NOT_CONFIRMED, READERS, SEVERITY, due_words

# Beside the word, so that it is seen at a glance also in black and white.
SIGNS = {"hazard": "!!!", "serious": "!!", "upgrade": "!", "info": "i"}

Data = Mapping[str, Any]


@dataclass(frozen=True)
class Grave:
    """All findings of one severity."""

    severity: str
    heading: str
    sign: str
    groups: list[Group]

    @property
    def blocks(self) -> list[Block]:
        """The same, those with one reason and cure together."""
        return blocks(self.groups)


@dataclass
class OnCircuit:
    """What an electrician needs at one circuit; `circuit` is None for what is on none."""

    circuit: Data | None
    findings: list[Data] = field(default_factory=list)
    actions: list[Data] = field(default_factory=list)

    @property
    def groups(self) -> list[Group]:
        """Its findings, those of one rule in the same words once."""
        return grouped(self.findings, "severity", "kind", "under", *COUNTED)

    @property
    def work(self) -> list[Group]:
        """Its work, what is done in the same way at several places once."""
        groups: dict[str, Group] = {}
        for each in self.actions:
            alike = {name: value for name, value in each.items() if name not in ("at", "why")}
            groups.setdefault(str(alike), Group(each, [])).places.append(each)
        return list(groups.values())


@dataclass(frozen=True)
class Document:
    """One report for one reader: the data of `replay`, of `plan` if there is one, and the firm.

    `photos` are the pictures that are at hand, by their names.
    """

    data: Data
    reader: str
    plan: Data | None = None
    firm: Firm | None = None
    photos: Mapping[str, Shown] = field(default_factory=dict)

    @cached_property
    def pictures(self) -> Pictures:
        """Its drawings, and the tables that say the same."""
        return Pictures(self.data)

    @property
    def title(self) -> str:
        return f"{self.data['session']}: receptacles and circuits, {READERS[self.reader]}"

    @property
    def several(self) -> bool:
        """Whether it has to be said under which ruleset something stands."""
        return len(self.data["rulesets"]) > 1

    @property
    def other_rules(self) -> list[tuple[str, Data]]:
        """By what the record was judged before, where those rules were not quite these."""
        if all(each["as_built_in"] is not None for each in self.data["rulesets"]):
            return []
        before = self.data["judged_before"]
        return [("The record", each) for each in before if each["other_rules"]]

    @property
    def since(self) -> list[Data]:
        """The rulesets by which the record comes out otherwise than it keeps it."""
        parts = ("came", "went", "regraded")
        return [e for e in self.data["judged_before"] if any(e[part] for part in parts)]

    @cached_property
    def every_severity(self) -> list[Grave]:
        """The findings, gravest first; also severities of which there is none.

        What joins another finding at its place, as it counts with that, is left to `also`.
        """
        found = [each for each in self.data["deficiencies"] if not joins(each)]
        return [
            Grave(
                severity,
                heading,
                SIGNS[severity],
                grouped(each for each in found if each["severity"] == severity),
            )
            for severity, heading in SEVERITY.items()
        ]

    def anchor(self, finding: Data) -> str:
        """By what a link leads to a finding; to the circuits where it stands there."""
        return "circuits" if self.reader == "electrician" else f"finding-{finding['number']}"

    def also(self, group: Group) -> list[Group]:
        """What else asks for the same at places of a group, and is told beside it."""
        return grouped(
            (
                each
                for each in self.data["deficiencies"]
                if joins(each) and any(counts_with(each, lead) for lead in group.places)
            ),
            "severity",
            "kind",
            "under",
        )

    @property
    def unknown(self) -> list[str]:
        """Where nothing is known, as it was not reached, each place once."""
        return self._missed(in_part=False)

    @property
    def in_part(self) -> list[str]:
        """What was seen or tested in part only, each place once."""
        return self._missed(in_part=True)

    @property
    def left_out(self) -> list[str]:
        """What the survey as a whole left out."""
        return list(dict.fromkeys(e["place"] for e in self.data["not_tested"] if not e["of"]))

    def _missed(self, in_part: bool) -> list[str]:
        missed = (e for e in self.data["not_tested"] if e["of"] and e["in_part"] == in_part)
        return list(dict.fromkeys(each["place"] for each in missed))

    @property
    def by_severity(self) -> list[Grave]:
        """The findings, gravest first."""
        return [each for each in self.every_severity if each.groups]

    def shown(self, photo: Data) -> Shown:
        """A picture as it stands in the page, or why it does not."""
        return self.photos.get(photo["name"], Shown())

    def photos_of(self, finding: Data) -> list[Data]:
        """The pictures of what a finding is about."""
        about = finding["of"], finding["subject"]
        return [each for each in self.data["photos"] if (each["of"], each["subject"]) == about]

    def sign(self, severity: str) -> str:
        """The sign that stands beside the word for a severity."""
        return SIGNS[severity]

    @cached_property
    def _urgent(self) -> list[Urgent]:
        return urgent(self.data["deficiencies"])

    @property
    def now(self) -> list[Group]:
        """What is dangerous now, the most dangerous first; one danger at a place stands once."""
        return first_lines(self._urgent)

    @property
    def said_once(self) -> dict[str, str]:
        """Sentences that stand beside all findings, and beside all tests."""
        return {"not_confirmed": NOT_CONFIRMED, "a_test": A_TEST}

    @property
    def until_then(self) -> str:
        """What is to be done about the dangers before they are put right."""
        return UNTIL

    @property
    def off_together(self) -> dict[str, list[str]]:
        """The circuits of these that share a neutral -> those to be switched off with each."""
        return off_together((each.finding for each in self._urgent), self.data)

    def others(self, place: Data) -> list[Data]:
        """How other rulesets put a danger that is told at a place of `now`."""
        return next(each.others for each in self._urgent if each.finding is place)

    @property
    def dangerous(self) -> list[str]:
        """Where it is dangerous now, each place once; of a circuit, all that hangs on it."""
        told = ((each.finding["place"], self.hanging_on(each.finding)) for each in self._urgent)
        return list(dict.fromkeys(f"{at} ({on})" if on else at for at, on in told))

    def hanging_on(self, finding: Data) -> str:
        """The outlets of a circuit; "" for what is no circuit."""
        if finding["of"] != "circuit":
            return ""
        outlets = [e["id"] for e in self.data["outlets"] if e["circuit"] == finding["subject"]]
        return ", ".join(outlets)

    @property
    def tested(self) -> dict[str, dict[str, list[str]]]:
        """What was tested where something was found: question -> answer -> the subjects."""
        return tested(self.data["deficiencies"])

    @property
    def worked_on(self) -> list[Data]:
        """The circuits on which the plan has work to be done."""
        parts = self.plan["circuits"] if self.plan else []
        planned = {name for part in parts if part["actions"] for name in part["circuits"]}
        return [each for each in self.data["circuits"] if each["id"] in planned]

    @cached_property
    def _cleared(self) -> set[tuple[str, str, str]]:
        cleared = self.plan["cleared"] if self.plan else []
        return {(each["of"], each["subject"], each["rule"]) for each in cleared}

    def is_planned(self, group: Group) -> bool:
        """Whether the plan clears a group of findings at all of its places."""
        return all(map(self._is_cleared, group.places))

    @property
    def left_by_plan(self) -> list[int]:
        """The numbers of the findings that the plan does not clear at all of their places."""
        left = (
            each["number"]
            for each in self.data["deficiencies"]
            if not joins(each) and each["kind"] != "note" and not self._is_cleared(each)
        )
        return sorted(set(left))

    def _is_cleared(self, finding: Data) -> bool:
        # A plan names once what counts once, and a rule of its second ruleset by that as well.
        if finding["counts_with"]:
            rule, under = finding["counts_with"], finding["counts_with_under"]
        else:
            rule, under = finding["rule"], finding["under"]
        named = {rule, *(f"{each}/{rule}" for each in under)}
        at = finding["of"], finding["subject"]
        return any((*at, each) in self._cleared for each in named)

    @property
    def like_others(self) -> list[str]:
        """Places that nobody reached and that the plan takes for such as the rest of a circuit."""
        assumed = self.plan["assumed"] if self.plan else []
        return list(dict.fromkeys(each["outlet"] for each in assumed))

    @property
    def deadlines(self) -> dict[str, dict[str, list[Data]]]:
        """Programme -> time for the correction -> findings."""
        return deadlines(self.data["deficiencies"])

    @property
    def soonest(self) -> dict[str, tuple[str, list[str]]]:
        """Programme -> the shortest time that it sets, and the places, each once."""
        first = {
            programme: next(iter(times.items())) for programme, times in self.deadlines.items()
        }
        return {
            programme: (within, list(dict.fromkeys(each["place"] for each in found)))
            for programme, (within, found) in first.items()
        }

    @property
    def waiting(self) -> dict[str, list[str]]:
        """What is open: the subjects, in one line -> the questions that would decide them."""
        waiting: dict[str, dict[str, None]] = {}
        for each in self.data["undecided"]:
            for one in each["questions"]:
                at = "" if one["subject"] == each["subject"] else f"{one['subject']}: "
                waiting.setdefault(each["subject"], {}).setdefault(f"{at}{one['ask']}")
        # Sixty places that wait for the same measurement are one line to read, not sixty.
        alike: dict[tuple[str, ...], list[str]] = {}
        for subject, asked in waiting.items():
            alike.setdefault(tuple(sorted(asked)), []).append(subject)
        return {", ".join(subjects): list(waiting[subjects[0]]) for subjects in alike.values()}

    @property
    def notes(self) -> dict[str, list[str]]:
        """Each note with all subjects that have it, in the order of the walk."""
        notes: dict[str, list[str]] = {}
        for each in self.data["notes"]:
            notes.setdefault(each["note"], []).append(each["subject"])
        return notes

    @property
    def samples(self) -> list[Data]:
        """The rooms in which not every receptacle was tested."""
        return [each for each in self.data["samples"] if each["tested"] < each["of"]]

    @property
    def rechecked(self) -> dict[str, list[Data]]:
        """What became of each deficiency of an earlier visit, and what is new."""
        recheck = self.data["recheck"]
        outcomes = {
            outcome: [each for each in recheck["items"] if each["outcome"] == outcome]
            for outcome in recheck["counts"]
        }
        outcomes["new"] = recheck["new"]
        return {outcome: items for outcome, items in outcomes.items() if items}

    @property
    def circuits(self) -> list[OnCircuit]:
        """Findings and work by circuit, in the order of the panel; what is on none comes last."""
        at: dict[tuple[str, str], OnCircuit] = {}
        sheets: list[OnCircuit] = []
        for circuit in self.data["circuits"]:
            sheet = OnCircuit(circuit)
            sheets.append(sheet)
            at["circuit", circuit["id"]] = sheet
            at.update({("outlet", each["outlet"]): sheet for each in circuit["wiring"]})
        elsewhere = OnCircuit(None)
        for finding in self.data["deficiencies"]:
            at.get((finding["of"], finding["subject"]), elsewhere).findings.append(finding)
        for action in _actions(self.plan):
            at.get((action["of"], action["at"]), elsewhere).actions.append(action)
        return [*sheets, *([elsewhere] if elsewhere.findings or elsewhere.actions else [])]


def deadlines(findings: Iterable[Data]) -> dict[str, dict[str, list[Data]]]:
    """Programme -> time for the correction, the shortest first -> findings."""
    every = [(each, finding) for finding in findings for each in finding["correct_within"]]
    due: dict[str, dict[str, list[Data]]] = {}
    for each, finding in sorted(every, key=lambda pair: float(pair[0]["hours"])):
        due.setdefault(each["programme"], {}).setdefault(due_words(each), []).append(finding)
    return due


def _actions(plan: Data | None) -> Sequence[Data]:
    return [action for part in plan["circuits"] for action in part["actions"]] if plan else []
