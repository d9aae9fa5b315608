"""What findings count together: one place, one danger, one work, so that curing one cures both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from walkthrough.judge.judge import KINDS, SEVERITIES, Verdict
from walkthrough.rulebook.conditions import And, Fixed, Node, Or, Term


@dataclass(frozen=True)
class Matter:
    """What a deficiency is about.

    `rule` is the id without a ruleset before it, `danger` the word of its danger (the topic where
    it has none), `ways` are the ways in which what the rule needs can be fulfilled, each as all
    that must be true for it; none where the rule allows no way. `grade` is how grave it is, the
    gravest lowest.
    """

    of: str
    subject: str
    rule: str
    danger: str
    cures: frozenset[str]
    ways: frozenset[frozenset[Node]]
    grade: tuple[int, int]

    @property
    def note(self) -> bool:
        """Whether nothing is demanded."""
        return self.grade[1] == KINDS.index("note")

    def settles(self, other: Matter) -> bool:
        """Whether the other one counts with this: it asks for the same, or for no more.

        Either it is the same rule in another ruleset, or the same work is the cure and each way of
        fulfilling this one fulfils the other as well. Dangers of two kinds never count together.
        """
        if (self.danger, self.note) != (other.danger, other.note):
            return False
        if self.rule == other.rule:
            return True
        alike = self.cures == other.cures and bool(self.ways) and not self.note
        return alike and all(any(way <= mine for way in other.ways) for mine in self.ways)


def matter(verdict: Verdict, severity: str, rule: str = "") -> Matter:
    """What a deficiency is about; `rule` is its id where that of the verdict has more before it."""
    decided = verdict.decision.rule
    declared = decided.declared
    return Matter(
        verdict.of,
        verdict.subject,
        rule or decided.id,
        decided.danger.word if decided.danger else declared.topic,
        frozenset(declared.cure),
        frozenset(_ways(decided.needs.node)),
        (SEVERITIES.index(severity), KINDS.index(verdict.decision.kind)),
    )


def counting(matters: Sequence[Matter]) -> list[int]:
    """With which of them each one counts, by number: with itself, or with one at least as grave.

    Of those alike grave the strictest leads, then the first.
    """

    def strict(number: int) -> tuple[object, ...]:
        each = matters[number]
        return each.grade, len(each.ways), -sum(map(len, each.ways))

    leads: dict[tuple[str, str], list[int]] = {}
    found = list(range(len(matters)))
    for number in sorted(found, key=strict):
        each = matters[number]
        here = leads.setdefault((each.of, each.subject), [])
        lead = next((one for one in here if matters[one].settles(each)), None)
        if lead is None:
            here.append(number)
        else:
            found[number] = lead
    return found


def _ways(needs: Node) -> set[frozenset[Node]]:
    needs = _plain(needs)
    if needs == Fixed(False):
        return set()
    if isinstance(needs, Or):
        return {way for part in needs.parts for way in _ways(part)}
    return {frozenset(_parts(needs))}


def _parts(needs: Node) -> set[Node]:
    needs = _plain(needs)
    if isinstance(needs, And):
        return {one for part in needs.parts for one in _parts(part)}
    return {needs}


def _plain(needs: Node) -> Node:
    return _plain(needs.body) if isinstance(needs, Term) else needs
