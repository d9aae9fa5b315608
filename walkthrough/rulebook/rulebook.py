"""A ruleset with everything it extends, resolved and compiled: what the judge works with."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from walkthrough.rulebook.conditions import And, Node, Not, leaves
from walkthrough.rulebook.decision import Decision
from walkthrough.rulebook.declarations import (
    AsBuilt,
    CaveatDeclared,
    DangerDeclared,
    Deadline,
    Demand,
    ExceptionDeclared,
    Explained,
    Gather,
    Outcome,
    Question,
    RoomTemplate,
    RuleDeclared,
    TableDeclared,
)
from walkthrough.rulebook.kleene import Facts, Truth, Unknown, compiled, weighing
from walkthrough.rulebook.together import Together, together
from walkthrough.rulebook.words import Vocabulary


@dataclass(frozen=True)
class Condition:
    """One compiled expression with the text it was written as."""

    text: str
    node: Node

    @cached_property
    def quick(self) -> Callable[[Facts], bool]:
        """The compiled form; most conditions are only used compiled together with others."""
        return compiled(self.node)

    @cached_property
    def weigh(self) -> Callable[[Facts], Truth]:
        """Kleene's form, for where something is unknown."""
        return weighing(self.node)

    def truth(self, facts: Facts) -> Truth:
        """By the compiled form, and by Kleene's tables past an unknown."""
        try:
            return bool(self.quick(facts))
        except Unknown:
            return self.weigh(facts)


@dataclass(frozen=True)
class Exempt:
    """A compiled exception of a rule."""

    declared: ExceptionDeclared
    when: Condition


@dataclass(frozen=True)
class Disputed:
    """A compiled dispute of a rule."""

    readings: tuple[str, ...]
    when: Condition


@dataclass(frozen=True)
class Due:
    """A compiled deadline of a rule."""

    declared: Deadline
    when: Condition


@dataclass(frozen=True)
class Danger:
    """A danger of a ruleset, compiled; `first_when` is None where no place comes first."""

    word: str
    declared: DangerDeclared
    first_when: Condition | None


@dataclass(frozen=True)
class Caveat:
    """What to mind with some cures, compiled."""

    declared: CaveatDeclared
    when: Condition
    unless: Condition

    def holds(self, rule: RuleDeclared, facts: Facts) -> bool:
        """Whether it is told with what is to be done for a rule, by what is known of the place."""
        declared = self.declared
        concerned = rule.topic not in declared.except_topics and {*rule.cure} & {*declared.cures}
        return bool(
            concerned and self.when.truth(facts) is True and self.unless.truth(facts) is not True
        )


@dataclass(frozen=True)
class YearSource:
    """A kind of subject and the question that tells a year, where it counts and where it must."""

    of: str
    take: str
    when: Condition
    must: Condition


@dataclass(frozen=True)
class Lens:
    """How a kind of subject is seen as it was when it was made, compiled.

    `years` holds, in order, what to look at.
    """

    declared: AsBuilt
    years: tuple[YearSource, ...]


@dataclass(frozen=True)
class Rule:
    """One compiled rule."""

    id: str
    declared: RuleDeclared
    when: Condition
    exceptions: tuple[Exempt, ...]
    needs: Condition
    disputed: tuple[Disputed, ...]
    defect_when: Condition | None
    deadlines: tuple[Due, ...] = ()
    danger: Danger | None = None

    @cached_property
    def conditions(self) -> tuple[Node, ...]:
        """Every condition that decides the outcome, in the order that `outcome` expects."""
        return (
            self.when.node,
            *(exempt.when.node for exempt in self.exceptions),
            self.needs.node,
            *(dispute.when.node for dispute in self.disputed),
        )

    @cached_property
    def _all_of(self) -> And:
        """All that makes it deficient."""
        when, *against = self.conditions
        return And((when, *map(Not, against)))

    @cached_property
    def deficient(self) -> Condition:
        """What `outcome` calls deficient, as one condition."""
        return Condition(f"{self.id} is deficient", self._all_of)

    @cached_property
    def _weighed(self) -> tuple[Callable[[Facts], Truth], ...]:
        return tuple(map(weighing, self._all_of.parts))

    def is_deficient(self, facts: Facts) -> bool:
        """Whether `deficient` is known to hold; it stops at the first part that is not."""
        try:
            return self.deficient.quick(facts)
        except Unknown:
            return all(weigh(facts) for weigh in self._weighed)

    @cached_property
    def words(self) -> frozenset[str]:
        """The base words that the outcome can depend on."""
        return frozenset(word for node in self.conditions for word in leaves(node))

    @cached_property
    def not_applicable(self) -> Decision:
        """What most rules say of most subjects: it is always the same, and is made once."""
        return self.decided("not applicable")

    def decided(self, outcome: Outcome) -> Decision:
        """The decision for an outcome where nothing but the rule tells its kind and grounds."""
        demanded = outcome in ("met", "deficient", "ask the AHJ")
        return Decision(self, outcome, self.declared.kind, demanded=demanded)

    def outcome(self, truths: tuple[bool, ...]) -> Outcome:
        """The outcome for two-valued truths of `conditions`."""
        count = len(self.exceptions)
        if not truths[0]:
            return "not applicable"
        if any(truths[1 : 1 + count]):
            return "excepted"
        if truths[1 + count]:
            return "met"
        return "ask the AHJ" if any(truths[2 + count :]) else "deficient"


@dataclass(frozen=True)
class Source:
    """One ruleset file that was read, and the ids of the rules that it states itself."""

    path: Path
    text: str
    rules: frozenset[str]


@dataclass(frozen=True)
class Rulebook:
    """A loaded ruleset; `chain` lists its files, the base first; `terms` holds the demands too.

    `series` is what it says of itself; `lineage` the series that it or a file below belongs to.
    """

    id: str
    title: str
    chain: tuple[Source, ...]
    fingerprint: str
    in_force_from: datetime.date | None
    in_force_to: datetime.date | None
    series: str
    lineage: str
    vocabulary: Vocabulary
    questions: Mapping[str, Question]
    asked_when: Mapping[str, Condition]
    tables: Mapping[str, TableDeclared]
    topics: Mapping[str, str]
    terms: Mapping[str, Condition]
    demands: Mapping[str, Demand]
    gathers: Mapping[str, tuple[Gather, Condition]]
    settled_when: Mapping[str, Condition]
    """By gather: when no more of what it counts can come; a gather without it counts what is."""
    rules: Mapping[str, Rule]
    notices: tuple[str, ...] = ()
    verify_in: str = ""
    """The text in which its rules are verified, to be read after "in"."""
    section_forms: tuple[str, ...] = ()
    own_years: frozenset[str] = frozenset()
    as_built: Mapping[str, Lens] = field(default_factory=dict)
    room_templates: Mapping[str, RoomTemplate] = field(default_factory=dict)
    cures: Mapping[str, str] = field(default_factory=dict)
    caveats: Mapping[str, Caveat] = field(default_factory=dict)
    dangers: Mapping[str, Danger] = field(default_factory=dict)
    explained: Mapping[str, Explained] = field(default_factory=dict)

    @cached_property
    def rules_of(self) -> Mapping[str, tuple[Rule, ...]]:
        """Rules by the kind of subject they judge; withdrawn ones are left out."""
        scopes: dict[str, list[Rule]] = {}
        for rule in self.rules.values():
            if rule.declared.status != "withdrawn":
                scopes.setdefault(rule.declared.of, []).append(rule)
        return {scope: tuple(rules) for scope, rules in scopes.items()}

    @cached_property
    def counts_when(self) -> Mapping[str, Condition]:
        """Where a question makes sense, by its word: elsewhere its answer counts as not given."""
        return {
            word: sense
            for word, sense in self.asked_when.items()
            if word in self.questions and not self.questions[word].counts_once_told
        }

    @cached_property
    def asked_first(self) -> Mapping[str, frozenset[str]]:
        """The questions by the kind of subject at which an answer is looked for first.

        Those are left out that are answered for several circuits at once, and those that are put
        only where something holds: there it has to be seen first.
        """
        kinds: dict[str, set[str]] = {}
        for word, question in self.questions.items():
            if word not in self.asked_when and not question.one_for_shared_neutral:
                kinds.setdefault(question.of[0], set()).add(word)
        return {kind: frozenset(words) for kind, words in kinds.items()}

    @cached_property
    def together(self) -> Mapping[str, Together]:
        """The rules of each kind of subject, compiled into one function."""
        return {scope: together(rules) for scope, rules in self.rules_of.items()}
