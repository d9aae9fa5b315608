"""What a record keeps of its judgement: by which rulesets, and what became of each finding."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Finding, FindingState, JudgedBy, Recheck, Session


def judged_by(book: Rulebook) -> JudgedBy:
    """A ruleset as a record names it."""
    return JudgedBy(ruleset=book.id, fingerprint=book.fingerprint)


def name_rulesets(session: Session, books: Sequence[Rulebook]) -> bool:
    """Name the rulesets in a session, the first one first; whether they were others before."""
    first, *also = map(judged_by, books)
    if [first, *also] == [session.judged_by, *session.judged_also]:
        return False
    session.judged_by, session.judged_also = first, also
    return True


def with_states(session: Session, found: Iterable[Finding]) -> list[Finding]:
    """What is found now, with what became of each as the session tells it."""
    states = {_same(each): each.state for each in session.findings}
    rechecked = {(each.of, each.subject, each.rule): each for each in session.rechecks}
    return [each.model_copy(update={"state": _state(each, states, rechecked)}) for each in found]


def _state(
    finding: Finding,
    states: Mapping[tuple[str, ...], FindingState],
    rechecked: Mapping[tuple[str, str, str], Recheck],
) -> FindingState:
    """What became of a finding that still comes out: papers can say that it was corrected."""
    before = states.get(_same(finding), finding.state)
    recheck = rechecked.get((finding.of, finding.subject, finding.rule))
    if recheck is None or before == "accepted":
        return before
    return "corrected" if recheck.outcome == "corrected" and not recheck.looked else "open"


def _same(finding: Finding) -> tuple[str, ...]:
    # Under several rulesets one rule can tell a subject two things, each with a state of its own.
    several = (finding.kind, finding.says, *finding.cite) if finding.under else ()
    return finding.of, finding.subject, finding.rule, *several
