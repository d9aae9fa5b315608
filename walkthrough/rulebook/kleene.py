"""Three-valued truth: Kleene's tables over conditions, and the compiled two-valued short cut.

`None` is unknown. `False and unknown` is False, `True or unknown` is True, everything else that
touches an unknown is unknown.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Protocol

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
)

Truth = bool | None


class NoRow:
    """What a table gives for a word that has no row: nothing compares with it, nothing is in it."""

    def __eq__(self, other: object) -> bool:
        return False

    __lt__ = __le__ = __gt__ = __ge__ = __contains__ = __eq__
    __hash__ = object.__hash__


NO_ROW = NoRow()


class Unknown(KeyError):
    """A word has no value: raised inside compiled conditions, never seen outside this package."""


class Facts(Protocol):
    """What is known about one subject.

    `facts[word]` gives a known value or raises Unknown; `facts.known(word)` gives None instead;
    `facts.truth(term)` gives the three-valued truth of a term, worked out once.
    """

    def __getitem__(self, word: str) -> Any: ...

    def known(self, word: str) -> Any: ...

    def truth(self, term: Term) -> Truth: ...


def both(values: Iterable[Truth]) -> Truth:
    """Kleene's `and` over any number of values; true for none at all."""
    result: Truth = True
    for value in values:
        if value is False:
            return False
        if value is None:
            result = None
    return result


def either(values: Iterable[Truth]) -> Truth:
    """Kleene's `or` over any number of values; false for none at all."""
    result: Truth = False
    for value in values:
        if value is True:
            return True
        if value is None:
            result = None
    return result


def at_least(count: int, values: Iterable[Truth]) -> Truth:
    """Whether at least that many of the values are true; with a count of 1 it is `either`."""
    seen = list(values)
    sure = sum(value is True for value in seen)
    if sure >= count:
        return True
    return None if sure + sum(value is None for value in seen) >= count else False


def opposite(value: Truth) -> Truth:
    """Kleene's `not`."""
    return None if value is None else not value


_SIGNS: Mapping[str, Callable[[Any, Any], bool]] = {
    "==": operator.eq,
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}


def evaluate(node: Node, facts: Facts) -> Truth:
    """The three-valued truth of a condition."""
    match node:
        case Fixed(value):
            return value
        case Said(name):
            said = facts.known(name)
            return None if said is None else bool(said)
        case Term():
            return facts.truth(node)
        case Not(part):
            return opposite(evaluate(part, facts))
        case And(parts):
            return both(evaluate(part, facts) for part in parts)
        case Or(parts):
            return either(evaluate(part, facts) for part in parts)
        case Has(tag, name):
            tags = facts.known(name)
            return None if tags is None else tag in tags
        case OneOf(name, values):
            value = facts.known(name)
            return None if value is None else value in values
        case Compare(sign, left, right):
            first, second = operand_value(left, facts), operand_value(right, facts)
            if first is NO_ROW or second is NO_ROW:
                return False
            if first is None or second is None:
                return None
            return _SIGNS[sign](first, second)
        case InRow(name, row):
            value, cell = facts.known(name), operand_value(row, facts)
            if cell is NO_ROW:
                return False
            return None if value is None or cell is None else value in cell


def operand_value(operand: Operand, facts: Facts) -> Any:
    """The value of one side of a comparison: None where unknown, NO_ROW where no row fits."""
    match operand:
        case Literal(value):
            return value
        case Answer(name):
            return facts.known(name)
        case LookUp(_, rows, key):
            return cell_of(rows, facts.known(key.name))


def cell_of(rows: Iterable[tuple[Any, Any]], wanted: Any) -> Any:
    """The row's value; None while `wanted` is unknown, NO_ROW where there is no such row."""
    if wanted is None:
        return None
    return next((cell for key, cell in rows if key == wanted), NO_ROW)


def weighing(node: Node) -> Callable[[Facts], Truth]:
    """What `evaluate` gives for a condition, as a function made once for many subjects."""
    match node:
        case Fixed(value):
            return lambda _: value
        case Said(name):
            return lambda facts: None if (said := facts.known(name)) is None else bool(said)
        case Term():
            return lambda facts: facts.truth(node)
        case Not(part):
            inner = weighing(part)
            return lambda facts: None if (held := inner(facts)) is None else not held
        case And(parts):
            return _until(False, [weighing(part) for part in parts])
        case Or(parts):
            return _until(True, [weighing(part) for part in parts])
        case Has(tag, name):
            return lambda facts: None if (tags := facts.known(name)) is None else tag in tags
        case OneOf(name, values):
            return lambda facts: None if (one := facts.known(name)) is None else one in values
        case Compare(sign, Answer(name), Literal(limit)):
            holds = _SIGNS[sign]
            return lambda facts: None if (one := facts.known(name)) is None else holds(one, limit)
        case Compare() | InRow():
            return lambda facts: evaluate(node, facts)


def _until(ends: bool, parts: Sequence[Callable[[Facts], Truth]]) -> Callable[[Facts], Truth]:
    """`and`, which one False ends, or `or`, which one True ends."""

    def weigh(facts: Facts) -> Truth:
        result: Truth = not ends
        for part in parts:
            value = part(facts)
            if value is ends:
                return ends
            if value is None:
                result = None
        return result

    return weigh


def compiled(node: Node) -> Callable[[Facts], bool]:
    """The condition as one compiled Python expression over known values.

    It raises Unknown when it meets an unknown that matters to it. Whenever it returns, its
    answer is Kleene's answer: what Python's short circuit skips cannot change the result.
    Only values gathered from checked nodes reach the compiled text, as constants by number.
    """
    constants: list[object] = []
    code = compile(f"lambda facts: {source(node, constants)}", "<ruleset>", "eval")
    names = {f"constant_{number}": value for number, value in enumerate(constants)}
    made: Callable[[Facts], bool] = eval(code, {"__builtins__": {}, **names})
    return made


def _from_facts(word: str, _: Node | None = None) -> str:
    return f"facts[{word!r}]"


def source(
    node: Node, constants: list[object], read: Callable[[str, Node | None], str] = _from_facts
) -> str:
    """A condition in Python over `facts`; it calls its values `constant_N`, and adds them here.

    `read` gives the text that reads a word; for a term it gets what that stands for as well.
    """

    def constant(value: object) -> str:
        constants.append(value)
        return f"constant_{len(constants) - 1}"

    def operand(each: Operand) -> str:
        match each:
            case Literal(value):
                return constant(value)
            case Answer(name):
                return read(name, None)
            case LookUp(_, rows, key):
                return f"{constant(_Rows(rows))}[{read(key.name, None)}]"

    def written(each: Node) -> str:
        match each:
            case Fixed(value):
                return str(value)
            case Said(name):
                return read(name, None)
            case Term(name, body):
                return read(name, body)
            case Not(part):
                return f"(not {written(part)})"
            case And(parts):
                return "(" + " and ".join(map(written, parts)) + ")"
            case Or(parts):
                return "(" + " or ".join(map(written, parts)) + ")"
            case Has(tag, name):
                return f"({constant(tag)} in {read(name, None)})"
            case OneOf(name, values):
                return f"({read(name, None)} in {constant(values)})"
            case Compare(sign, left, right):
                return f"({operand(left)} {sign} {operand(right)})"
            case InRow(name, row):
                return f"({read(name, None)} in {operand(row)})"

    return written(node)


class _Rows(dict[Any, Any]):
    """Table rows in compiled conditions."""

    def __missing__(self, key: object) -> object:
        return NO_ROW
