"""All rules compiled into one function, against each rule decided by itself."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.rulebook.situations import WORDS, conditions, partial_answers
from walkthrough.judge.house import House
from walkthrough.rulebook.conditions import And, Node, Term
from walkthrough.rulebook.decide import decide, decide_all
from walkthrough.rulebook.declarations import ExceptionDeclared
from walkthrough.rulebook.kleene import both, evaluate, opposite
from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Condition, Disputed, Exempt, Rule
from walkthrough.rulebook.situation import Situation
from walkthrough.rulebook.words import Vocabulary
from walkthrough.survey import store

BOOK = load("nec-2020")
HOUSE_A = store.load("sessions/larkspur-house.toml")
PATTERN = BOOK.rules["gfci.bathroom"]


def _condition(node: Node) -> Condition:
    return Condition("", node)


@st.composite
def rules(draw: st.DrawFn) -> tuple[tuple[Rule, ...], dict[str, Condition]]:
    """Rules of which several ask for the same before they apply, and the terms they use."""
    named = {f"term {number}": each for number, each in enumerate(draw(st.lists(conditions)))}
    terms = [Term(name, node) for name, node in named.items()]
    either = st.one_of(conditions, st.sampled_from(terms)) if terms else conditions
    some = st.lists(either, max_size=2)
    common = draw(some)
    made = tuple(
        replace(
            PATTERN,
            id=f"rule {number}",
            when=_condition(And((*common[: draw(st.integers(0, 2))], draw(either)))),
            exceptions=tuple(
                Exempt(ExceptionDeclared(cite=[f"E{at}"], when=""), _condition(each))
                for at, each in enumerate(draw(some))
            ),
            needs=_condition(draw(either)),
            disputed=tuple(
                Disputed((f"so {at}", f"or so {at}"), _condition(each))
                for at, each in enumerate(draw(some))
            ),
            defect_when=draw(st.none() | either.map(_condition)),
        )
        for number in range(draw(st.integers(1, 5)))
    )
    return made, {name: _condition(node) for name, node in named.items()}


@pytest.mark.parametrize("often", [0, 5])
@settings(max_examples=150, deadline=None)
@given(rules(), partial_answers())
def test_random_rules_come_out_together_as_each_alone(
    often: int, several: tuple[tuple[Rule, ...], dict[str, Condition]], known: dict[str, Any]
) -> None:
    made, terms = several
    book = replace(
        BOOK,
        rules={each.id: each for each in made},
        vocabulary=Vocabulary(words=dict(WORDS)),
    )
    alone = [decide(each, Situation(known, terms), book) for each in made]
    with patch("walkthrough.rulebook.together._OFTEN", often):
        assert decide_all("outlet", Situation(known, terms), book) == alone


@settings(max_examples=150, deadline=None)
@given(rules(), partial_answers())
def test_a_rule_is_deficient_for_sure_by_kleenes_tables(
    several: tuple[tuple[Rule, ...], dict[str, Condition]], known: dict[str, Any]
) -> None:
    made, terms = several
    for rule in made:
        when, *against = (evaluate(each, Situation(known, terms)) for each in rule.conditions)
        expected = both([when, *map(opposite, against)])
        assert rule.deficient.truth(Situation(known, terms)) is expected
        assert rule.is_deficient(Situation(known, terms)) is (expected is True)


def test_every_rule_of_an_edition_comes_out_together_as_alone_on_a_whole_house() -> None:
    house = House(HOUSE_A, BOOK)
    for subject in house.subjects.values():
        alone = House(HOUSE_A, BOOK).situation(subject)
        every = [decide(each, alone, BOOK) for each in BOOK.rules_of.get(subject.of, ())]
        assert decide_all(subject.of, house.situation(subject), BOOK) == every


def test_answers_given_at_once_are_those_found_one_by_one() -> None:
    """A situation starts with the answers of the subject; each is what looking for it gives."""
    house = House(HOUSE_A, BOOK)
    for subject in house.subjects.values():
        above = house.above(subject)
        given = dict(house.situation(subject))
        assert given == {word: house.value(word, above) for word in given}
