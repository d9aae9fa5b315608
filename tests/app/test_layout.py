"""Every question of the shipped editions fits the small screen, with all of its answers."""

from __future__ import annotations

from pathlib import Path

import pytest

from walkthrough.app.keys import Entry
from walkthrough.app.layout import Line, lay_out
from walkthrough.app.one_key import keyed
from walkthrough.app.prompt import Choice, Prompt, from_question
from walkthrough.rulebook.load import load

RULESETS = Path(__file__).resolve().parents[2] / "rulesets"
WIDTH, ROWS = 78, 18
QUESTIONS = load("nec-2023", [RULESETS]).questions


def texts(lines: list[Line]) -> list[str]:
    return ["".join(span.text for span in line).rstrip() for line in lines]


@pytest.mark.parametrize("word", QUESTIONS)
def test_a_question_fits_with_all_its_answers(word: str) -> None:
    entry = Entry(from_question(word, QUESTIONS[word]))
    lines = texts(lay_out(entry, WIDTH, ROWS))
    assert len(lines) <= ROWS
    assert max(len(line) for line in lines) <= WIDTH
    words = " ".join(lines).split()
    for key, choice in keyed(entry.prompt).items():
        assert key in words
        # In columns the lines of an answer stand apart, but each of its words is there.
        assert set(choice.label.split()) <= set(words)


@pytest.mark.parametrize("word", QUESTIONS)
def test_no_two_answers_share_a_key(word: str) -> None:
    prompt = from_question(word, QUESTIONS[word])
    if prompt.kind in ("choice", "tags"):
        assert [each.value for each in keyed(prompt).values()] == list(QUESTIONS[word].choices)


def test_help_is_short_until_asked_for() -> None:
    prompt = from_question("place", QUESTIONS["place"])
    short = texts(lay_out(Entry(prompt), WIDTH, ROWS))
    full = texts(lay_out(Entry(prompt), WIDTH, ROWS, full_help=True))
    assert short[1].endswith("... [F1]")
    assert QUESTIONS["place"].help in " ".join(full)


def test_what_is_as_before_is_marked_beside_the_answer() -> None:
    prompt = from_question("yoke", QUESTIONS["yoke"], "duplex", "as before")
    lines = texts(lay_out(Entry(prompt), WIDTH, ROWS))
    assert " 1  Duplex  <- as before" in lines
    assert "Enter: as marked | Tab: all as before | ?: cannot tell | Backspace: back" in lines


def test_ticked_answers_show_a_cross() -> None:
    entry = Entry(from_question("place", QUESTIONS["place"]))
    entry.press("1", "1")
    lines = texts(lay_out(entry, WIDTH, ROWS))
    assert any(line.startswith(" 1  [x] Kitchen") for line in lines)


def test_a_long_list_moves_with_the_highlight() -> None:
    choices = tuple(Choice(f"C{number}", f"circuit {number}") for number in range(1, 31))
    entry = Entry(Prompt("field:circuit", "On which?", "pick", choices))
    for _ in range(20):
        entry.press("down", None)
    lines = texts(lay_out(entry, WIDTH, ROWS))
    assert " > C20  circuit 20" in lines
    assert "   30 in all; type to narrow down" in lines


def test_the_end_of_a_long_text_stays_in_sight() -> None:
    entry = Entry(Prompt("field:at", "Where?", "text"))
    entry.paste("by the door " * 12 + "left")
    lines = texts(lay_out(entry, WIDTH, ROWS))
    assert any(line.endswith("left_") and len(line) <= WIDTH for line in lines)


def test_why_an_answer_is_not_taken_stands_by_it() -> None:
    entry = Entry(from_question("year_built", QUESTIONS["year_built"]))
    for key in "999":
        entry.press(key, key)
    entry.press("enter", None)
    lines = texts(lay_out(entry, WIDTH, ROWS))
    assert "! found 999; expected a number from 1850 to 2100" in lines
