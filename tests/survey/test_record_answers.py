"""Answers are checked against the questions they belong to."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from walkthrough.survey.answers import check_answers, check_beside
from walkthrough.survey.model import AnswerValue, Session
from walkthrough.survey.store import RecordError, load


@dataclass(frozen=True)
class Asked:
    """A question as the rulebook declares it."""

    kind: str
    of: tuple[str, ...] = ("outlet",)
    choices: dict[str, str] = field(default_factory=dict)
    min: float | None = None
    max: float | None = None
    step: float | None = None
    none: str = ""
    at_most: tuple[str, ...] = ()
    reading: bool = False
    unit: str = ""
    alone: tuple[str, ...] = ()


DEVICES = {"plain": "Plain", "gfci": "GFCI"}
QUESTIONS = {
    "volts_to_ground": Asked("number", of=("dwelling",)),
    "breaker_amps": Asked("number", of=("circuit",), min=5, max=400, step=1),
    "place": Asked("tags", of=("room",), choices={"kitchen": "", "food_or_drink": ""}),
    "device": Asked("choice", choices=DEVICES),
    "feet_to_sink": Asked("number", min=0, max=100, none="No sink near", unit="ft"),
    "feet_to_tub": Asked("number", min=0, none="No tub near"),
    "test_result": Asked("choice", choices={"trips": "Trips"}, reading=True),
    "device_year": Asked("number", min=1900, max=2100, step=1),
    "serves": Asked("tags", choices={"washer": "", "freezer": ""}),
    "found": Asked("tags", choices={"sound": "", "burned": "", "wet": ""}),
    "tr_mark": Asked("yes-no"),
    "remark": Asked("text"),
    "seen_on": Asked("date"),
    "inches_above_rim": Asked("number", max=200),
    "wetness": Asked("choice", of=("room", "outlet"), choices={"dry": "Dry"}),
}


def test_the_worked_example_has_no_slip(small_session: Session) -> None:
    assert check_answers(small_session, QUESTIONS) == []


SLIPS: dict[str, tuple[str, AnswerValue, str]] = {
    "unknown question": (
        "devise",
        "gfci",
        "there is no question 'devise'; expected one asked of this outlet; did you mean 'device'?",
    ),
    "asked of something else": (
        "breaker_amps",
        20,
        "'breaker_amps' is not asked of this outlet; expected it at circuit",
    ),
    "a reading among the answers": (
        "test_result",
        "trips",
        "'test_result' stands among the answers; expected it among the readings",
    ),
    "no such choice": (
        "device",
        "gfic",
        "device: found \"gfic\"; expected one of the choices; did you mean 'gfci'?",
    ),
    "a number for a choice": ("device", 3, "device: found 3; expected one of the choices"),
    "a text for tags": (
        "serves",
        "washer",
        'serves: found "washer"; expected a list such as ["washer", "freezer"]',
    ),
    "no such tag": (
        "serves",
        ["washr"],
        "serves: found \"washr\"; expected one of the choices; did you mean 'washer'?",
    ),
    "a tag twice": ("serves", ["washer"] * 2, 'serves: found "washer" twice; expected it once'),
    "a word for yes or no": ("tr_mark", "yes", 'tr_mark: found "yes"; expected true or false'),
    "a number for yes or no": ("tr_mark", 1, "tr_mark: found 1; expected true or false"),
    "a yes for a number": ("device_year", True, "device_year: found true; expected a number"),
    "a text for a number": ("device_year", "1998", 'device_year: found "1998"; expected a number'),
    "a length with its unit": (
        "feet_to_sink",
        "1.7 m",
        'feet_to_sink: found "1.7 m"; expected a number (ft)',
    ),
    "just below": ("device_year", 1899, "device_year: found 1899; expected a number from 1900"),
    "just above": ("device_year", 2101, "found 2101; expected a number from 1900 to 2100"),
    "between the steps": ("device_year", 1998.5, "found 1998.5; expected steps of 1"),
    "none where there is no none": ("device_year", math.inf, "device_year: found inf; expected"),
    "minus infinity": (
        "feet_to_sink",
        -math.inf,
        "found -inf; expected a number from 0 to 100, or inf for none",
    ),
    "below an open range": ("feet_to_tub", -1, "found -1; expected a number of at least 0"),
    "above an open range": ("inches_above_rim", 201, "found 201; expected a number of at most 200"),
    "a number for a text": ("remark", 1, "remark: found 1; expected a text in quotes"),
    "a text for a date": ("seen_on", "2026-11-10", "expected a date such as 2026-11-10"),
}


@pytest.mark.parametrize(("question", "value", "message"), SLIPS.values(), ids=SLIPS)
def test_slip(small_session: Session, question: str, value: AnswerValue, message: str) -> None:
    outlet = small_session.outlets[1]
    outlet.cannot_tell = []
    outlet.answers = {question: value}
    [(where, told)] = check_answers(small_session, QUESTIONS)
    assert where == ("outlet", 1, "answers", question)
    assert message in told


FITTING: list[tuple[str, AnswerValue]] = [
    ("device_year", 1900),
    ("device_year", 2100),
    ("device_year", 1998.0),
    ("feet_to_sink", 0),
    ("feet_to_sink", 5.75),
    ("feet_to_sink", math.inf),
    ("inches_above_rim", -6),
    ("serves", []),
    ("serves", ["freezer", "washer"]),
    ("tr_mark", False),
    ("remark", ""),
    ("seen_on", datetime.date(2026, 11, 10)),
    ("wetness", "dry"),
]


@pytest.mark.parametrize(("question", "value"), FITTING)
def test_fitting_answer(small_session: Session, question: str, value: AnswerValue) -> None:
    small_session.outlets[1].cannot_tell = []
    small_session.outlets[1].answers = {question: value}
    assert check_answers(small_session, QUESTIONS) == []


def test_an_answer_among_the_readings_is_a_slip(small_session: Session) -> None:
    small_session.outlets[1].readings["tr_mark"] = True
    [(where, told)] = check_answers(small_session, QUESTIONS)
    assert where == ("outlet", 1, "readings", "tr_mark")
    assert told == "'tr_mark' stands among the readings; expected it among the answers"


def test_what_cannot_be_told_must_be_a_question_too(small_session: Session) -> None:
    small_session.outlets[1].cannot_tell = ["device_yaer"]
    [(where, told)] = check_answers(small_session, QUESTIONS)
    assert where == ("outlet", 1, "cannot_tell", 0)
    assert "did you mean 'device_year'?" in told


def test_the_file_is_refused_with_the_line_of_the_answer(record_file: Path) -> None:
    record_file.write_bytes(record_file.read_bytes().replace(b'"gfci"', b'"gfic"'))
    with pytest.raises(RecordError, match=r"\.toml:39:1: device: found \"gfic\""):
        load(record_file, QUESTIONS)


FAR = {
    "straight_feet": Asked("number", none="None near", at_most=("feet_to_sink", "feet_to_tub")),
    "feet_to_sink": Asked("number", none="No sink near"),
    "feet_to_tub": Asked("number", none="No tub near"),
}
OUTLET = """format = 1
title = "Elm"
judged_by = { ruleset = "nec-2020" }
[[panel]]
id = "P"
name = "Main"
[[circuit]]
id = "C"
panel = "P"
[[room]]
id = "R"
name = "Room"
[[outlet]]
id = "R-1"
room = "R"
circuit = "C"
[outlet.answers]
"""


@pytest.mark.parametrize(
    ("straight", "sink", "tub", "wrong"),
    [
        ("5", "7", "inf", ""),
        ("7", "7", "7", ""),
        ("inf", "inf", "inf", ""),
        # None near, and yet a way there: how far "near" reaches is nobody's number.
        ("inf", "24", "inf", ""),
        # A fixed barrier in the way of every cord: nothing limits the straight line then.
        ("33", "inf", "inf", ""),
        ("33", "7", "inf", "found 33; expected at most 7, which is 'feet_to_sink' here"),
        ("6", "7", "5.5", "found 6; expected at most 5.5, which is 'feet_to_tub' here"),
    ],
)
def test_a_straight_line_is_no_longer_than_the_way_of_a_cord(
    straight: str, sink: str, tub: str, wrong: str, tmp_path: Path
) -> None:
    """A record that says so is read all the same: nobody may be kept from what was entered."""
    path = tmp_path / "elm.toml"
    path.write_text(
        f"{OUTLET}feet_to_sink = {sink}\nstraight_feet = {straight}\nfeet_to_tub = {tub}\n"
    )
    (outlet,) = load(path, FAR).outlets
    assert check_beside(outlet, "straight_feet", outlet.answers["straight_feet"], FAR) == wrong
