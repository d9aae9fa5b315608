"""Which unanswered questions can still change an outcome: exactly those, no more and no fewer.

The outcome is a function of the unknown words. Each unknown word is replaced by one value out of
every range that the conditions can tell apart, depth first, always the first word that is still
left in the simplified conditions. Equal branches are merged. What remains is a reduced ordered
decision diagram, and the words on which such a diagram branches are exactly those on which the
function depends.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from typing import Any

from walkthrough.rulebook.conditions import Fixed
from walkthrough.rulebook.residue import (
    Conditions,
    open_atoms,
    simplified,
    substituted,
    with_tag,
    with_value,
)
from walkthrough.rulebook.telling import telling_values
from walkthrough.rulebook.words import Word

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
        names = [name for name, tag in self._order if tag is None]
        self._values = telling_values(start, names, words)
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
