"""What became of each deficiency from one record of a dwelling to a later one."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, get_args

from walkthrough.judge.alike import Alike, Change, changes_behind
from walkthrough.judge.house import SubjectKey
from walkthrough.judge.judge import KINDS, SEVERITIES, Judgement, Verdict
from walkthrough.survey.model import Recheck, Session

Became = Literal[
    "worse",
    "still open",
    "new",
    "not checked",
    "corrected by papers alone",
    "corrected, with a new defect",
    "no longer found",
    "corrected",
]
BECAME: tuple[Became, ...] = get_args(Became)
"""In the order in which one wants to read them."""

STANDS: tuple[Became, ...] = BECAME[: BECAME.index("corrected, with a new defect")]
"""What nobody has shown to be corrected."""

_GONE = ("met", "excepted", "not applicable")


@dataclass(frozen=True)
class Compared:
    """One deficiency of one subject by one rule, in the old record, the new one, or both.

    `was` and `now` are what the rule says; None where the subject is not in that record. `told` is
    what the new record tells of a re-check, and `contradiction` says where that and the rule do
    not agree. `changes` are the recorded differences among what decided, `new_there` the rules that
    find something at the subject that was not found before.
    """

    became: Became
    was: Verdict | None
    now: Verdict | None
    told: Recheck | None = None
    reason: str = ""
    contradiction: str = ""
    changes: tuple[Change, ...] = ()
    new_there: tuple[str, ...] = ()


@dataclass(frozen=True)
class Visits:
    """Two records of a dwelling under one rulebook; `by_work` are the answers that work changes."""

    old: Judgement
    new: Judgement
    alike: Alike
    by_work: Collection[str]

    @cached_property
    def compared(self) -> list[Compared]:
        """Every deficiency of either record, by what became of it; a note demands nothing."""
        found = [*self._of_old(), *self._new]
        return sorted(found, key=lambda each: (BECAME.index(each.became), self._weight(each)))

    @cached_property
    def _told(self) -> dict[tuple[str, str, str], Recheck]:
        """The last that the new record tells of each re-check, and the old one does not."""
        told = fresh_rechecks(self.old.session, self.new.session)
        told.sort(key=lambda each: (each.on, not each.under or self.new.under in each.under))
        return {(each.of, each.subject, each.rule): each for each in told}

    @cached_property
    def _new(self) -> list[Compared]:
        found = []
        for now in _deficient(self.new):
            old_key = self.alike.old_of.get((now.of, now.subject))
            was = _verdict(self.old, old_key, now)
            if was is None or was.decision.outcome != "deficient":
                changes = changes_behind(self.old, self.new, self.alike, was, now)
                reason = _before(was, old_key)
                found.append(Compared("new", was, now, reason=reason, changes=changes))
        return found

    def _of_old(self) -> Iterator[Compared]:
        for was in self.old.verdicts:
            if was.decision.outcome != "deficient":
                continue
            new_key = self.alike.new_of.get((was.of, was.subject))
            now = _verdict(self.new, new_key, was)
            kinds = {
                each.decision.kind for each in (was, now) if each is not None and _stands(each)
            }
            if kinds != {"note"}:
                yield self._became(was, now, new_key)

    def _became(self, was: Verdict, now: Verdict | None, key: SubjectKey | None) -> Compared:
        of, name = key or (was.of, was.subject)
        told = self._told.get((of, name, was.decision.rule.id))
        changes = changes_behind(self.old, self.new, self.alike, was, now)
        became, reason = self._class(was, now, key, told, changes)
        new_there: tuple[str, ...] = ()
        if became == "corrected":
            there = (e.now for e in self._new if e.now and (e.now.of, e.now.subject) == key)
            new_there = tuple(dict.fromkeys(each.decision.rule.id for each in there))
            became = "corrected, with a new defect" if new_there else became
        against = _contradiction(told, now)
        return Compared(became, was, now, told, reason, against, changes, new_there)

    def _class(
        self,
        was: Verdict,
        now: Verdict | None,
        key: SubjectKey | None,
        told: Recheck | None,
        changes: tuple[Change, ...],
    ) -> tuple[Became, str]:
        """What became of a deficiency, and the words for why; "" where nothing needs saying."""
        if now is not None and now.decision.outcome == "deficient" and self._is_worse(was, now):
            return "worse", _graver(self._grade(self.old, was), self._grade(self.new, now))
        if told is not None and told.outcome.startswith("corrected") and not told.looked:
            gone = now is not None and now.decision.outcome in _GONE
            return "corrected by papers alone", (
                "nobody looked, but by what is recorded now the rule finds it no longer"
                if gone
                else ""
            )
        if now is None:
            return "not checked", "it is not in the new record" if key is None else (
                "it is no longer judged by itself in the new record"
            )
        outcome = now.decision.outcome
        if outcome in _GONE:
            return self._gone(told, changes)
        if outcome == "undecided":
            return "not checked", "an answer that decides it is not known in the new record"
        if outcome == "ask the AHJ":
            return "still open", "only the authority having jurisdiction can settle it now"
        if told is not None:
            return _found_again(told)
        if self._is_reinspection and not changes:
            return "not checked", "no re-check of it is recorded, and nothing differs there"
        return "still open", ""

    def _gone(self, told: Recheck | None, changes: tuple[Change, ...]) -> tuple[Became, str]:
        """A deficiency that the rule finds no longer: by work, or by other answers alone."""
        if told is not None and told.outcome.startswith("corrected"):
            return "corrected", ""
        if told is not None:
            return "no longer found", f"recorded answers differ; its re-check: {_outcome(told)}"
        if any(each.tested or each.question in self.by_work for each in changes):
            return "corrected", "by what is recorded now; no re-check of it is recorded"
        if changes:
            return "no longer found", "answers differ that no work changes"
        return "no longer found", "nothing differs among the answers that decided it"

    @property
    def other_rechecks(self) -> list[Recheck]:
        """Re-checks with an outcome, of what the rule does not find in the old record."""
        used = [each.told for each in self.compared if each.told is not None]
        return [
            each
            for each in self._told.values()
            if each.outcome != "to check" and not any(each is one for one in used)
        ]

    @property
    def _is_reinspection(self) -> bool:
        return bool(fresh_rechecks(self.old.session, self.new.session))

    def _grade(self, judgement: Judgement, verdict: Verdict) -> tuple[str, str]:
        return judgement.severity(verdict), verdict.decision.kind

    def _is_worse(self, was: Verdict, now: Verdict) -> bool:
        before, after = self._grade(self.old, was), self._grade(self.new, now)
        return _rank(after) < _rank(before)

    def _weight(self, each: Compared) -> tuple[int, int]:
        if each.now is not None and _stands(each.now):
            return _rank(self._grade(self.new, each.now))
        return _rank(self._grade(self.old, each.was)) if each.was is not None else (0, 0)


def fresh_rechecks(old: Session, new: Session) -> list[Recheck]:
    """The re-checks of the new record that do not stand in the old one already."""
    return [each for each in new.rechecks if each not in old.rechecks]


def _deficient(judgement: Judgement) -> Iterator[Verdict]:
    """What is held against a subject; a note demands nothing."""
    for each in judgement.verdicts:
        if each.decision.outcome == "deficient" and each.decision.kind != "note":
            yield each


def _verdict(there: Judgement, key: SubjectKey | None, like: Verdict) -> Verdict | None:
    """What the same rule says of a subject in the other record."""
    subject = there.house.subjects.get(key) if key is not None else None
    every = there.on(subject) if subject is not None else []
    return next((e for e in every if e.decision.rule.id == like.decision.rule.id), None)


def _stands(verdict: Verdict) -> bool:
    return verdict.decision.outcome == "deficient"


def _rank(grade: tuple[str, str]) -> tuple[int, int]:
    severity, kind = grade
    return SEVERITIES.index(severity), KINDS.index(kind)


def _graver(before: tuple[str, str], after: tuple[str, str]) -> str:
    return f"was {', '.join(before)}; is {', '.join(after)}"


def _before(was: Verdict | None, old_key: SubjectKey | None) -> str:
    if old_key is None:
        return "it is not in the old record"
    outcome = was.decision.outcome if was is not None else ""
    return {
        "undecided": "it was open in the old record, not found to be good",
        "ask the AHJ": "in the old record only the authority could settle it",
    }.get(outcome, "")


def _found_again(told: Recheck) -> tuple[Became, str]:
    """A deficiency that the rule finds again: by a look, or only because nothing was changed."""
    return "not checked" if told.outcome in ("to check", "not checked") else "still open", ""


def _outcome(told: Recheck) -> str:
    return "without an outcome" if told.outcome == "to check" else told.outcome


def _contradiction(told: Recheck | None, now: Verdict | None) -> str:
    """Where what was told of a re-check and what the rule says do not agree."""
    if told is None:
        return ""
    outcome = "absent" if now is None else now.decision.outcome
    if told.outcome.startswith("corrected"):
        return {
            "absent": "The re-check says corrected, but it is not in the new record.",
            "deficient": "The re-check says corrected, but the rule still finds it by the answers "
            "that are recorded.",
            "undecided": "The re-check says corrected, but an answer that decides it is not known.",
            "ask the AHJ": "The re-check says corrected, but only the authority having "
            "jurisdiction can settle it.",
        }.get(outcome, "")
    if told.outcome == "not corrected" and outcome in _GONE:
        return (
            "The re-check says not corrected, but the rule finds it no longer by the answers that "
            "are recorded."
        )
    return ""
