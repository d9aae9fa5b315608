"""All rules on one kind of subject as one compiled function: judging is mostly this."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeAlias

from walkthrough.rulebook.conditions import And, Node, Not, Or, Term
from walkthrough.rulebook.decision import Decision
from walkthrough.rulebook.declarations import Outcome
from walkthrough.rulebook.kleene import Unknown, source
from walkthrough.rulebook.situation import Situation

if TYPE_CHECKING:
    from walkthrough.rulebook.rulebook import Rule

Finish: TypeAlias = "Callable[[Rule, Situation, Outcome], Decision]"
"""Makes the decision for an outcome that is known."""
Weigh: TypeAlias = "Callable[[Rule, Situation], Decision]"
"""Decides one rule by itself, where an unknown matters."""
Together: TypeAlias = Callable[[Situation, Finish, Weigh], list[Decision]]

_OFTEN = 5
"""A word that is read more often than this gets a local variable; fewer do not pay for it."""
_SHORT = 4
"""A term of at most so many parts stands written out; a longer one is asked of the facts."""
_DEEPEST = 24
"""Python refuses more than 20 blocks in each other; each takes two steps of depth."""


def together(rules: Sequence[Rule]) -> Together:
    """A function that decides the rules in order, each exactly as by itself.

    Most rules do not apply to most subjects, so that is what it starts from. What several rules
    ask for before they apply is looked at once. While everything that matters is known, the outcome
    of a rule is what Python's own `and`, `or` and `not` make of its conditions. An unknown
    raises; the rules that it concerns are then weighed one by one.
    """
    text = _Text(_read_often(rules))
    text.head(rules)
    text.block([(number, rule, _parts(rule)) for number, rule in enumerate(rules)], 1)
    text.line(1, "return made")
    scope: dict[str, object] = {"__builtins__": {}, "Unknown": Unknown, **text.names}
    exec(compile("\n".join(text.lines), "<ruleset>", "exec"), scope)
    made: Together = scope.pop("decide_all")  # type: ignore[assignment]
    return made


def _read_often(rules: Sequence[Rule]) -> list[str]:
    """The words for which a local variable pays."""
    read: Counter[str] = Counter()

    def reading(word: str, _: Node | None) -> str:
        read[word] += 1
        return ""

    for rule in rules:
        for node in rule.conditions:
            source(node, [], reading)
    return [word for word, times in read.items() if times > _OFTEN]


_Pending: TypeAlias = "tuple[int, Rule, tuple[Node, ...]]"
"""A rule by its number, and what of its `when` has not been looked at yet."""


def _parts(rule: Rule) -> tuple[Node, ...]:
    when = rule.when.node
    return tuple(dict.fromkeys(when.parts)) if isinstance(when, And) else (when,)


def _short(term: Node) -> bool:
    """Whether a term may stand written out wherever it is read."""
    parts = term.parts if isinstance(term, And | Or) else (term,)
    return len(parts) <= _SHORT and not any(isinstance(e, And | Or | Not | Term) for e in parts)


class _Text:
    """The Python text of the function; values stand in it as constants by number.

    The words that are read `often` are kept in local variables once they were asked for.
    """

    def __init__(self, often: Sequence[str]) -> None:
        self.lines: list[str] = []
        self._constants: list[object] = []
        self._kept = {word: f"word_{number}" for number, word in enumerate(often)}

    @property
    def names(self) -> dict[str, object]:
        """What the text calls its constants."""
        return {f"constant_{number}": each for number, each in enumerate(self._constants)}

    def constant(self, value: object) -> str:
        self._constants.append(value)
        return f"constant_{len(self._constants) - 1}"

    def line(self, depth: int, text: str) -> None:
        self.lines.append(" " * depth + text)

    def head(self, rules: Sequence[Rule]) -> None:
        """What stands before any rule: none of them applies, and no word was asked for."""
        before = self.constant([each.not_applicable for each in rules])
        self.line(0, "def decide_all(facts, finish, weigh):")
        self.line(1, f"made = {before}.copy()")
        for each in self._kept.values():
            self.line(1, f"{each} = None")

    def block(self, pending: Sequence[_Pending], depth: int) -> None:
        """Decide the rules, beginning with the condition that most of them have in common."""
        groups: dict[Node | None, list[_Pending]] = {}
        for each in pending:
            groups.setdefault(each[2][0] if each[2] else None, []).append(each)
        for shared, group in groups.items():
            if shared is None or len(group) < 2 or depth > _DEEPEST:
                for each in group:
                    self._alone(each, depth)
            else:
                inside = [(number, rule, parts[1:]) for number, rule, parts in group]
                self.line(depth, "try:")
                self.line(depth + 1, f"if {self._written(shared)}:")
                self.block(inside, depth + 2)
                self._unless_known(inside, depth)

    def _alone(self, pending: _Pending, depth: int) -> None:
        number, rule, parts = pending
        ways = [
            f"{self._decision(rule, 'excepted')} if {self._written(each.when.node)} else"
            for each in rule.exceptions
        ]
        ways.append(f"{self._decision(rule, 'met')} if {self._written(rule.needs.node)} else")
        ways += [
            f"{self._decision(rule, 'ask the AHJ')} if {self._written(each.when.node)} else"
            for each in rule.disputed
        ]
        ways.append(self._decision(rule, "deficient"))
        when = " and ".join(map(self._written, parts)) or "True"
        self.line(depth, "try:")
        self.line(depth + 1, f"if {when}:")
        self.line(depth + 2, f"made[{number}] = {' '.join(ways)}")
        self._unless_known([pending], depth)

    def _unless_known(self, pending: Sequence[_Pending], depth: int) -> None:
        self.line(depth, "except Unknown:")
        for number, rule, _ in pending:
            self.line(depth + 1, f"made[{number}] = weigh({self.constant(rule)}, facts)")

    def _written(self, node: Node) -> str:
        return source(node, self._constants, self._reading)

    def _reading(self, word: str, means: Node | None) -> str:
        here = self._kept.get(word)
        asked = f"facts[{word!r}]" if means is None or not _short(means) else self._written(means)
        return f"({here} if {here} is not None else ({here} := {asked}))" if here else asked

    def _decision(self, rule: Rule, outcome: Outcome) -> str:
        """A decision that hangs on nothing but its outcome is made once."""
        if outcome == "excepted" and len(rule.exceptions) == 1 and rule.defect_when is None:
            only = tuple(rule.exceptions[0].declared.cite)
            return self.constant(rule.decided(outcome)._replace(excepted_by=only))
        if rule.defect_when is not None or outcome in ("excepted", "ask the AHJ"):
            return f"finish({self.constant(rule)}, facts, {self.constant(outcome)})"
        return self.constant(rule.decided(outcome))
