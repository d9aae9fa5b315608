"""All rules on one kind of subject as one compiled function: judging is mostly this."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, TypeAlias

from walkthrough.rulebook.conditions import And, Node
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

_DEEPEST = 12
"""Python refuses more than 20 blocks in each other."""


def together(rules: Sequence[Rule]) -> Together:
    """A function that decides the rules in order, each exactly as by itself.

    Most rules do not apply to most subjects, so that is what it starts from. What several rules
    ask for before they apply is looked at once. While everything that matters is known, the outcome
    of a rule is what Python's own `and`, `or` and `not` make of its conditions. An unknown
    raises; the rules that it concerns are then weighed one by one.
    """
    text = _Text()
    before = text.constant([each.not_applicable for each in rules])
    pending = [(number, rule, _parts(rule)) for number, rule in enumerate(rules)]
    lines = [
        "def decide_all(facts, finish, weigh):",
        f" made = {before}.copy()",
        *(f" {line}" for line in text.block(pending, 0)),
        " return made",
    ]
    scope: dict[str, object] = {"__builtins__": {}, "Unknown": Unknown, **text.names}
    exec(compile("\n".join(lines), "<ruleset>", "exec"), scope)
    made: Together = scope.pop("decide_all")  # type: ignore[assignment]
    return made


_Pending: TypeAlias = "tuple[int, Rule, tuple[Node, ...]]"
"""A rule by its number, and what of its `when` has not been looked at yet."""


def _parts(rule: Rule) -> tuple[Node, ...]:
    when = rule.when.node
    return tuple(dict.fromkeys(when.parts)) if isinstance(when, And) else (when,)


class _Text:
    """The Python text of the function; values stand in it as constants by number."""

    def __init__(self) -> None:
        self._constants: list[object] = []

    @property
    def names(self) -> dict[str, object]:
        """What the text calls its constants."""
        return {f"constant_{number}": each for number, each in enumerate(self._constants)}

    def constant(self, value: object) -> str:
        self._constants.append(value)
        return f"constant_{len(self._constants) - 1}"

    def block(self, pending: Sequence[_Pending], depth: int) -> Iterator[str]:
        """Decide the rules, beginning with the condition that most of them have in common."""
        groups: dict[Node | None, list[_Pending]] = {}
        for each in pending:
            groups.setdefault(each[2][0] if each[2] else None, []).append(each)
        for shared, group in groups.items():
            if shared is None or len(group) < 2 or depth > _DEEPEST:
                for each in group:
                    yield from self._alone(each)
            else:
                inside = [(number, rule, parts[1:]) for number, rule, parts in group]
                lines = [
                    f"if {self._written(shared)}:",
                    *(f" {line}" for line in self.block(inside, depth + 1)),
                ]
                yield from self._guarded(lines, inside)

    def _alone(self, pending: _Pending) -> Iterator[str]:
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
        yield from self._guarded([f"if {when}:", f" made[{number}] = {' '.join(ways)}"], [pending])

    def _guarded(self, lines: Sequence[str], pending: Sequence[_Pending]) -> Iterator[str]:
        yield "try:"
        yield from (f" {each}" for each in lines)
        yield "except Unknown:"
        for number, rule, _ in pending:
            yield f" made[{number}] = weigh({self.constant(rule)}, facts)"

    def _written(self, node: Node) -> str:
        return source(node, self._constants)

    def _decision(self, rule: Rule, outcome: Outcome) -> str:
        """A decision that hangs on nothing but its outcome is made once."""
        if rule.defect_when is not None or outcome in ("excepted", "ask the AHJ"):
            return f"finish({self.constant(rule)}, facts, {self.constant(outcome)})"
        return self.constant(rule.decided(outcome))
