"""The readable trail behind an outcome: which answers and which conditions decided it."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from walkthrough.rulebook.conditions import (
    And,
    Answer,
    Compare,
    Fixed,
    Has,
    InRow,
    Literal,
    LookUp,
    Node,
    Not,
    OneOf,
    Operand,
    Or,
    Said,
    Term,
    leaves,
)
from walkthrough.rulebook.decision import Decision
from walkthrough.rulebook.kleene import Truth, evaluate, operand_value
from walkthrough.rulebook.rulebook import Condition, Rulebook
from walkthrough.rulebook.situation import Situation

_TRUTHS: Mapping[Truth, str] = {True: "yes", False: "no", None: "not known"}
_LIMITS = {"==": "", "<": "less than ", "<=": "at most ", ">": "more than ", ">=": "at least "}


@dataclass(frozen=True)
class Step:
    """One line of a trail; `depth` counts how deep it stands under its heading."""

    depth: int
    text: str


def trail(decision: Decision, situation: Situation, book: Rulebook) -> list[Step]:
    """Why the decision came out as it did, down to the recorded answers and their limits."""
    return list(_Teller(situation, book).tell(decision))


def deciding_words(decision: Decision, situation: Situation) -> tuple[str, ...]:
    """The words of the parts that decided an outcome, those of what is demanded first."""
    rule = decision.rule
    nodes = (*_deciding(rule.needs.node, situation), *_deciding(rule.when.node, situation))
    return tuple(dict.fromkeys(word for node in nodes for word in leaves(node)))


def failing_words(decision: Decision, situation: Situation) -> tuple[str, ...]:
    """Those of them that show what is not fulfilled; where nothing could fulfil it, all."""
    nodes = _deciding(decision.rule.needs.node, situation)
    words = tuple(dict.fromkeys(word for node in nodes for word in leaves(node)))
    return words or deciding_words(decision, situation)


def _deciding(node: Node, facts: Situation) -> Iterator[Node]:
    """The undivided parts that decided a condition."""
    match node:
        case Term(_, part) | Not(part):
            yield from _deciding(part, facts)
        case And() | Or():
            for part in _deciding_parts(node, facts):
                yield from _deciding(part, facts)
        case _:
            yield node


def _deciding_parts(node: And | Or, facts: Situation) -> Sequence[Node]:
    """Of a false `and` or a true `or` one part is enough; otherwise all count."""
    enough = isinstance(node, Or)
    truths: list[Truth] = []
    for part in node.parts:
        truth = evaluate(part, facts)
        if truth is enough:
            return [part]
        truths.append(truth)
    whole = None if None in truths else not enough
    return [part for part, truth in zip(node.parts, truths, strict=True) if truth is whole]


def spoken(word: str, value: Any, book: Rulebook) -> str:
    """A recorded value as a person would say it, with its unit."""
    question = book.questions.get(word)
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        choices = question.choices if question else {}
        return ", ".join(choices.get(str(each), str(each)) for each in value) or "none"
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, int | float):
        if value == float("inf"):
            return question.none.lower() if question and question.none else "none"
        unit = f" {question.unit}" if question and question.unit and question.unit != "year" else ""
        return f"{value:g}{unit}"
    return question.choices.get(str(value), str(value)) if question else str(value)


class _Teller:
    def __init__(self, situation: Situation, book: Rulebook) -> None:
        self._facts = situation
        self._book = book

    def tell(self, decision: Decision) -> Iterator[Step]:
        rule = decision.rule
        if decision.outcome == "undecided":
            for word in decision.waits_for:
                yield Step(0, f"open: {self._label(word)}")
            yield from self._part("applies", rule.when)
            return
        if decision.outcome == "not applicable":
            yield from self._part("does not apply", rule.when)
            return
        yield from self._part("applies", rule.when)
        for exempt in rule.exceptions:
            held = exempt.when.truth(self._facts)
            if held or decision.outcome != "excepted":
                name = f"exception {', '.join(exempt.declared.cite)}"
                yield from self._part(name if held else f"{name} does not hold", exempt.when)
        if decision.outcome != "excepted":
            heading = "is fulfilled" if decision.outcome == "met" else "is not fulfilled"
            yield from self._part(heading, rule.needs)
        for reading in decision.readings:
            yield Step(0, f"reading: {reading}")

    def _part(self, heading: str, condition: Condition) -> Iterator[Step]:
        yield Step(0, f"{heading}:")
        yield from self._why(condition.node, 1)

    def _why(self, node: Node, depth: int) -> Iterator[Step]:
        """The parts that decided a condition: what does not matter is left out."""
        match node:
            case Term(name, body):
                truth = evaluate(node, self._facts)
                yield Step(depth, f"{_readable(name)}: {_TRUTHS[truth]}")
                yield from self._why(body, depth + 1)
            case Not(part):
                yield from self._why(part, depth)
            case And() | Or():
                for part in _deciding_parts(node, self._facts):
                    yield from self._why(part, depth)
            case Fixed():
                yield Step(depth, "always" if node.value else "never")
            case _:
                yield Step(depth, self._leaf(node))

    def _leaf(self, node: Node) -> str:
        match node:
            case Said(name):
                return self._value(name)
            case Has(tag, name):
                held = evaluate(node, self._facts)
                question = self._book.questions.get(name)
                wanted = question.choices.get(tag, tag) if question else tag
                return f"{self._value(name)} ({wanted}: {_TRUTHS[held]})"
            case OneOf(name, values):
                listed = " or ".join(spoken(name, value, self._book) for value in values[:8])
                return f"{self._value(name)} (asked for: {listed})"
            case InRow(name, row):
                cell = operand_value(row, self._facts)
                listed = " or ".join(spoken(name, each, self._book) for each in cell or ())
                return f"{self._value(name)} (table {_readable(row.table)}: {listed})"
            case Compare(sign, left, right):
                return f"{self._operand(left)} ({_LIMITS[sign]}{self._limit(left, right)})"
            case _:
                return _TRUTHS[evaluate(node, self._facts)]

    def _operand(self, operand: Operand) -> str:
        match operand:
            case Answer(name):
                return self._value(name)
            case LookUp(table):
                return f"table {_readable(table)}: {operand_value(operand, self._facts)}"
            case Literal(value):
                return str(value)

    def _limit(self, left: Operand, right: Operand) -> str:
        word = left.name if isinstance(left, Answer) else ""
        if isinstance(right, Literal):
            return spoken(word, right.value, self._book)
        if isinstance(right, LookUp):
            return spoken(word, operand_value(right, self._facts), self._book)
        return self._value(right.name)

    def _value(self, word: str) -> str:
        return f"{_readable(word)}: {spoken(word, self._facts.known(word), self._book)}"

    def _label(self, word: str) -> str:
        question = self._book.questions.get(word)
        return f"{_readable(word)} - {question.ask}" if question else _readable(word)


def _readable(word: str) -> str:
    return word.replace("_", " ")
