"""Few wide descriptions that together hold exactly the situations with a wanted outcome.

A description (a cube) allows some values of some words and everything of all others. Covers are
found greedily: take a situation that no description holds yet, widen it as far as the outcomes
outside allow, go on until none is left, and drop what the others hold already.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping
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
    while (found := _not_held(diagram, wanted, cubes)) is not None:
        cubes.append(_widened(diagram, found, allowed))
    for cube in list(cubes):
        others = [each for each in cubes if each is not cube]
        if _not_held(diagram, wanted, others) is None:
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


def _not_held(diagram: Diagram, wanted: Outcomes, cubes: list[Cube]) -> dict[Atom, int] | None:
    """A situation with a wanted outcome that no description holds; None when there is none."""
    atoms = diagram.atoms
    dead: set[tuple[int, int, frozenset[int]]] = set()

    def visit(place: int, node: Node, live: Mapping[int, Cube]) -> dict[Atom, int] | None:
        """Go through the words in order; `live` are the descriptions that still hold."""
        if any(not left for left in live.values()):
            return None
        if isinstance(node, Leaf) and not live:
            return {} if node.outcome in wanted else None
        if place == len(atoms):
            return None
        state = (place, id(node), frozenset(live))
        if state in dead:
            return None
        atom = atoms[place]
        ways = node.ways if isinstance(node, Branch) and node.atom == atom else None
        matters = ways is not None or any(atom in left for left in live.values())
        for number in range(len(diagram.values(atom))) if matters else (0,):
            after = {
                each: {a: taken for a, taken in left.items() if a != atom}
                for each, left in live.items()
                if atom not in left or number in left[atom]
            }
            found = visit(place + 1, ways[number] if ways else node, after)
            if found is not None:
                return {atom: number, **found} if matters else found
        dead.add(state)
        return None

    return visit(0, diagram.root, {place: dict(each) for place, each in enumerate(cubes)})


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
