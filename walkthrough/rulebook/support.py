"""Which unanswered questions can still change an outcome: exactly those, no more and no fewer.

The outcome is a function of the unknown words. Each unknown word is replaced by one value out of
every range that the conditions can tell apart, depth first, always the first word that is still
left in the simplified conditions. Equal branches are merged. What remains is a reduced ordered
decision diagram, and the words on which such a diagram branches are exactly those on which the
function depends.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Hashable, Iterable, Mapping
from itertools import pairwise
from typing import Any

from walkthrough.rulebook.expression import (
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
from walkthrough.rulebook.kleene import NO_ROW, NoRow, cell_of, evaluate
from walkthrough.rulebook.words import Word

Conditions = tuple[Node, ...]
_DAY = datetime.timedelta(days=1)
MAX_BRANCHES = 200_000


class TooManySituations(RuntimeError):
    """A rule leaves more situations open than can be told apart in bounded time."""


def deciding_words(
    conditions: Conditions,
    known: Callable[[str], Any],
    words: Mapping[str, Word],
    outcome: Callable[[tuple[bool, ...]], Hashable],
) -> tuple[tuple[str, ...], Hashable | None]:
    """The unknown words on which `outcome` of the conditions depends, and the outcome if none.

    `known(word)` gives a value or None. `outcome` maps the truth of all conditions, in order, to
    anything hashable. The second value is the one outcome that is left when no word matters.
    """
    start = tuple(_simplify(_substitute(condition, known)) for condition in conditions)
    diagram = _Diagram(start, words, outcome)
    root = diagram.build(start)
    if isinstance(root, _Leaf):
        return (), root.outcome
    return tuple(sorted({word for (word, _), _ in diagram.branches})), None


class _Leaf:
    __slots__ = ("outcome",)

    def __init__(self, outcome: Hashable) -> None:
        self.outcome = outcome


class _Diagram:
    """Builds the reduced diagram; equal residues and equal branches are shared."""

    def __init__(
        self,
        start: Conditions,
        words: Mapping[str, Word],
        outcome: Callable[[tuple[bool, ...]], Hashable],
    ) -> None:
        # One order of the words and one list of values for each, on every path: only then do
        # equal functions become equal branches. Tags are independent of each other.
        self._order = {atom: place for place, atom in enumerate(dict.fromkeys(_all_atoms(start)))}
        self._values = {
            name: telling_values(start, words[name]) for name, tag in self._order if tag is None
        }
        self._outcome = outcome
        self._leaves: dict[Hashable, _Leaf] = {}
        self._built: dict[Conditions, object] = {}
        self.branches: dict[tuple[tuple[str, str | None], tuple[int, ...]], object] = {}

    def build(self, residue: Conditions) -> object:
        if residue in self._built:
            return self._built[residue]
        if len(self._built) > MAX_BRANCHES:
            raise TooManySituations
        atom = min(_all_atoms(residue), key=self._order.__getitem__, default=None)
        if atom is None:
            truths = tuple(isinstance(node, Fixed) and node.value for node in residue)
            result = self._outcome(truths)
            made: object = self._leaves.setdefault(result, _Leaf(result))
        else:
            name, tag = atom
            if tag is not None:
                children = [
                    self.build(tuple(_with_tag(node, name, tag, held) for node in residue))
                    for held in (True, False)
                ]
            else:
                children = [
                    self.build(tuple(_with_value(node, name, value) for node in residue))
                    for value in self._values[name]
                ]
            if all(child is children[0] for child in children):
                made = children[0]
            else:
                key = (atom, tuple(id(child) for child in children))
                made = self.branches.setdefault(key, (atom, children))
        self._built[residue] = made
        return made


def telling_values(conditions: Iterable[Node], word: Word) -> list[Any]:
    """One value out of every range of a word's answers that the conditions can tell apart."""
    mentioned, rivals = _mentioned(conditions, word.name)
    if word.kind == "yes-no":
        return [True, False]
    if word.kind == "choice":
        rest = next((each for each in word.choices if each not in mentioned), None)
        named = [each for each in word.choices if each in mentioned]
        return named if rest is None else [*named, rest]
    if word.kind == "date":
        days = sorted(mentioned) or [datetime.date(2000, 1, 1)]
        return sorted({day + shift for day in days for shift in (-_DAY, 0 * _DAY, _DAY)})
    if word.kind == "number":
        return _telling_numbers(mentioned, rivals, word)
    return [*mentioned, "\0something else"]


def _telling_numbers(mentioned: set[Any], rivals: int, word: Word) -> list[float]:
    points = sorted(mentioned) or [0.0]
    finite = [point for point in points if abs(point) != float("inf")] or [0.0]
    values: set[float] = set(points)
    # Between two limits one value tells all, unless words are compared with each other: then
    # every order of the rivals must have room in the gap.
    room = rivals + 1
    ends = [finite[0] - room, *finite, finite[-1] + room]
    for low, high in pairwise(ends):
        values.update(low + (high - low) * step / (room + 1) for step in range(1, room + 1))
    if word.may_be_none:
        values.add(float("inf"))
    if word.minimum is not None:
        values = {value for value in values if value >= word.minimum} | {word.minimum}
    if word.maximum is not None:
        values = {v for v in values if v <= word.maximum or v == float("inf")} | {word.maximum}
    return sorted(values)


def _mentioned(conditions: Iterable[Node], name: str) -> tuple[set[Any], int]:
    """Values that a word (or a word compared with it) is set against, and how many such words."""
    values: set[Any] = set()
    rivals: set[str] = set()

    def cells(row: LookUp) -> Iterable[Any]:
        for _, cell in row.rows:
            yield from cell if isinstance(cell, tuple) else (cell,)

    def visit(node: Node) -> None:
        match node:
            case Not(part):
                visit(part)
            case And(parts) | Or(parts):
                for part in parts:
                    visit(part)
            case OneOf(word, listed) if word == name:
                values.update(listed)
            case InRow(word, row):
                if row.key.name == name:
                    values.update(key for key, _ in row.rows)
                if word == name:
                    values.update(cells(row))
            case Compare(_, left, right):
                for one, other in ((left, right), (right, left)):
                    match one, other:
                        case LookUp(key=Answer(key)), _ if key == name:
                            values.update(row for row, _ in one.rows)
                        case Answer(word), Literal(value) if word == name:
                            values.update(() if isinstance(value, NoRow) else (value,))
                        case Answer(word), LookUp() if word == name:
                            values.update(cells(other))
                        case Answer(word), Answer(rival) if word == name:
                            rivals.add(rival)
                        case _:
                            pass
            case _:
                pass

    listed = list(conditions)
    for condition in listed:
        visit(condition)
    if rivals:
        # A rival's own limits matter too: the order between the two can turn at each of them.
        for rival in tuple(rivals):
            for condition in listed:
                values.update(
                    each
                    for each in _literals_of(condition, rival)
                    if isinstance(each, (int, float))
                )
    return values, len(rivals)


def _literals_of(node: Node, name: str) -> Iterable[Any]:
    match node:
        case Not(part):
            yield from _literals_of(part, name)
        case And(parts) | Or(parts):
            for part in parts:
                yield from _literals_of(part, name)
        case OneOf(word, listed) if word == name:
            yield from listed
        case Compare(_, Answer(word), Literal(value)) if word == name:
            yield value
        case _:
            return


def _all_atoms(conditions: Conditions) -> Iterable[tuple[str, str | None]]:
    for condition in conditions:
        yield from _atoms(condition)


def _atoms(node: Node) -> Iterable[tuple[str, str | None]]:
    match node:
        case Said(name) | OneOf(name):
            yield name, None
        case Has(tag, name):
            yield name, tag
        case Not(part):
            yield from _atoms(part)
        case And(parts) | Or(parts):
            for part in parts:
                yield from _atoms(part)
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


def _substitute(node: Node, known: Callable[[str], Any]) -> Node:
    """The condition with terms opened and every known word replaced by its value."""
    match node:
        case Fixed():
            return node
        case Term(_, body):
            return _substitute(body, known)
        case Not(part):
            return Not(_substitute(part, known))
        case And(parts):
            return And(tuple(_substitute(part, known) for part in parts))
        case Or(parts):
            return Or(tuple(_substitute(part, known) for part in parts))
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


def _with_value(node: Node, name: str, value: Any) -> Node:
    return _simplify(_substitute(node, lambda word: value if word == name else None))


def _with_tag(node: Node, name: str, tag: str, held: bool) -> Node:
    match node:
        case Has(each, word) if word == name and each == tag:
            return Fixed(held)
        case Not(part):
            return _simplify(Not(_with_tag(part, name, tag, held)))
        case And(parts):
            return _simplify(And(tuple(_with_tag(part, name, tag, held) for part in parts)))
        case Or(parts):
            return _simplify(Or(tuple(_with_tag(part, name, tag, held) for part in parts)))
        case _:
            return node


def _simplify(node: Node) -> Node:
    match node:
        case Not(part):
            inner = _simplify(part)
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
        simple = _simplify(part)
        if isinstance(simple, Fixed):
            if simple.value is absorbing:
                return simple
            continue
        for each in simple.parts if isinstance(simple, shape) else (simple,):
            kept.setdefault(each)
    if not kept:
        return Fixed(not absorbing)
    return next(iter(kept)) if len(kept) == 1 else shape(tuple(kept))
