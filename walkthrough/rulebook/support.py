"""Which unanswered questions can still change an outcome: exactly those, no more and no fewer."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from typing import Any

from walkthrough.rulebook.diagram import Diagram, Leaf
from walkthrough.rulebook.residue import Conditions
from walkthrough.rulebook.words import Word


def deciding_words(
    conditions: Conditions,
    known: Callable[[str], Any],
    words: Mapping[str, Word],
    outcome: Callable[[tuple[bool, ...]], Hashable],
) -> tuple[tuple[str, ...], Hashable | None]:
    """The unknown words on which `outcome` of the conditions depends, and the outcome if none.

    `known(word)` gives a value or None. `outcome` maps the truth of all conditions, in order, to
    anything hashable. The second value is the one outcome that is left when no word matters.
    Raises TooManySituations.
    """
    diagram = Diagram(conditions, words, outcome, known)
    if isinstance(diagram.root, Leaf):
        return (), diagram.root.outcome
    return tuple(sorted({word for word, _ in diagram.atoms})), None


def possible_outcomes(
    conditions: Conditions,
    words: Mapping[str, Word],
    outcome: Callable[[tuple[bool, ...]], Hashable],
) -> frozenset[Hashable]:
    """Every outcome that some way of answering all questions leads to; TooManySituations."""
    return frozenset(Diagram(conditions, words, outcome).leaves)
