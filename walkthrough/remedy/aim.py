"""What a plan may not leave: which deficiencies count, and when a rule is deficient for sure."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from walkthrough.judge.judge import SEVERITIES
from walkthrough.remedy.declarations import ScopeDeclared
from walkthrough.remedy.loosen import Broken, Cures
from walkthrough.rulebook.declarations import FindingKind
from walkthrough.rulebook.rulebook import Rule
from walkthrough.rulebook.situation import Situation


@dataclass(frozen=True)
class Aim:
    """What a plan has to clear: the deficiencies of a scope, and any that it would bring about.

    `before` are those that were found, `cures` what they ask for at each subject. `only` are the
    ones to clear, if it is not all of the scope.
    """

    scope: ScopeDeclared
    before: Mapping[Broken, FindingKind]
    cures: Cures
    only: Collection[Broken] | None = None

    def counts(
        self,
        rule: Rule,
        kind: FindingKind,
        key: tuple[str, str],
        anew: Collection[str] = (),
    ) -> bool:
        """Whether a deficiency by this rule, of this kind, may not be left.

        `anew` are the answers by which rules bind work, as far as work of the plan has set them: a
        defect by a rule that reads one of them is the plan's own, whatever was found before.
        """
        if kind == "note":
            return False
        if kind == "defect" and not rule.words.isdisjoint(anew):
            return True
        if (*key, rule.id) not in self.before:
            return True
        if self.only is not None:
            return (*key, rule.id) in self.only
        severity = rule.declared.severity
        if kind == "defect":
            # As the judge has it: work that had to comply is never a mere upgrade.
            severity = min(severity, "serious", key=SEVERITIES.index)
        return any(
            (not each.kind or kind in each.kind)
            and (not each.severity or severity in each.severity)
            and (not each.topic or rule.declared.topic in each.topic)
            for each in self.scope.takes
        )


def kind_of(rule: Rule, facts: Situation) -> FindingKind:
    """The kind of a deficiency as it stands; a defect only where that is known."""
    worse = rule.defect_when is not None and rule.defect_when.truth(facts)
    return "defect" if worse else rule.declared.kind
