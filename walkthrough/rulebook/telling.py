"""One value out of every range of a word's answers that conditions can tell apart.

A word that is only set against written values needs one value on each of them and one in every
gap. Words that are compared with each other need more: all values that any of them is set against,
the ends of all their ranges, and in every gap as many values as there are such words, so that
every order among them occurs.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from typing import Any

from walkthrough.rulebook.conditions import (
    And,
    Answer,
    Compare,
    InRow,
    Literal,
    LookUp,
    Node,
    Not,
    OneOf,
    Operand,
    Or,
    Term,
)
from walkthrough.rulebook.kleene import NoRow
from walkthrough.rulebook.words import Word

_DAY = datetime.timedelta(days=1)


def telling_values(
    conditions: Iterable[Node], names: Iterable[str], words: Mapping[str, Word]
) -> dict[str, list[Any]]:
    """The values for each of the named words; tags are told apart one by one elsewhere."""
    listed = [leaf for condition in conditions for leaf in base_conditions(condition)]
    values: dict[str, list[Any]] = {}
    for name in names:
        group = _rivals(name, listed)
        mentioned = {each for rival in group for each in _set_against(rival, listed)}
        values[name] = _values(words[name], mentioned, [words[rival] for rival in group])
    return values


def values_named(name: str, conditions: Iterable[Node]) -> set[Any]:
    """Every written value that a word is set against, in lists and tables too."""
    return set(_set_against(name, [leaf for each in conditions for leaf in base_conditions(each)]))


def _values(word: Word, mentioned: set[Any], group: list[Word]) -> list[Any]:
    match word.kind:
        case "yes-no":
            return [True, False]
        case "choice":
            if len(group) > 1:
                return list(word.choices)
            named = [each for each in word.choices if each in mentioned]
            rest = next((each for each in word.choices if each not in mentioned), None)
            return named if rest is None else [*named, rest]
        case "date":
            return _days(mentioned, len(group))
        case "number":
            return _numbers(word, mentioned, group)
        case _:
            return [*sorted(mentioned), *(f"\0something else {n}" for n in range(len(group)))]


def _numbers(word: Word, mentioned: set[Any], group: list[Word]) -> list[float]:
    bounds = {end for rival in group for end in (rival.minimum, rival.maximum) if end is not None}
    finite = sorted(each for each in mentioned | bounds if abs(each) != float("inf")) or [0.0]
    room = len(group)
    ends = [finite[0] - room - 1, *finite, finite[-1] + room + 1]
    values = set(finite)
    for low, high in pairwise(ends):
        values.update(low + (high - low) * step / (room + 1) for step in range(1, room + 1))
    if word.minimum is not None:
        values = {each for each in values if each >= word.minimum}
    if word.maximum is not None:
        values = {each for each in values if each <= word.maximum}
    if word.may_be_none:
        values.add(float("inf"))
    return sorted(values)


def _days(mentioned: set[Any], room: int) -> list[datetime.date]:
    days = mentioned or {datetime.date(2000, 1, 1)}
    values: set[datetime.date] = set(days)
    for day in days:
        for step in range(1, room + 1):
            if day - datetime.date.min >= step * _DAY:
                values.add(day - step * _DAY)
            if datetime.date.max - day >= step * _DAY:
                values.add(day + step * _DAY)
    return sorted(values)


def _rivals(name: str, leaves: list[Node]) -> list[str]:
    """The word and all that it is compared with, directly or by way of others."""
    found, waiting = {name}, [name]
    while waiting:
        here = waiting.pop()
        for leaf in leaves:
            match leaf:
                case Compare(_, Answer(left), Answer(right)) if here in (left, right):
                    for other in {left, right} - found:
                        found.add(other)
                        waiting.append(other)
                case _:
                    pass
    return sorted(found)


def _set_against(name: str, leaves: list[Node]) -> Iterator[Any]:
    """Every written value that a word is set against, in lists and tables too."""
    for leaf in leaves:
        match leaf:
            case OneOf(word, listed) if word == name:
                yield from listed
            case InRow(word, row):
                if word == name:
                    yield from _cells(row)
                if row.key.name == name:
                    yield from (key for key, _ in row.rows)
            case Compare(_, left, right):
                yield from _across(name, left, right)
                yield from _across(name, right, left)
            case _:
                pass


def _across(name: str, one: Operand, other: Operand) -> Iterator[Any]:
    match one, other:
        case LookUp(_, rows, Answer(key)), _ if key == name:
            yield from (row for row, _ in rows)
        case Answer(word), Literal(value) if word == name:
            if not isinstance(value, NoRow):
                yield value
        case Answer(word), LookUp() if word == name:
            yield from _cells(other)
        case _:
            pass


def _cells(row: LookUp) -> Iterator[Any]:
    for _, cell in row.rows:
        yield from cell if isinstance(cell, tuple) else (cell,)


def base_conditions(node: Node) -> Iterator[Node]:
    """The single comparisons that a condition is made of, terms opened."""
    match node:
        case Term(_, body):
            yield from base_conditions(body)
        case Not(part):
            yield from base_conditions(part)
        case And(parts) | Or(parts):
            for part in parts:
                yield from base_conditions(part)
        case _:
            yield node
