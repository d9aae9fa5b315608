"""What a printed comparison of two records holds, in reading order, drawn from its data alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from walkthrough.judge.visits import STANDS
from walkthrough.report.document import SIGNS, deadlines
from walkthrough.report.firm import Firm
from walkthrough.report.groups import Group, grouped
from walkthrough.report.text import joined
from walkthrough.report.words import READERS, SEVERITY

Data = Mapping[str, Any]

MEANS = {
    "worse": "It was found before, and weighs more now.",
    "still open": "It was found before, and the rule still finds it.",
    "new": "It was not found before. It may be new, or not have been seen.",
    "not checked": "It was found before, and nobody can say from the new record what became of it.",
    "corrected by papers alone": "Papers say that it was corrected; nobody looked.",
    "corrected, with a new defect": "The rule finds it no longer, but something else at the same "
    "place, which stands among the new ones.",
    "no longer found": "The rule finds it no longer, but no work is told that would explain it: "
    "the first answer may have been wrong, or the second is.",
    "corrected": "The rule finds it no longer, and a re-check, a test or an answer that work "
    "changes tells why.",
}
"""What each word for what became of a deficiency means."""


@dataclass(frozen=True)
class Part:
    """The deficiencies of which the same became; those of one rule in the same words together."""

    became: str
    means: str
    count: int
    groups: list[Group]

    @property
    def stands(self) -> bool:
        """Whether nobody has shown that they are corrected."""
        return self.became in STANDS


@dataclass(frozen=True)
class VisitsPage:
    """A comparison for one reader: the data of `compare`, and the firm."""

    data: Data
    reader: str = "client"
    firm: Firm | None = None

    @property
    def title(self) -> str:
        new = self.data["new"]["session"]
        return f"{new}: what became of the deficiencies, {READERS[self.reader]}"

    @property
    def several(self) -> bool:
        """Whether it has to be said under which ruleset something stands."""
        return len(self.data["rulesets"]) > 1

    @property
    def other_rules(self) -> list[tuple[str, Data]]:
        """By what each record was judged before, where those rules were not quite these."""
        return [
            (told, each)
            for told, record in (("The old record", "old"), ("The new record", "new"))
            for each in self.data[record]["judged_before"]
            if each["other_rules"]
        ]

    @property
    def every_part(self) -> list[Part]:
        """What became of the deficiencies; also where of none became so."""
        return [
            Part(
                became,
                MEANS[became],
                count,
                grouped(
                    (each for each in self.data["items"] if each["became"] == became), "severity"
                ),
            )
            for became, count in self.data["counts"]["became"].items()
        ]

    @property
    def parts(self) -> list[Part]:
        """What became of the deficiencies, what stands first."""
        return [each for each in self.every_part if each.groups]

    @property
    def deadlines(self) -> dict[str, dict[str, list[Data]]]:
        """Programme -> time for the correction -> what is not shown to be corrected."""
        return deadlines(each for each in self.data["items"] if each["became"] in STANDS)

    def corrected(self, work: Data) -> dict[str, list[str]]:
        """What went with some work: the words of the deficiency -> where it stood."""
        gone: dict[str, list[str]] = {}
        for each in work["corrected"]:
            gone.setdefault(each["says"], []).append(each["subject"])
        return gone

    @property
    def contradictions(self) -> list[Data]:
        """Where what was told of a re-check and the rule do not agree."""
        return [each for each in self.data["items"] if each["contradiction"]]

    @property
    def severities(self) -> Iterator[tuple[str, str, int]]:
        """Sign, words and how many of each severity were not shown to be corrected."""
        counts = self.data["counts"]["not_shown_corrected_by_severity"]
        for severity, heading in SEVERITY.items():
            yield SIGNS[severity], heading, counts[severity]

    @property
    def waiting(self) -> dict[str, list[str]]:
        """What is open in the new record: subject -> the questions that would decide it."""
        waiting: dict[str, dict[str, None]] = {}
        for each in self.data["undecided"]:
            for one in each["questions"]:
                waiting.setdefault(each["subject"], {}).setdefault(asked(each, one))
        return {subject: list(questions) for subject, questions in waiting.items()}


def told_words(told: Data) -> str:
    """What the new record tells of a re-check."""
    outcome = "no outcome" if told["outcome"] == "to check" else told["outcome"]
    corrected = outcome.startswith("corrected")
    looked = ("looked at" if told["looked"] else "by the papers alone") if corrected else ""
    return joined(
        (
            f"re-check of {told['on']}: {outcome}",
            looked,
            told["reason"],
            f"receipt or permit {told['receipt']}" if told["receipt"] else "",
            f"work by {told['work_by']}" if told["work_by"] else "",
            f"done {told['work_on']}" if told["work_on"] else "",
            f"new there: {', '.join(told['new'])}" if told["new"] else "",
        )
    )


def change_words(subject: str, change: Data) -> str:
    """Something that is recorded differently at a place."""
    at = "" if change["subject"] == subject else f"{change['subject']}: "
    tested = " (tested)" if change["tested"] else ""
    named = change["question"].replace("_", " ")
    return f"{at}{named}: {change['was']} -> {change['now']}{tested}"


def asked(item: Data, question: Data) -> str:
    """A question as it is put; with the subject where it is put elsewhere."""
    at = "" if question["subject"] == item["subject"] else f"{question['subject']}: "
    return f"{at}{question['ask']}"
