"""The reduced ordered decision diagram of an outcome over all words that its conditions read.

Each word is replaced by one value out of every range that the conditions can tell apart, depth
first, always the first word that is still left in the simplified conditions. Equal branches are
merged. What remains is a reduced ordered decision diagram: the words on which it branches are
exactly those on which the outcome depends.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from walkthrough.rulebook.conditions import Fixed
from walkthrough.rulebook.residue import (
    Atom,
    Conditions,
    open_atoms,
    simplified,
    substituted,
    with_tag,
    with_value,
)
from walkthrough.rulebook.telling import telling_values, values_named
from walkthrough.rulebook.words import Word

MAX_BRANCHES = 10_000


class TooManySituations(RuntimeError):
    """A rule leaves more situations open than can be told apart in bounded time."""


@dataclass(frozen=True, eq=False)
class Leaf:
    """The end of every path on which the outcome is the same."""

    outcome: Hashable


@dataclass(frozen=True, eq=False)
class Branch:
    """A word, or one tag of a word of tags, on which the outcome depends; a way for each value."""

    atom: Atom
    ways: tuple[Node, ...]


Node: TypeAlias = Leaf | Branch


class Diagram:
    """The diagram of `outcome` over conditions; equal residues and equal branches are shared."""

    def __init__(
        self,
        conditions: Conditions,
        words: Mapping[str, Word],
        outcome: Callable[[tuple[bool, ...]], Hashable],
        known: Callable[[str], Any] = lambda _: None,
        most: int = MAX_BRANCHES,
    ) -> None:
        """Raises TooManySituations beyond `most` different residues."""
        start = tuple(simplified(substituted(condition, known)) for condition in conditions)
        # One order of the words and one list of values for each, on every path: only then do
        # equal functions become equal branches. Tags are independent of each other.
        self._order = {atom: place for place, atom in enumerate(dict.fromkeys(open_atoms(start)))}
        names = [name for name, tag in self._order if tag is None]
        self._start = start
        self._values = telling_values(start, names, words)
        self._outcome = outcome
        self._most = most
        self._built: dict[Conditions, Node] = {}
        self._branches: dict[tuple[Atom, tuple[int, ...]], Branch] = {}
        self.leaves: dict[Hashable, Leaf] = {}
        self.root = self._build(start)

    @property
    def atoms(self) -> tuple[Atom, ...]:
        """The words and tags on which the outcome depends, in order."""
        return tuple(sorted({atom for atom, _ in self._branches}, key=self._order.__getitem__))

    def values(self, atom: Atom) -> list[Any]:
        """What each way of a branch stands for: values of the word, or whether the tag is there."""
        name, tag = atom
        return [True, False] if tag is not None else self._values[name]

    def named(self, word: str) -> set[Any]:
        """The values of a word that the conditions name; the others stand for whole ranges."""
        return values_named(word, self._start)

    def _build(self, residue: Conditions) -> Node:
        if residue in self._built:
            return self._built[residue]
        if len(self._built) > self._most:
            raise TooManySituations
        atom = min(open_atoms(residue), key=self._order.__getitem__, default=None)
        made = self._leaf(residue) if atom is None else self._branch(atom, residue)
        self._built[residue] = made
        return made

    def _leaf(self, residue: Conditions) -> Leaf:
        truths = tuple(isinstance(node, Fixed) and node.value for node in residue)
        result = self._outcome(truths)
        return self.leaves.setdefault(result, Leaf(result))

    def _branch(self, atom: Atom, residue: Conditions) -> Node:
        name, tag = atom
        ways = tuple(
            self._build(
                tuple(
                    with_value(node, name, value)
                    if tag is None
                    else with_tag(node, name, tag, value)
                    for node in residue
                )
            )
            for value in self.values(atom)
        )
        if all(way is ways[0] for way in ways):
            return ways[0]
        key = (atom, tuple(id(way) for way in ways))
        return self._branches.setdefault(key, Branch(atom, ways))
