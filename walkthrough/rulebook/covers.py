"""Few wide descriptions that together hold exactly the situations with a wanted outcome.

A description (a cube) allows some values of some words and everything of all others. Covers are
found greedily: take a situation that no description holds yet, widen it as far as the outcomes
outside allow, go on until none is left, and drop what the others hold already.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import TypeAlias

from walkthrough.rulebook.diagram import Branch, Diagram, Leaf, Node
from walkthrough.rulebook.residue import Atom

Cube: TypeAlias = Mapping[Atom, frozenset[int]]
"""For each word that matters, the numbers of the values that are allowed."""
Outcomes: TypeAlias = Collection[Hashable]


def cover(diagram: Diagram, wanted: Outcomes, allowed: Outcomes) -> list[Cube]:
    """Descriptions that hold every situation with a wanted outcome.

    Situations whose outcome is allowed may be held too; all others are not. Values that no
    situation with a wanted outcome has are left out of a description.
    """
    cubes: list[Cube] = []
    rest = _Rest(diagram, wanted)
    left = rest.every
    while left is not False:
        cubes.append(_widened(diagram, rest.first(left, cubes), allowed))
        left = rest.without(left, cubes[-1])
    for cube in list(cubes):
        others = [each for each in cubes if each is not cube]
        if reduce(rest.without, others, rest.within(rest.every, cube)) is False:
            cubes = others
    return [tightened(diagram, each, wanted, each) for each in cubes]


def holds_only(node: Node, cube: Cube, allowed: Outcomes) -> bool:
    """Whether all situations of a description have allowed outcomes."""
    return all(each in allowed for each in reached(node, cube))


def reached(node: Node, cube: Cube) -> set[Hashable]:
    """The outcomes of all situations of a description."""
    seen: set[int] = set()
    found: set[Hashable] = set()
    waiting = [node]
    while waiting:
        each = waiting.pop()
        if id(each) in seen:
            continue
        seen.add(id(each))
        if isinstance(each, Leaf):
            found.add(each.outcome)
        else:
            taken = cube.get(each.atom)
            waiting += [w for n, w in enumerate(each.ways) if taken is None or n in taken]
    return found


@dataclass(frozen=True, eq=False)
class _Split:
    """Situations told apart by one word, by its place in the order; a part for each value."""

    place: int
    parts: tuple[_Situations, ...]


_Situations: TypeAlias = bool | _Split
"""A set of situations as a reduced ordered decision diagram: none, all, or split by a word."""


class _Rest:
    """The situations of a diagram with a wanted outcome, less those that descriptions hold."""

    def __init__(self, diagram: Diagram, wanted: Outcomes) -> None:
        self._diagram, self._atoms = diagram, diagram.atoms
        self._place = {atom: place for place, atom in enumerate(self._atoms)}
        self._made: dict[tuple[int, tuple[int, ...]], _Split] = {}
        self.every = self._wanted(diagram.root, wanted, {})

    def _split(self, place: int, parts: Iterable[_Situations]) -> _Situations:
        parts = tuple(parts)
        if all(each is parts[0] for each in parts):
            return parts[0]
        return self._made.setdefault((place, tuple(map(id, parts))), _Split(place, parts))

    def _wanted(self, node: Node, wanted: Outcomes, known: dict[int, _Situations]) -> _Situations:
        if isinstance(node, Leaf):
            return node.outcome in wanted
        if id(node) not in known:
            parts = [self._wanted(each, wanted, known) for each in node.ways]
            known[id(node)] = self._split(self._place[node.atom], parts)
        return known[id(node)]

    def without(self, situations: _Situations, cube: Cube) -> _Situations:
        """Those of some situations that a description does not hold."""
        return self._cut(situations, cube, inside=False)

    def within(self, situations: _Situations, cube: Cube) -> _Situations:
        """Those of some situations that a description holds."""
        return self._cut(situations, cube, inside=True)

    def _cut(self, situations: _Situations, cube: Cube, inside: bool) -> _Situations:
        asked = sorted((self._place[atom], taken) for atom, taken in cube.items())
        known: dict[tuple[int, int], _Situations] = {}

        def left(here: _Situations, at: int) -> _Situations:
            if here is False or at == len(asked):
                return here if inside else False
            key = (id(here), at)
            if key not in known:
                known[key] = parted(here, at)
            return known[key]

        def parted(here: _Situations, at: int) -> _Situations:
            place, taken = asked[at]
            if isinstance(here, _Split) and here.place < place:
                return self._split(here.place, (left(each, at) for each in here.parts))
            count = len(self._diagram.values(self._atoms[place]))
            own = isinstance(here, _Split) and here.place == place
            parts = here.parts if isinstance(here, _Split) and own else (here,) * count
            return self._split(
                place,
                (
                    left(each, at + 1) if n in taken else False if inside else each
                    for n, each in enumerate(parts)
                ),
            )

        return left(situations, 0)

    def first(self, situations: _Situations, cubes: Sequence[Cube]) -> dict[Atom, int]:
        """The first of some situations, in all words that tell it from others or from `cubes`."""
        node, found = self._diagram.root, dict[Atom, int]()
        live = list(cubes)
        for place, atom in enumerate(self._atoms):
            splits = isinstance(node, Branch) and node.atom == atom
            if not splits and not any(atom in each for each in live):
                continue
            number = 0
            if isinstance(situations, _Split) and situations.place == place:
                number = next(n for n, each in enumerate(situations.parts) if each is not False)
                situations = situations.parts[number]
            found[atom] = number
            live = [each for each in live if atom not in each or number in each[atom]]
            node = node.ways[number] if isinstance(node, Branch) and splits else node
        return found


def _widened(diagram: Diagram, point: Mapping[Atom, int], allowed: Outcomes) -> Cube:
    cube = {atom: frozenset({number}) for atom, number in point.items()}
    for atom in _widening_order(diagram, cube):
        wider = {each: taken for each, taken in cube.items() if each != atom}
        if holds_only(diagram.root, wider, allowed):
            cube = wider
    for atom in list(cube):
        for number in range(len(diagram.values(atom))):
            wider = {**cube, atom: cube[atom] | {number}}
            if number not in cube[atom] and holds_only(diagram.root, wider, allowed):
                cube = wider
    return cube


def tightened(diagram: Diagram, cube: Cube, wanted: Outcomes, atoms: Iterable[Atom]) -> Cube:
    """A description without values, of some words, that no situation with a wanted outcome has."""
    others = set(diagram.leaves) - set(wanted)
    tight = dict(cube)
    for atom in atoms:
        every = range(len(diagram.values(atom)))
        left = frozenset(
            number
            for number in cube.get(atom, every)
            if not holds_only(diagram.root, {**cube, atom: frozenset({number})}, others)
        )
        if len(left) < len(every):
            tight[atom] = left
    return tight


def _widening_order(diagram: Diagram, cube: Cube) -> Iterator[Atom]:
    """What is told last is dropped first: the words that come early say what it is about."""
    return reversed([atom for atom in diagram.atoms if atom in cube])
