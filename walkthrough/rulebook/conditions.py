"""The conditions of the rulesets, as trees of a few small shapes; nothing else can be said."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

Plain: TypeAlias = bool | int | float | str | datetime.date


@dataclass(frozen=True, slots=True)
class Literal:
    """A value written in the ruleset."""

    value: Plain


@dataclass(frozen=True, slots=True)
class Answer:
    """The value of a declared word."""

    name: str


@dataclass(frozen=True, slots=True)
class LookUp:
    """The row of a table for a word's value."""

    table: str
    rows: tuple[tuple[Plain, Plain | tuple[Plain, ...]], ...]
    key: Answer


Operand: TypeAlias = Literal | Answer | LookUp


@dataclass(frozen=True, slots=True)
class Fixed:
    """Always true or always false."""

    value: bool


@dataclass(frozen=True, slots=True)
class Said:
    """A yes-no word: a question, a derived fact or a gather."""

    name: str


@dataclass(frozen=True, slots=True)
class Term:
    """A named sub-expression."""

    name: str
    body: Node


@dataclass(frozen=True, slots=True)
class Not:
    """The opposite of a condition."""

    part: Node


@dataclass(frozen=True, slots=True)
class And:
    """All of the conditions."""

    parts: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Or:
    """At least one of the conditions."""

    parts: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Compare:
    """Two values set against each other; `sign` is one of == < <= > >=."""

    sign: str
    left: Operand
    right: Operand


@dataclass(frozen=True, slots=True)
class Has:
    """A tag is among the tags of a word."""

    tag: str
    name: str


@dataclass(frozen=True, slots=True)
class OneOf:
    """A word's value is one of the listed values; `table` names the table they came from."""

    name: str
    values: tuple[Plain, ...]
    table: str = ""


@dataclass(frozen=True, slots=True)
class InRow:
    """A word's value is in the row of a table."""

    name: str
    row: LookUp


Node: TypeAlias = Fixed | Said | Term | Not | And | Or | Compare | Has | OneOf | InRow


def weight(node: Node, terms: Mapping[str, int]) -> int:
    """How many parts a condition has once its terms are opened; `terms` tells theirs."""
    match node:
        case Term(name):
            return terms[name]
        case Not(part):
            return 1 + weight(part, terms)
        case And(parts) | Or(parts):
            return 1 + sum(weight(part, terms) for part in parts)
        case _:
            return 1


def height(node: Node, terms: Mapping[str, int]) -> int:
    """How deep a condition goes once its terms are opened; `terms` tells theirs."""
    match node:
        case Term(name):
            return 1 + terms[name]
        case Not(part):
            return 1 + height(part, terms)
        case And(parts) | Or(parts):
            return 1 + max(height(part, terms) for part in parts)
        case _:
            return 1


def leaves(node: Node) -> tuple[str, ...]:
    """Every base word that a condition reads, terms opened, in order of first use."""
    found: dict[str, None] = {}

    def visit(each: Node) -> None:
        match each:
            case Fixed():
                pass
            case Said(name) | Has(_, name) | OneOf(name):
                found.setdefault(name)
            case Term(_, body):
                visit(body)
            case Not(part):
                visit(part)
            case And(parts) | Or(parts):
                for part in parts:
                    visit(part)
            case Compare(_, left, right):
                for operand in (left, right):
                    _note_operand(operand, found)
            case InRow(name, row):
                found.setdefault(name)
                _note_operand(row, found)

    visit(node)
    return tuple(found)


def _note_operand(operand: Operand, found: dict[str, None]) -> None:
    if isinstance(operand, Answer):
        found.setdefault(operand.name)
    elif isinstance(operand, LookUp):
        found.setdefault(operand.key.name)


def written(node: Node) -> str:
    """A condition as it could stand in a ruleset."""
    match node:
        case Fixed(value):
            return "yes" if value else "no"
        case Said(name) | Term(name):
            return name
        case Not(part):
            return f"not {written(part)}"
        case And(parts):
            return "(" + " and ".join(written(part) for part in parts) + ")"
        case Or(parts):
            return "(" + " or ".join(written(part) for part in parts) + ")"
        case Has(tag, name):
            return f"'{tag}' in {name}"
        case OneOf(name, values, table):
            return f"{name} in {table or [_plain(value) for value in values]}"
        case InRow(name, row):
            return f"{name} in {_operand(row)}"
        case Compare(sign, left, right):
            return f"{_operand(left)} {sign} {_operand(right)}"


def _operand(operand: Operand) -> str:
    match operand:
        case Literal(value):
            return repr(_plain(value))
        case Answer(name):
            return name
        case LookUp(table, _, key):
            return f"{table}[{key.name}]"


def _plain(value: Plain) -> Plain:
    return value.isoformat() if isinstance(value, datetime.date) else value
