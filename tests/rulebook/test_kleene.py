"""Three-valued truth against the truth tables, and against brute force over all answers."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings

from tests.rulebook.situations import completions, conditions, partial_answers, plainly
from walkthrough.rulebook.conditions import (
    Node,
)
from walkthrough.rulebook.kleene import Truth, both, either, evaluate, opposite, weighing
from walkthrough.rulebook.rulebook import Condition
from walkthrough.rulebook.situation import Situation

# Kleene's strong tables, as printed in any textbook of many-valued logic (from memory).
TABLE: list[tuple[Truth, Truth, Truth, Truth]] = [
    (True, True, True, True),
    (True, False, False, True),
    (True, None, None, True),
    (False, True, False, True),
    (False, False, False, False),
    (False, None, False, None),
    (None, True, None, True),
    (None, False, False, None),
    (None, None, None, None),
]


@pytest.mark.parametrize(("first", "second", "conjunction", "disjunction"), TABLE)
def test_tables(first: Truth, second: Truth, conjunction: Truth, disjunction: Truth) -> None:
    assert both([first, second]) is conjunction
    assert either([first, second]) is disjunction


def test_not() -> None:
    assert [opposite(value) for value in (True, False, None)] == [False, True, None]


@settings(max_examples=300, deadline=None)
@given(conditions, partial_answers())
def test_a_known_truth_holds_whatever_the_open_answers_are(
    node: Node, known: dict[str, Any]
) -> None:
    truth = evaluate(node, Situation(known, {}))
    if truth is not None:
        assert {plainly(node, facts) for facts in completions(known)} == {truth}


@settings(max_examples=300, deadline=None)
@given(conditions, partial_answers())
def test_the_compiled_form_gives_kleenes_answer(node: Node, known: dict[str, Any]) -> None:
    facts = Situation(known, {})
    assert Condition("", node).truth(facts) is evaluate(node, facts)
    assert weighing(node)(facts) is evaluate(node, facts)
