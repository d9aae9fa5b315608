"""The thirty invented rules put into general-purpose engines, each in its own language.

Every engine decides the conditions; that the exceptions come after `when`, and `needs` after them,
is the same few lines of Python for all. An engine that is not installed is left out.
"""

from __future__ import annotations

import contextlib
import importlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple, TypeAlias

from tests.benchmarks.measure import Row, in_turn, ratio
from tests.benchmarks.thirty_rules import by_hand, rulebook, situations
from walkthrough.rulebook.conditions import (
    And,
    Answer,
    Compare,
    Fixed,
    Has,
    Literal,
    Node,
    Not,
    OneOf,
    Operand,
    Or,
    Said,
    Term,
)
from walkthrough.rulebook.decide import decide_all
from walkthrough.rulebook.rulebook import Rule
from walkthrough.rulebook.situation import Situation

Facts: TypeAlias = dict[str, Any]
Decides: TypeAlias = Callable[[Any], Any]
"""Gives the truth of one condition for what `prepared` made of the facts."""


class Infix(NamedTuple):
    """How a language with operators between its parts writes the logical ones."""

    both: str
    either: str
    opposite: str
    yes: str
    no: str


_PYTHON = Infix("and", "or", "not ", "True", "False")
_CEL = Infix("&&", "||", "!", "true", "false")
_WORDS = Infix("and", "or", "not ", "true", "false")


@dataclass(frozen=True)
class Engine:
    """One engine: the package it comes in, and how a condition and facts are given to it."""

    name: str
    module: str
    ready: Callable[[Any, Node], Decides]
    prepared: Callable[[Any, Facts], Any] = lambda _, facts: facts

    @property
    def is_here(self) -> bool:
        """Whether it is installed."""
        with contextlib.suppress(ImportError):
            importlib.import_module(self.module)
            return True
        return False

    def judge(self, rules: Sequence[Rule]) -> Callable[[Facts], list[str]]:
        """A function from facts to the outcome of each rule."""
        package = importlib.import_module(self.module)
        ready = [
            (
                self.ready(package, rule.when.node),
                [self.ready(package, each.when.node) for each in rule.exceptions],
                self.ready(package, rule.needs.node),
            )
            for rule in rules
        ]

        def outcomes(facts: Facts) -> list[str]:
            given = self.prepared(package, facts)
            found = []
            for when, exceptions, needs in ready:
                if not when(given):
                    found.append("not applicable")
                elif any(each(given) for each in exceptions):
                    found.append("excepted")
                else:
                    found.append("met" if needs(given) else "deficient")
            return found

        return outcomes


def infix(node: Node, words: Infix) -> str:
    """A condition in a language of that kind, terms opened."""

    def joined(parts: Sequence[Node], word: str) -> str:
        return "(" + f" {word} ".join(infix(part, words) for part in parts) + ")"

    match node:
        case Fixed(value):
            return words.yes if value else words.no
        case Said(name):
            return name
        case Term(_, body):
            return infix(body, words)
        case Not(part):
            return f"({words.opposite}{infix(part, words)})"
        case And(parts):
            return joined(parts, words.both)
        case Or(parts):
            return joined(parts, words.either)
        case Has(tag, name):
            return f"('{tag}' in {name})"
        case OneOf(name, values):
            return f"({name} in [{', '.join(map(repr, values))}])"
        case Compare(sign, left, right):
            return f"({_side(left)} {sign} {_side(right)})"
    raise AssertionError(node)


def _side(operand: Operand) -> str:
    if isinstance(operand, Answer):
        return operand.name
    assert isinstance(operand, Literal)
    return repr(_whole(operand.value))


def _whole(value: Any) -> Any:
    """Whole numbers as such: some languages tell 6 from 6.0."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def as_json(node: Node) -> Any:
    """A condition as logic written in JSON, terms opened."""
    match node:
        case Fixed(value):
            return value
        case Said(name):
            return {"var": name}
        case Term(_, body):
            return as_json(body)
        case Not(part):
            return {"!": [as_json(part)]}
        case And(parts):
            return {"and": [as_json(part) for part in parts]}
        case Or(parts):
            return {"or": [as_json(part) for part in parts]}
        case Has(tag, name):
            return {"in": [tag, {"var": name}]}
        case OneOf(name, values):
            return {"in": [{"var": name}, list(values)]}
        case Compare(sign, left, right):
            return {sign: [_json_side(left), _json_side(right)]}
    raise AssertionError(node)


def _json_side(operand: Operand) -> Any:
    if isinstance(operand, Answer):
        return {"var": operand.name}
    assert isinstance(operand, Literal)
    return _whole(operand.value)


def _rule_engine(package: Any, node: Node) -> Decides:
    made: Decides = package.Rule(infix(node, _WORDS)).matches
    return made


def _celpy(package: Any, node: Node) -> Decides:
    environment = package.Environment()
    made: Decides = environment.program(environment.compile(infix(node, _CEL))).evaluate
    return made


def _cel(package: Any, node: Node) -> Decides:
    made: Decides = package.compile(infix(node, _CEL)).execute
    return made


def _simpleeval(package: Any, node: Node) -> Decides:
    evaluator = package.EvalWithCompoundTypes()
    text = infix(node, _PYTHON)
    parsed = evaluator.parse(text)

    def decides(facts: Mapping[str, Any]) -> Any:
        evaluator.names = facts
        return evaluator.eval(text, previously_parsed=parsed)

    return decides


def _asteval(package: Any, node: Node) -> Decides:
    evaluator = package.Interpreter(minimal=True)
    parsed = evaluator.parse(infix(node, _PYTHON))

    def decides(facts: Mapping[str, Any]) -> Any:
        evaluator.symtable.update(facts)
        return evaluator.run(parsed)

    return decides


def _evalidate(package: Any, node: Node) -> Decides:
    model = package.EvalModel(nodes=[*package.base_eval_model.nodes, "List", "Not", "NotIn"])
    made: Decides = package.Expr(infix(node, _PYTHON), model=model).eval
    return made


def _restricted(package: Any, node: Node) -> Decides:
    code = package.compile_restricted_eval(infix(node, _PYTHON)).code
    nothing: dict[str, Any] = {"__builtins__": {}}
    return lambda facts: eval(code, nothing, facts)


def _json_logic(package: Any, node: Node) -> Decides:
    logic = as_json(node)
    return lambda facts: package.jsonLogic(logic, facts)


def _json_logic_rs(package: Any, node: Node) -> Decides:
    logic = as_json(node)
    return lambda facts: package.apply(logic, facts)


def _zen(package: Any, node: Node) -> Decides:
    made: Decides = package.compile_expression(infix(node, _WORDS)).evaluate
    return made


ENGINES = (
    Engine("rule-engine", "rule_engine", _rule_engine),
    Engine("zen-engine, compiled", "zen", _zen),
    Engine("cel-python", "celpy", _celpy, lambda package, facts: package.json_to_cel(facts)),
    Engine("common-expression-language, compiled", "cel", _cel),
    Engine("panzi-json-logic", "json_logic", _json_logic),
    Engine("jsonlogic-rs", "jsonlogic_rs", _json_logic_rs),
    Engine("simpleeval, parsed before", "simpleeval", _simpleeval),
    Engine("asteval, parsed before", "asteval", _asteval),
    Engine("evalidate, compiled", "evalidate", _evalidate),
    Engine("RestrictedPython, compiled", "RestrictedPython", _restricted),
)


def beside_engines(folder: Path, count: int, repeats: int) -> Iterator[Row]:
    """The same rules on the same outlets with the same outcomes, engine by engine."""
    book = rulebook(folder)
    known = situations(count)
    expected = [by_hand(each) for each in known]

    def ours() -> None:
        for each in known:
            decide_all("outlet", Situation(each, book.terms), book)

    for engine in ENGINES:
        if not engine.is_here:
            yield Row(f"30 rules on one outlet by {engine.name}", "slower than ours", "-", "absent")
            continue
        judge = engine.judge(book.rules_of["outlet"])
        assert [judge(each) for each in known] == expected

        def theirs(judge: Callable[[Facts], list[str]] = judge) -> None:
            for each in known:
                judge(each)

        mine, other = in_turn(ours, theirs, repeats=repeats)
        per_outlet = [[one / count for one in each] for each in (other, mine)]
        yield Row(
            f"30 rules on one outlet by {engine.name}",
            "slower than ours",
            ratio(*per_outlet),
            "ours, with the grounds of each decision and for three values",
        )
