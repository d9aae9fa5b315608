"""The questions that still matter, against brute force over every way of answering."""

from __future__ import annotations

import datetime
import itertools
from typing import Any

from hypothesis import assume, given, settings
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
    And,
    Answer,
    Compare,
    Literal,
    Node,
    Not,
    Or,
    Said,
    leaves,
)
from walkthrough.rulebook.support import deciding_words
from walkthrough.rulebook.words import Word


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


@settings(max_examples=200, deadline=None)
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


# Words that are compared with each other: with different bounds, in a chain, dates and choices.
RIVALS: dict[str, Word] = {
    "a": Word("a", "number", minimum=0, maximum=9),
    "b": Word("b", "number", minimum=3, maximum=9),
    "c": Word("c", "number", minimum=0, maximum=9),
    "first": Word("first", "date"),
    "second": Word("second", "date"),
    "left": Word("left", "choice", choices={"x": "", "y": "", "z": ""}),
    "right": Word("right", "choice", choices={"y": "", "z": "", "w": ""}),
}
DAY = datetime.date(2020, 1, 1)
NUMBERS = [0.0, 0.5, 1.0, 2.0, 3.0, 3.5, 4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0]
RIVAL_DOMAIN: dict[str, list[Any]] = {
    "a": NUMBERS,
    "b": [each for each in NUMBERS if each >= 3],
    "c": NUMBERS,
    "first": [DAY + datetime.timedelta(days=shift) for shift in range(-3, 4)],
    "second": [DAY + datetime.timedelta(days=shift) for shift in range(-3, 4)],
    "left": ["x", "y", "z"],
    "right": ["y", "z", "w"],
}
SIGNS = st.sampled_from(["==", "<", "<=", ">", ">="])


def _pair(*names: str) -> st.SearchStrategy[Node]:
    pairs = [(one, other) for one in names for other in names if one != other]
    return st.builds(
        lambda sign, pair: Compare(sign, Answer(pair[0]), Answer(pair[1])),
        SIGNS,
        st.sampled_from(pairs),
    )


rival_conditions: st.SearchStrategy[Node] = st.recursive(
    st.one_of(
        _pair("a", "b", "c"),
        _pair("first", "second"),
        st.builds(
            lambda pair: Compare("==", Answer(pair[0]), Answer(pair[1])),
            st.sampled_from([("left", "right"), ("right", "left")]),
        ),
        st.builds(
            lambda sign, name: Compare(sign, Answer(name), Literal(5.0)),
            SIGNS,
            st.sampled_from(["a", "b", "c"]),
        ),
        st.builds(lambda sign: Compare(sign, Answer("first"), Literal(DAY)), SIGNS),
        st.builds(lambda tag: Compare("==", Answer("left"), Literal(tag)), st.sampled_from("xyz")),
    ),
    lambda inner: st.one_of(
        st.builds(Not, inner),
        st.builds(lambda parts: And(tuple(parts)), st.lists(inner, min_size=1, max_size=3)),
        st.builds(lambda parts: Or(tuple(parts)), st.lists(inner, min_size=1, max_size=3)),
    ),
    max_leaves=5,
)


@settings(max_examples=150, deadline=None)
@given(rival_conditions)
def test_words_compared_with_each_other(node: Node) -> None:
    names = leaves(node)
    assume(len(names) <= 3)

    def truth(facts: dict[str, Any]) -> bool:
        return plainly(node, facts)

    situations = [
        dict(zip(names, values, strict=True))
        for values in itertools.product(*(RIVAL_DOMAIN[name] for name in names))
    ]
    matters = tuple(
        sorted(
            name
            for name in names
            if any(
                truth({**facts, name: value}) != truth(facts)
                for facts in situations
                for value in RIVAL_DOMAIN[name]
            )
        )
    )
    found, left = deciding_words((node,), _nothing_known, RIVALS, lambda truths: truths[0])
    assert found == matters
    if not matters:
        assert left is truth(situations[0])


def test_days_at_the_ends_of_the_calendar() -> None:
    words = {"day": Word("day", "date")}
    node = Compare(">=", Answer("day"), Literal(datetime.date.max))
    assert deciding_words((node,), _nothing_known, words, lambda t: t) == (("day",), None)
