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

from walkthrough.rulebook.conditions import (
    And,
    Answer,
    Compare,
    Fixed,
    InRow,
    Literal,
    LookUp,
    Node,
    Not,
    OneOf,
    Or,
)
from walkthrough.rulebook.kleene import NoRow
from walkthrough.rulebook.residue import (
    Conditions,
    open_atoms,
    simplified,
    substituted,
    with_tag,
    with_value,
)
from walkthrough.rulebook.words import Word

_DAY = datetime.timedelta(days=1)
MAX_BRANCHES = 10_000


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
    start = tuple(simplified(substituted(condition, known)) for condition in conditions)
    diagram = _Diagram(start, words, outcome)
    root = diagram.build(start)
    if isinstance(root, _Leaf):
        return (), root.outcome
    return tuple(sorted({word for (word, _), _ in diagram.branches})), None


def possible_outcomes(
    conditions: Conditions,
    words: Mapping[str, Word],
    outcome: Callable[[tuple[bool, ...]], Hashable],
) -> frozenset[Hashable]:
    """Every outcome that some way of answering all questions leads to."""
    start = tuple(simplified(substituted(condition, lambda _: None)) for condition in conditions)
    diagram = _Diagram(start, words, outcome)
    diagram.build(start)
    return frozenset(diagram.leaves)


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
        self._order = {atom: place for place, atom in enumerate(dict.fromkeys(open_atoms(start)))}
        self._values = {
            name: telling_values(start, words[name]) for name, tag in self._order if tag is None
        }
        self._outcome = outcome
        self.leaves: dict[Hashable, _Leaf] = {}
        self._built: dict[Conditions, object] = {}
        self.branches: dict[tuple[tuple[str, str | None], tuple[int, ...]], object] = {}

    def build(self, residue: Conditions) -> object:
        if residue in self._built:
            return self._built[residue]
        if len(self._built) > MAX_BRANCHES:
            raise TooManySituations
        atom = min(open_atoms(residue), key=self._order.__getitem__, default=None)
        if atom is None:
            truths = tuple(isinstance(node, Fixed) and node.value for node in residue)
            result = self._outcome(truths)
            made: object = self.leaves.setdefault(result, _Leaf(result))
        else:
            name, tag = atom
            if tag is not None:
                children = [
                    self.build(tuple(with_tag(node, name, tag, held) for node in residue))
                    for held in (True, False)
                ]
            else:
                children = [
                    self.build(tuple(with_value(node, name, value) for node in residue))
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
