"""A ruleset that lacks a table or a question leaves what hangs on it unknown."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import pytest

from walkthrough.judge.house import House
from walkthrough.judge.under import judge_under
from walkthrough.report.as_json import as_json
from walkthrough.report.as_text import as_text
from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.model import Session

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
BOX: dict[str, Any] = {
    "box_wires_12": 4,
    "box_grounds": 2,
    "box_ground_size": "awg12",
    "box_clamps": True,
    "box_device_gangs": 1,
    "box_device_wire": "awg12",
}


@pytest.fixture
def session() -> Session:
    return store.load(RECORD)


def fill_of(session: Session, book: Rulebook, **other: Any) -> Any:
    session.outlets[0].answers.update(BOX | other)
    house = House(session, book)
    return house.situation(session.outlets[0]).known("box_fill_in3")


def without_row(book: Rulebook, table: str, row: str) -> Rulebook:
    rows = {key: cell for key, cell in book.tables[table].rows.items() if key != row}
    changed = book.tables[table].model_copy(update={"rows": rows})
    return dataclasses.replace(book, tables={**book.tables, table: changed})


@pytest.mark.parametrize(
    ("table", "row"),
    [
        ("box_allowance_in3", "12"),
        ("box_count", "first_grounds"),
        ("box_count", "clamps"),
        ("box_count", "per_gang"),
    ],
)
def test_a_needed_row_that_is_not_there_leaves_the_fill_unknown(
    session: Session, table: str, row: str
) -> None:
    book = load("nec-2020")
    assert fill_of(session, book) is not None
    assert fill_of(session, without_row(book, table, row)) is None


@pytest.mark.parametrize(
    ("table", "row"), [("box_allowance_in3", "6"), ("box_count", "support_fitting")]
)
def test_a_row_that_is_not_needed_is_not_missed(session: Session, table: str, row: str) -> None:
    book = load("nec-2020")
    assert fill_of(session, without_row(book, table, row)) == fill_of(session, book)


@pytest.mark.parametrize("count", [float("inf"), float("nan")])
def test_a_count_that_is_none_leaves_the_fill_unknown(session: Session, count: float) -> None:
    assert fill_of(session, load("nec-2020"), box_grounds=count) is None


def test_a_record_is_judged_without_the_tables(session: Session) -> None:
    book = load("nec-2020")
    bare = dataclasses.replace(book, tables={})
    house = House(session, bare)
    assert house.situation(session.circuits[0]).known("receptacles_on_circuit") is None
    assert as_json(judge_under(session, [bare]))


def test_a_record_is_judged_without_the_questions_of_reach(session: Session) -> None:
    book = load("nec-2020")
    words = ("readily_accessible", "panel_accessible")
    kept = {name: each for name, each in book.questions.items() if name not in words}
    bare = dataclasses.replace(book, questions=kept)
    house = House(session, bare)
    protected = [
        house.situation(each)
        for each in session.outlets
        if house.situation(each).known("gfci_protected")
    ]
    assert protected
    assert {each.known("gfci_protector_accessible") for each in protected} == {None}
    assert as_text(judge_under(session, [bare]))
