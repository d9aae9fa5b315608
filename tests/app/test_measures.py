"""Numbers and days as people write them."""

from __future__ import annotations

import datetime
from fractions import Fraction

import pytest

from walkthrough.app.keys import Entry, Given
from walkthrough.app.prompt import Prompt
from walkthrough.rulebook.declarations import Question
from walkthrough.survey.measures import read_day, read_length_in, read_measure

# Sources: an inch is 25.4 mm and a foot 12 in. by definition; the rest is arithmetic.


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("6", "ft", 6), ("5.5", "ft", 5.5), ("5,5", "ft", 5.5), ("5 1/2", "ft", 5.5),
        ("5-1/2", "ft", 5.5), ("1/2", "ft", 0.5), ("5'6\"", "ft", 5.5), ("5'6", "ft", 5.5),
        ("5 ft 6 in", "ft", 5.5), ("5ft 6 1/2in", "ft", 5.54), ("66 in", "ft", 5.5),
        ("66\"", "ft", 5.5),
        ("1.8288 m", "ft", 6), ("1.7 m", "ft", 5.58), ("30.48 cm", "ft", 1),
        ("1 m 82.88 cm", "ft", 6),
        ("66", "in", 66), ("5'6\"", "in", 66), ("5 1/2 ft", "in", 66), ("-4", "in", -4),
        ("-4 1/2", "in", -4.5), ("40 cm", "in", 15.75), ("406.4 mm", "in", 16),
        ("12 Feet", "in", 144),
        ("20.3", "in3", 20.3), ("16387 ml", "in3", 1000), ("332.7 cm3", "in3", 20.3),
        ("15", "A", 15), ("1 1/2", "A", 1.5), ("007", "", 7),
    ],
)  # fmt: skip
def test_a_number_in_the_unit_that_is_asked_for(text: str, unit: str, expected: float) -> None:
    assert read_measure(text, unit) == expected


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("", "ft"), ("ft", "ft"), ("6 A", "ft"), ("6 m", "A"), ("1/0", "ft"), ("6 in 5 ft", "ft"),
        ("5 6", "ft"), ("5'6'", "ft"), ("6 ml", "in"), ("5..5", "ft"), ("--4", "ft"), ("1e3", "ft"),
        ("nan", "ft"), ("inf", "ft"), ("6 ftx", "ft"), ("5 ft 1 m", "ft"), ("²", "ft"), ("٣", ""),
    ],
)  # fmt: skip
def test_what_is_no_measure_is_not_guessed(text: str, unit: str) -> None:
    assert read_measure(text, unit) is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("5 ft 6 1/2 in", Fraction(133, 2)), ("5'6", Fraction(66)), ("1/3 ft", Fraction(4)),
        ("1.8 m", Fraction(9000, 127)), ("63in", Fraction(63)), ("0 in", Fraction(0)),
    ],
)  # fmt: skip
def test_a_length_in_inches_is_exact(text: str, expected: Fraction) -> None:
    assert read_length_in(text) == expected


@pytest.mark.parametrize("text", ["", "12", "5 6", "-5 ft", "6 in 5 ft", "5 A", "ft"])
def test_a_length_without_its_unit_is_not_guessed(text: str) -> None:
    assert read_length_in(text) is None


def test_days() -> None:
    assert read_day("2026-11-10") == read_day("11/10/2026") == datetime.date(2026, 11, 10)
    assert read_day("13/10/2026") is None
    assert read_day("2026-02-30") is None


def test_what_was_understood_is_shown_while_typing() -> None:
    question = Question(of=("outlet",), ask="Feet?", kind="number", unit="ft", min=0, max=100)
    entry = Entry(Prompt("feet_to_sink", "Feet?", "number", question=question))
    for key in "5'6":
        entry.press(key, key)
    assert entry.understood == "= 5.5 ft"
    assert entry.press("enter", None) == Given(5.5)


def test_what_is_not_understood_says_what_would_be() -> None:
    question = Question(of=("outlet",), ask="Feet?", kind="number", unit="ft", min=0, max=100)
    entry = Entry(Prompt("feet_to_sink", "Feet?", "number", question=question))
    for key in "6yd":
        entry.press(key, key)
    assert entry.press("enter", None) is True
    assert entry.wrong == "found '6yd'; expected a number such as 5.5, 5 1/2, 5'6\" or 1.7 m"
