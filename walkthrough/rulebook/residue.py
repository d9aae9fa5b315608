"""What is left of conditions when some words are given their values."""

from __future__ import annotations

from collections.abc import Callable, Iterable
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
    Or,
    Said,
    Term,
)
from walkthrough.rulebook.kleene import NO_ROW, cell_of, evaluate

Conditions = tuple[Node, ...]
Atom = tuple[str, str | None]
"""A word that is still open; for a word of kind tags, one of its tags."""


def open_atoms(conditions: Conditions) -> Iterable[Atom]:
    """The open words of conditions, in the order in which they stand."""
    for condition in conditions:
        yield from _atoms_of(condition)


def _atoms_of(node: Node) -> Iterable[Atom]:
    match node:
        case Said(name) | OneOf(name):
            yield name, None
        case Has(tag, name):
            yield name, tag
        case Not(part):
            yield from _atoms_of(part)
        case And(parts) | Or(parts):
            for part in parts:
                yield from _atoms_of(part)
        case Compare(_, left, right):
            for operand in (left, right):
                if isinstance(operand, Answer):
                    yield operand.name, None
                elif isinstance(operand, LookUp):
                    yield operand.key.name, None
        case InRow(name, row):
            yield name, None
            yield row.key.name, None
        case _:
            return


class _Known:
    """Facts that answer from a function, for the evaluation of single conditions."""

    def __init__(self, known: Callable[[str], Any]) -> None:
        self.known = known

    def __getitem__(self, word: str) -> Any:
        return self.known(word)

    def truth(self, term: Term) -> bool | None:
        return evaluate(term.body, self)


def substituted(node: Node, known: Callable[[str], Any]) -> Node:
    """The condition with terms opened and every known word replaced by its value."""
    match node:
        case Fixed():
            return node
        case Term(_, body):
            return substituted(body, known)
        case Not(part):
            return Not(substituted(part, known))
        case And(parts):
            return And(tuple(substituted(part, known) for part in parts))
        case Or(parts):
            return Or(tuple(substituted(part, known) for part in parts))
        case Compare(sign, left, right):
            return _settled(Compare(sign, _put(left, known), _put(right, known)), known)
        case InRow(name, row):
            value, cell = known(name), cell_of(row.rows, known(row.key.name))
            if cell is NO_ROW:
                return Fixed(False)
            if cell is not None and value is not None:
                return Fixed(value in cell)
            if cell is not None:
                return OneOf(name, cell)
            if value is not None:
                held = tuple(k for k, c in row.rows if isinstance(c, tuple) and value in c)
                return OneOf(row.key.name, held)
            return node
        case _:
            return _settled(node, known)


def _settled(node: Node, known: Callable[[str], Any]) -> Node:
    value = evaluate(node, _Known(known))
    return node if value is None else Fixed(value)


def _put(operand: Any, known: Callable[[str], Any]) -> Any:
    match operand:
        case Answer(name):
            value = known(name)
            return operand if value is None else Literal(value)
        case LookUp(_, rows, key):
            cell = cell_of(rows, known(key.name))
            return operand if cell is None else Literal(cell)
        case _:
            return operand


def with_value(node: Node, name: str, value: Any) -> Node:
    """The condition once a word has a value, as short as it gets."""
    return simplified(substituted(node, lambda word: value if word == name else None))


def with_tag(node: Node, name: str, tag: str, held: bool) -> Node:
    """The condition once it is known whether a tag is among a word's tags."""
    match node:
        case Has(each, word) if word == name and each == tag:
            return Fixed(held)
        case Not(part):
            return simplified(Not(with_tag(part, name, tag, held)))
        case And(parts):
            return simplified(And(tuple(with_tag(part, name, tag, held) for part in parts)))
        case Or(parts):
            return simplified(Or(tuple(with_tag(part, name, tag, held) for part in parts)))
        case _:
            return node


def simplified(node: Node) -> Node:
    """The condition without parts that are fixed, doubled or nested without need."""
    match node:
        case Not(part):
            inner = simplified(part)
            if isinstance(inner, Fixed):
                return Fixed(not inner.value)
            return inner.part if isinstance(inner, Not) else Not(inner)
        case And(parts):
            return _joined(parts, And, absorbing=False)
        case Or(parts):
            return _joined(parts, Or, absorbing=True)
        case _:
            return node


def _joined(parts: tuple[Node, ...], shape: type[And] | type[Or], *, absorbing: bool) -> Node:
    kept: dict[Node, None] = {}
    for part in parts:
        simple = simplified(part)
        if isinstance(simple, Fixed):
            if simple.value is absorbing:
                return simple
            continue
        for each in simple.parts if isinstance(simple, shape) else (simple,):
            kept.setdefault(each)
    if not kept:
        return Fixed(not absorbing)
    return next(iter(kept)) if len(kept) == 1 else shape(tuple(kept))
