"""Whether rule cases show every condition of a rule deciding its outcome on its own.

A condition is shown, true or false, by a case in which turning it alone over would change the
outcome (modified condition/decision coverage). Terms are opened; a demand, which stands for all
rules of a topic, counts as one condition.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from walkthrough.judge.case_files import problems_of, read_cases
from walkthrough.judge.cases import situation_of
from walkthrough.rulebook.conditions import And, Fixed, Node, Not, Or, Term, written
from walkthrough.rulebook.kleene import Truth, both, either, evaluate, opposite
from walkthrough.rulebook.load import load
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.rulebook.situation import Situation


@dataclass(frozen=True)
class Gap:
    """A condition that no case shows deciding the outcome with that truth."""

    rule: str
    condition: Node
    truth: bool

    @property
    def told(self) -> str:
        return written(self.condition)

    @property
    def said(self) -> str:
        return "true" if self.truth else "false"


@dataclass(frozen=True)
class Coverage:
    """How much of one ruleset's own rules its cases show."""

    ruleset: str
    wanted: int
    gaps: tuple[Gap, ...]
    excused: tuple[Gap, ...] = ()
    """Conditions that the ruleset lists, with a reason, as beyond any case."""

    @property
    def shown(self) -> int:
        return self.wanted - len(self.gaps) - len(self.excused)


def coverage(path: Path, folders: Sequence[Path] | None = None) -> Coverage:
    """The coverage of the rules that the ruleset of a case file states itself.

    Cases of the file that name another ruleset show nothing of this one. Raises Unusable where a
    case has a slip.
    """
    cases, text = read_cases(path)
    if not cases.ruleset:
        message = 'no ruleset named: write ruleset = "..." at the top'
        raise Unusable([Problem(str(path), 1, 1, message)])
    book = load(cases.ruleset, folders)
    own = [rule for name, rule in book.rules.items() if name in book.chain[-1].rules]
    wanted = {
        rule.id: {(atom, truth) for atom in _atoms(rule, book) for truth in (True, False)}
        for rule in own
    }
    total = sum(len(each) for each in wanted.values())
    numbered = [
        (number, case)
        for number, case in enumerate(cases.case)
        if case.ruleset in ("", cases.ruleset)
    ]
    problems = [
        problem
        for number, case in numbered
        for problem in problems_of(case, number, book, text, str(path))
    ]
    if problems:
        raise Unusable(problems)
    for _, case in numbered:
        facts, _ = situation_of(case, book)
        for rule in own:
            if wanted[rule.id]:
                wanted[rule.id] -= set(_decided_by(rule, facts, wanted[rule.id]))
    gaps = [Gap(name, atom, truth) for name, left in wanted.items() for atom, truth in left]
    gaps.sort(key=lambda gap: (gap.rule, gap.told, gap.truth))
    excused = {
        (rule.id, each.condition, each.truth) for rule in own for each in rule.declared.unexercised
    }
    return Coverage(
        book.id,
        total,
        tuple(gap for gap in gaps if (gap.rule, gap.told, gap.truth) not in excused),
        tuple(gap for gap in gaps if (gap.rule, gap.told, gap.truth) in excused),
    )


def _atoms(rule: Rule, book: Rulebook) -> list[Node]:
    found: dict[Node, None] = {}

    def visit(node: Node) -> None:
        match node:
            case Fixed():
                pass
            case Term(name, body) if name not in book.demands:
                visit(body)
            case Not(part):
                visit(part)
            case And(parts) | Or(parts):
                for part in parts:
                    visit(part)
            case _:
                found.setdefault(node)

    for condition in rule.conditions:
        visit(condition)
    return list(found)


def _decided_by(
    rule: Rule, facts: Situation, wanted: set[tuple[Node, bool]]
) -> Iterator[tuple[Node, bool]]:
    came = _outcome(rule, facts, None)
    if came is None:
        return
    for atom in {atom for atom, _ in wanted}:
        truth = evaluate(atom, facts)
        if truth is not None and (atom, truth) in wanted:
            turned = _outcome(rule, facts, atom)
            if turned is not None and turned != came:
                yield atom, truth


def _outcome(rule: Rule, facts: Situation, turned: Node | None) -> str | None:
    """The outcome with one condition turned over; None where it stays open."""
    count = len(rule.exceptions)
    truths = [_truth(node, facts, turned) for node in rule.conditions]
    applies, needs = truths[0], truths[1 + count]
    excepted, disputed = either(truths[1 : 1 + count]), either(truths[2 + count :])
    if applies is False:
        return "not applicable"
    if applies is None or excepted is None:
        return None
    if excepted:
        return "excepted"
    if needs is None:
        return None
    if needs:
        return "met"
    return None if disputed is None else "ask the AHJ" if disputed else "deficient"


def _truth(node: Node, facts: Situation, turned: Node | None) -> Truth:
    if node == turned:
        return opposite(evaluate(node, facts))
    match node:
        case Term(_, body):
            return _truth(body, facts, turned)
        case Not(part):
            return opposite(_truth(part, facts, turned))
        case And(parts):
            return both(_truth(part, facts, turned) for part in parts)
        case Or(parts):
            return either(_truth(part, facts, turned) for part in parts)
        case _:
            return evaluate(node, facts)
