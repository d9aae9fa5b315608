"""One key or a few make an answer; a key that means nothing says so."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace

import pytest

from walkthrough.app.keys import CannotTell, Entry, Given, Reply, Same, StepBack
from walkthrough.app.one_key import keyed
from walkthrough.app.prompt import Choice, Prompt, from_question
from walkthrough.rulebook.declarations import Question

FEET = Question(
    of=("outlet",), ask="Feet?", kind="number", unit="ft", min=0, max=100, none="No sink near"
)
AMPS = Question(
    of=("circuit",), ask="Amperes?", kind="number", unit="A", min=5, max=60, step=5, picks=(15, 20)
)
PLACE = Question(
    of=("room",),
    ask="Place?",
    kind="tags",
    choices={"kitchen": "Kitchen", "bathroom": "Bathroom", "garage": "Garage"},
)
MARK = Question(of=("outlet",), ask="Mark?", kind="yes-no")
CIRCUITS = Prompt(
    "field:circuit",
    "Circuit?",
    "pick",
    (Choice("C1", "bedrooms"), Choice("C10", "range"), Choice("C5", "kitchen left")),
    default="C5",
)


def typed(prompt: Prompt, keys: str) -> Reply | bool:
    """The outcome of a line of keys; names in angle brackets, such as <enter>."""
    return press(Entry(prompt), keys)


def press(entry: Entry, keys: str) -> Reply | bool:
    done: Reply | bool = False
    while keys:
        if keys.startswith("<"):
            name, _, keys = keys[1:].partition(">")
            done = entry.press(name, None)
        else:
            done = entry.press(keys[0], keys[0])
            keys = keys[1:]
    return done


@pytest.mark.parametrize(
    ("question", "keys", "value"),
    [
        (MARK, "y", True),
        (MARK, "n", False),
        (MARK, "N", False),
        (FEET, "6<enter>", 6),
        (FEET, "2.5<enter>", 2.5),
        (FEET, "2,5<enter>", 2.5),
        (FEET, "66<backspace><enter>", 6),
        (FEET, "n<enter>", math.inf),
        (FEET, "none<enter>", math.inf),
        (FEET, "No<enter>", math.inf),
        (FEET, "n6<enter>", 6),
        (AMPS, "b<enter>", 20),
        (AMPS, "30<enter>", 30),
        (PLACE, "13<enter>", ["kitchen", "garage"]),
        (PLACE, "31<enter>", ["kitchen", "garage"]),
        (PLACE, "121<enter>", ["bathroom"]),
    ],
)
def test_keys_that_answer(question: Question, keys: str, value: object) -> None:
    assert typed(from_question("word", question), keys) == Given(value)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("question", "keys", "told"),
    [
        (MARK, "x<enter>", "found 'x'; expected one of the answers"),
        (MARK, "sink<enter>", "found 'sink'; expected one of the answers"),
        (MARK, "7", "no answer has the key 7"),
        (FEET, "101<enter>", "found 101; expected a number from 0 to 100"),
        (AMPS, "17<enter>", "found 17; expected steps of 5"),
        (AMPS, "n<enter>", "found 'n'; expected a number"),
        (AMPS, "fifteen<enter>", "found 'fifteen'; expected a number"),
        (AMPS, "+", "type a number"),
        (FEET, "1-2<enter>", "found '1-2'; expected a number"),
        (FEET, "<enter>", "answer first, or ? if you cannot tell"),
        (PLACE, "<enter>", "tick at least one, or ? if you cannot tell"),
        (PLACE, "9", "no answer has the key 9"),
    ],
)
def test_keys_that_answer_nothing(question: Question, keys: str, told: str) -> None:
    entry = Entry(from_question("word", question))
    assert press(entry, keys) is True
    assert told in entry.wrong


@pytest.mark.parametrize("question", [MARK, FEET, PLACE, AMPS])
def test_keys_that_mean_the_same_everywhere(question: Question) -> None:
    prompt = from_question("word", question)
    assert typed(prompt, "?") == CannotTell()
    assert typed(prompt, "<backspace>") == StepBack()
    assert typed(prompt, "<tab>") == Same()
    assert typed(prompt, "<f1>") is False


def test_enter_takes_the_answer_from_before() -> None:
    assert typed(from_question("word", FEET, 3, "as before"), "<enter>") == Given(3)
    assert typed(from_question("word", MARK, False, "as before"), "<enter>") == Given(False)
    assert typed(from_question("word", PLACE, ["garage"], "as before"), "<enter>") == Given(
        ["garage"]
    )


def test_a_refused_number_is_not_typed_on() -> None:
    entry = Entry(from_question("word", FEET))
    press(entry, "101<enter>")
    assert press(entry, "7<enter>") == Given(7)


def test_many_answers_get_digits_and_then_letters() -> None:
    choices = tuple(Choice(f"c{number}", f"Choice {number}") for number in range(12))
    prompt = Prompt("word", "Which?", "choice", choices)
    assert list(keyed(prompt)) == list("123456789abc")
    assert typed(prompt, "a") is True
    assert typed(prompt, "a<enter>") == Given("c9")
    # A way on records nothing: there a letter is enough.
    assert typed(replace(prompt, is_way=True), "a") == Given("c9")


@pytest.mark.parametrize(
    ("keys", "value"),
    [
        ("<enter>", "C5"),
        ("C1<enter>", "C1"),
        ("c10<enter>", "C10"),
        ("range<enter>", "C10"),
        ("<up><enter>", "C10"),
        ("C1<down><enter>", "C10"),
    ],
)
def test_a_list_is_narrowed_down_by_typing(keys: str, value: str) -> None:
    assert typed(CIRCUITS, keys) == Given(value)


def test_a_list_says_when_nothing_fits() -> None:
    entry = Entry(CIRCUITS)
    press(entry, "attic<enter>")
    assert entry.wrong == "nothing fits 'attic'"


def test_a_list_in_which_nothing_was_told_offers_nothing() -> None:
    """Enter must not take what merely comes first."""
    entry = Entry(replace(CIRCUITS, default=None, if_missing="enter it first"))
    assert press(entry, "<enter>") is True
    assert "type a word of it, or choose it with Down" in entry.wrong
    press(entry, "attic<enter>")
    assert entry.wrong == "nothing fits 'attic': enter it first"
    assert typed(replace(CIRCUITS, default=None), "<down><down><enter>") == Given("C10")


def test_texts_and_dates() -> None:
    text = Prompt("field:at", "Where?", "text", can_be_empty=True)
    assert typed(text, "left? of sink<enter>") == Given("left? of sink")
    assert typed(text, "<enter>") == Given("")
    day = Prompt("day", "Day?", "date")
    assert typed(day, "2026-11-10<enter>") == Given(datetime.date(2026, 11, 10))
    entry = Entry(day)
    press(entry, "10 November<enter>")
    assert "expected a date such as 2026-11-10" in entry.wrong


def test_pasted_text_keeps_no_line_ends() -> None:
    entry = Entry(Prompt("field:at", "Where?", "text"))
    entry.paste("left of\nsink\x1b[31m")
    assert entry.typed == "left ofsink[31m"
