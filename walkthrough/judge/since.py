"""What a record says that it was judged by, and what the same rulesets find otherwise today."""

from __future__ import annotations

from dataclasses import dataclass

from walkthrough.judge.judge import Judgement
from walkthrough.judge.under import Judged
from walkthrough.survey.model import Finding, JudgedBy


@dataclass(frozen=True)
class Since:
    """One ruleset of a record: its fingerprint when it was last judged by, and now.

    `now` is "" where the ruleset is not among those judged by here. `came`, `went` and `regraded`
    (before, after) set today's findings beside the deficiencies that the record keeps.
    """

    ruleset: str
    before: str
    now: str
    came: tuple[Finding, ...] = ()
    went: tuple[Finding, ...] = ()
    regraded: tuple[tuple[Finding, Finding], ...] = ()

    @property
    def by_other_rules(self) -> bool:
        """Whether the rules are not quite those by which the record was judged."""
        return bool(self.before) and self.before != self.now

    @property
    def differs(self) -> bool:
        """Whether anything comes out otherwise than the record keeps it."""
        return bool(self.came or self.went or self.regraded)


def since_judged(judged: Judged) -> list[Since]:
    """Each ruleset that the record names; nothing is compared where it was never judged by it."""
    session = judged.session
    here = {each.book.id: each for each in judged.chosen}
    return [
        _since(judged, each, here.get(each.ruleset))
        for each in (session.judged_by, *session.judged_also)
    ]


def _since(judged: Judged, told: JudgedBy, judgement: Judgement | None) -> Since:
    now = judgement.book.fingerprint if judgement is not None else ""
    if judgement is None or not told.fingerprint:
        return Since(told.ruleset, told.fingerprint, now)
    kept = {
        _key(each): each
        for each in judged.session.findings
        if told.ruleset in each.under or not each.under
    }
    found = {_key(each): each for each in judgement.findings}
    return Since(
        told.ruleset,
        told.fingerprint,
        now,
        tuple(each for key, each in found.items() if key not in kept),
        tuple(each for key, each in kept.items() if key not in found),
        tuple(
            (kept[key], each)
            for key, each in found.items()
            if key in kept and _grade(kept[key]) != _grade(each)
        ),
    )


def _key(finding: Finding) -> tuple[str, str, str]:
    return finding.of, finding.subject, finding.rule


def _grade(finding: Finding) -> tuple[str, str]:
    return finding.kind, finding.severity
