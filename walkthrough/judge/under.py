"""One record under several rulesets at once, each finding saying under which it stands."""

from __future__ import annotations

import datetime
import hashlib
import re
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from walkthrough.judge.as_built import AsBuilt, judge_as_built
from walkthrough.judge.judge import Judgement, NotTested, Sample, Verdict, judge
from walkthrough.judge.matter import counting, matter
from walkthrough.rulebook.declarations import Question
from walkthrough.rulebook.files import read_toml, ruleset_files
from walkthrough.rulebook.load import load
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.order import in_order
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Finding, Session

AS_BUILT = "as built"


@dataclass(frozen=True)
class Told:
    """A finding, and every judgement in which it came out in the same words and sections."""

    finding: Finding
    judged: tuple[Judgement, ...]

    @property
    def under(self) -> list[str]:
        return [each.under for each in self.judged]

    @property
    def verdict(self) -> Verdict:
        """What the rule says, in the first judgement in which it came out so."""
        return self.judged[0].verdict(self.finding)


@dataclass(frozen=True)
class Judged:
    """A record judged under chosen rulesets, by the editions of its years, or both."""

    session: Session
    chosen: tuple[Judgement, ...]
    as_built: AsBuilt | None = None
    notice: datetime.date | None = None
    """The day from which the times for the correction count; None where it was not told."""

    @property
    def all(self) -> tuple[Judgement, ...]:
        return (*self.chosen, *(self.as_built.judged if self.as_built else ()))

    @property
    def name(self) -> str:
        """The ruleset that is named first: the first chosen one, else the view as built."""
        return self.chosen[0].book.id if self.chosen else AS_BUILT

    @property
    def fingerprint(self) -> str:
        """The fingerprint of the first chosen ruleset, else of all editions that were looked up."""
        if self.chosen:
            return self.chosen[0].book.fingerprint
        prints = sorted({each.book.fingerprint for each in self.all})
        return "sha256:" + hashlib.sha256("\n".join(prints).encode()).hexdigest()

    @cached_property
    def findings(self) -> list[Told]:
        """The deficiencies of all judgements: gravest first, the same finding told once."""
        found: dict[Hashable, tuple[Finding, list[Judgement]]] = {}
        for judgement in self.all:
            for each in judgement.findings:
                found.setdefault(_told(judgement, each), (each, []))[1].append(judgement)
        told = [Told(finding, tuple(judged)) for finding, judged in found.values()]
        return sorted(told, key=lambda each: each.judged[0].urgent(each.verdict))

    @cached_property
    def _counting(self) -> dict[int, Told]:
        matters = [matter(each.verdict, each.finding.severity) for each in self.findings]
        leads = (self.findings[number] for number in counting(matters))
        return {id(each): lead for each, lead in zip(self.findings, leads, strict=True)}

    def counts_with(self, told: Told) -> Told:
        """The finding that one of `findings` counts with: itself, or one whose cure cures it too.

        Several rules or rulesets may find the same, tell it in other words or sections, or grade it
        otherwise; the gravest counts.
        """
        return self._counting[id(told)]

    @property
    def once(self) -> list[Finding]:
        """The findings that count."""
        return [each.finding for each in self.findings if self.counts_with(each) is each]

    @property
    def whole(self) -> Judgement | None:
        """A judgement of the whole record, for what hangs on no ruleset and no year."""
        return self.chosen[0] if self.chosen else self.as_built.there if self.as_built else None

    @property
    def samples(self) -> list[Sample]:
        """How many receptacles of each room were tested."""
        return self.whole.samples if self.whole is not None else []

    def to_record(self) -> list[Finding]:
        """The deficiencies as a record keeps them: it says under which only if it names several."""
        several = len(self.chosen) > 1 or self.as_built is not None
        return [
            told.finding.model_copy(update={"under": told.under if several else []})
            for told in self.findings
        ]

    @cached_property
    def not_tested(self) -> list[NotTested]:
        """The limits of the survey, each told once."""
        every = (*self.all, *([self.as_built.there] if self.as_built else ()))
        return list(dict.fromkeys(each for one in every for each in one.not_tested))


def judge_under(
    session: Session,
    books: Sequence[Rulebook],
    editions: Sequence[Rulebook] = (),
    lag_years: int | None = None,
) -> Judged:
    """Judge a record under each of the rulebooks, and as built where editions are given."""
    return Judged(
        session,
        tuple(judge(session, book) for book in books),
        judge_as_built(session, editions, lag_years) if editions else None,
    )


def _told(judgement: Judgement, finding: Finding) -> Hashable:
    """All that is told of a finding: only what is the same in every word is told once."""
    verdict = judgement.verdict(finding)
    declared = verdict.decision.rule.declared
    return (
        (finding.of, finding.subject, finding.rule, finding.kind, finding.severity, finding.says),
        (finding.confidence, *finding.cite),
        (declared.why, judgement.remedy(verdict), declared.cure, declared.done_by),
        tuple(judgement.caveats(verdict)),
        (declared.duty, declared.code),
        (declared.grade, tuple(judgement.deadlines(verdict))),
    )


def own_rulesets(session: Session) -> list[str]:
    """The names of the rulesets that a record is judged by, each once."""
    named = (session.judged_by, *session.judged_also)
    return list(dict.fromkeys(each.ruleset for each in named))


def refuse_missing(session: Session, path: Path) -> None:
    """Raise Unusable where a ruleset that a record names is not there, with its line."""
    there = ruleset_files()
    for place, each in enumerate((session.judged_by, *session.judged_also)):
        if each.ruleset not in there:
            own = ("judged_by", "ruleset") if not place else ("judged_also", place - 1, "ruleset")
            where = locate(path.read_text(encoding="utf-8"), own)
            hint = nearest(each.ruleset, there)
            message = f"judged by '{each.ruleset}', which is not there; {hint}"
            raise Unusable([Problem(str(path), *where, message)])


def questions_of(books: Sequence[Rulebook]) -> dict[str, Question]:
    """Everything that rulesets ask; where several ask the same, as the first of them words it."""
    return in_order(
        {word: each for book in reversed(books) for word, each in book.questions.items()}
    )


def editions_of(series: str = "") -> tuple[Rulebook, ...]:
    """The rulesets of one series, the oldest first; without a name, of the only one there is.

    Raises Unusable where the series is not there, or where there is a choice and none was made.
    """
    named = series_files()
    if series not in named and (series or len(named) != 1):
        found = f"no series '{series}'" if series else "more than one series"
        message = f"{found} of rulesets; {nearest(series, named)}"
        raise Unusable([Problem("--series", 0, 0, message)])
    name = series or next(iter(named))
    dated = [book for book in map(load, named[name]) if book.in_force_from is not None]
    if not dated:
        message = f"no ruleset of the series '{name}' says from when it was in force"
        raise Unusable([Problem("--series", 0, 0, message)])
    return tuple(sorted(dated, key=lambda book: str(book.in_force_from)))


def series_files() -> dict[str, list[Path]]:
    """The files of every series; a file that cannot be read and names none is left alone."""
    named: dict[str, list[Path]] = {}
    for path in ruleset_files().values():
        try:
            found = read_toml(path)[0].get("series")
        except Unusable:
            if re.search(rb"(?m)^series\s*=", path.read_bytes()):
                raise
            continue
        if isinstance(found, str) and found:
            named.setdefault(found, []).append(path)
    return named
