"""Descriptions of situations, against brute force over all of them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.rulebook.situations import WORDS, conditions
from walkthrough.rulebook.conditions import And, Compare, Has, Literal, Node, Not, Or, Said
from walkthrough.rulebook.conditions import Answer as Value
from walkthrough.rulebook.covers import Cube, cover, holds_only
from walkthrough.rulebook.diagram import Branch, Diagram, Leaf
from walkthrough.rulebook.residue import Atom

OUTCOMES = {(True, True): "wanted", (True, False): "not wanted", (False, True): "whatever"}


def _outcome(truths: tuple[bool, ...]) -> str:
    return OUTCOMES.get((truths[0], truths[1]), "outside")


def _points(diagram: Diagram) -> Iterator[tuple[dict[Atom, int], str]]:
    """Every situation of a diagram with its outcome."""
    atoms = diagram.atoms
    for numbers in itertools.product(*(range(len(diagram.values(each))) for each in atoms)):
        point = dict(zip(atoms, numbers, strict=True))
        node = diagram.root
        while isinstance(node, Branch):
            node = node.ways[point[node.atom]]
        assert isinstance(node, Leaf)
        yield point, str(node.outcome)


def _holds(cube: Cube, point: dict[Atom, int]) -> bool:
    return all(point[atom] in taken for atom, taken in cube.items())


@settings(max_examples=250, deadline=None)
@given(st.tuples(conditions, conditions))
def test_a_cover_holds_all_that_is_wanted_and_nothing_else(nodes: tuple[Node, ...]) -> None:
    diagram = Diagram(nodes, WORDS, _outcome)
    cubes = cover(diagram, {"wanted"}, {"wanted", "whatever"})
    for point, came in _points(diagram):
        held = any(_holds(cube, point) for cube in cubes)
        if came == "wanted":
            assert held
        elif came != "whatever":
            assert not held
    for cube in cubes:
        # None can be left out, and none names a value for nothing.
        others = [each for each in cubes if each is not cube]
        wanted = [point for point, came in _points(diagram) if came == "wanted"]
        assert any(not any(_holds(each, p) for each in others) for p in wanted)
        for atom, taken in cube.items():
            assert all(
                any(_holds({**cube, atom: frozenset({n})}, p) for p in wanted) for n in taken
            )


@settings(max_examples=150, deadline=None)
@given(st.tuples(conditions, conditions), st.randoms(use_true_random=False))
def test_whether_a_description_holds_only_what_is_allowed(nodes: tuple[Node, ...], chance) -> None:  # type: ignore[no-untyped-def]
    diagram = Diagram(nodes, WORDS, _outcome)
    cube = {
        atom: frozenset(n for n in range(len(diagram.values(atom))) if chance.random() < 0.6)
        or frozenset({0})
        for atom in diagram.atoms
    }
    expected = all(
        came in ("wanted", "outside") for point, came in _points(diagram) if _holds(cube, point)
    )
    assert holds_only(diagram.root, cube, {"wanted", "outside"}) is expected


def test_two_neighbouring_descriptions_become_one() -> None:
    """In a kitchen, near or far from the sink but not at the counter: one description is enough."""
    kitchen, near, counter = (
        Has("kitchen", "place"),
        Compare("<=", Value("feet"), Literal(6.0)),
        Said("tested"),
    )
    now = And((kitchen, Or((near, Not(near))), Not(counter)))
    diagram = Diagram((now, kitchen), WORDS, lambda truths: (truths[0], truths[1]))
    cubes = cover(diagram, {(True, True)}, {(True, True), (False, False)})
    assert cubes == [{("tested", None): frozenset({1})}]
