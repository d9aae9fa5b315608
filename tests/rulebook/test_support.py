"""The questions that still matter, against brute force over every way of answering."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.rulebook.situations import (
    DOMAIN,
    WORDS,
    completions,
    conditions,
    partial_answers,
    plainly,
)
from walkthrough.rulebook.conditions import (
    Answer,
    Compare,
    Literal,
    Node,
    Not,
    Or,
    Said,
)
from walkthrough.rulebook.support import deciding_words


def _outcome(truths: tuple[bool, ...]) -> str:
    applies, excepted, fulfilled = truths
    if not applies:
        return "not applicable"
    if excepted:
        return "excepted"
    return "met" if fulfilled else "deficient"


def _nothing_known(_: str) -> None:
    return None


def _by_brute_force(nodes: tuple[Node, ...], known: dict[str, Any]) -> tuple[tuple[str, ...], Any]:
    def outcome(facts: dict[str, Any]) -> str:
        return _outcome(tuple(plainly(node, facts) for node in nodes))

    matters = {
        word
        for word in WORDS
        if word not in known
        for facts in completions(known)
        if any(outcome({**facts, word: value}) != outcome(facts) for value in DOMAIN[word])
    }
    left = {outcome(facts) for facts in completions(known)}
    return tuple(sorted(matters)), left.pop() if not matters else None


@settings(max_examples=400, deadline=None)
@given(st.tuples(conditions, conditions, conditions), partial_answers())
def test_exactly_the_questions_that_can_change_the_outcome(
    nodes: tuple[Node, ...], known: dict[str, Any]
) -> None:
    found = deciding_words(nodes, known.get, WORDS, _outcome)
    assert found == _by_brute_force(nodes, known)


def test_a_question_that_cancels_out_is_not_asked() -> None:
    """`wet or not wet` reads an unknown word, and yet its answer changes nothing."""
    always = Or((Said("wet"), Not(Said("wet"))))
    never = Compare("<", Answer("feet"), Literal(0.0))
    assert deciding_words((always, never, Said("tested")), _nothing_known, WORDS, _outcome) == (
        ("tested",),
        None,
    )
