"""Taking back and making again: the same bytes, also after a restart."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from walkthrough.survey import store
from walkthrough.survey.canonical import as_toml
from walkthrough.survey.history import History, beside, with_findings
from walkthrough.survey.model import (
    Circuit,
    Finding,
    JudgedBy,
    Outlet,
    Panel,
    Room,
    Session,
    Visit,
)
from walkthrough.survey.turned import other_state

KEY = ("outlet", "K-1")


def fresh() -> Session:
    return Session(
        title="House",
        judged_by=JudgedBy(ruleset="nec-2020"),
        visits=[Visit(date=datetime.date(2026, 3, 1))],
        panels=[Panel(id="P")],
        circuits=[Circuit(id="C", panel="P")],
        rooms=[Room(id="k", name="Kitchen")],
    )


def change(session: Session, number: int) -> None:
    """One of many small changes: outlets come and go, answers are put, changed and forgotten."""
    outlets = session.outlets
    match number % 5:
        case 0:
            taken = {each.id for each in outlets}
            id = next(f"K-{n}" for n in range(number, number + 100) if f"K-{n}" not in taken)
            outlets.append(Outlet(id=id, room="k", circuit="C"))
        case 1 if outlets:
            outlets[number % len(outlets)].answers["amps"] = number
        case 2 if outlets:
            outlets[number % len(outlets)].note = f"line one\n[[finding]]\nline {number}"
        case 3 if outlets:
            del outlets[number % len(outlets)]
        case _:
            session.dwelling.answers["year_built"] = 1900 + number
            session.rooms[0].answers["place"] = ["kitchen"] if number % 2 else ["kitchen", "den"]


def now(session: Session, history: History) -> str:
    return with_findings(history.text, session)


@settings(max_examples=120, deadline=None)
@given(
    st.lists(st.integers(0, 60), min_size=1, max_size=25),
    st.lists(st.sampled_from(["back", "again", "restart"]), max_size=40),
)
def test_back_to_the_beginning_and_again_to_the_end(
    tmp_path_factory: pytest.TempPathFactory, numbers: list[int], way: list[str]
) -> None:
    path = tmp_path_factory.mktemp("history") / "house.toml"
    session = fresh()
    history = History(session, beside(path))
    states = [as_toml(session)]
    for number in numbers:
        change(session, number)
        history.note(session, KEY, "amps")
        states.append(as_toml(session))
    place = len(numbers)
    for step in way:
        was = history.text
        if step == "back":
            place -= history.back() is not None
        elif step == "again":
            place += history.again() is not None
        else:
            history = History(store.parse(states[place], path), beside(path))
            # States can be equal: then the later one is taken, which is the same record.
            assert states[history.place] == states[place]
            place = history.place
        session = other_state(session, was, history.text, path)
        assert as_toml(session) == now(session, history) == states[place]
        assert session == store.parse(states[place], path)
    while history.back() is not None:
        pass
    assert now(session, history) == states[0]
    while history.again() is not None:
        pass
    assert now(session, history) == states[-1]


def test_what_a_step_does_not_turn_is_the_same_thing_afterwards(tmp_path: Path) -> None:
    session = fresh()
    session.outlets = [Outlet(id=f"K-{n}", room="k", circuit="C") for n in (1, 2)]
    history = History(session)
    first, second = session.outlets
    first.answers["amps"] = 15
    history.note(session, KEY, "amps")
    was = history.text
    history.back()
    turned = other_state(session, was, history.text, tmp_path / "house.toml")
    assert turned.outlets[1] is second
    assert turned.outlets[0] is not first
    assert turned.outlets[0].answers == {}
    # Answers are checked as in a file: what stands in it by hand is told with its line.
    wrong = was.replace("amps = 15", 'side = "left"').replace("[outlet.answers]\n", "")
    with pytest.raises(store.RecordError, match=r"house\.toml:26:1: side"):
        other_state(session, was, wrong, tmp_path / "house.toml")


def test_what_was_taken_back_is_gone_once_something_else_is_answered(tmp_path: Path) -> None:
    session = fresh()
    history = History(session, tmp_path / "h")
    for number in (0, 1, 6):
        change(session, number)
        history.note(session, KEY, "amps")
    taken = history.back()
    assert taken is not None
    session = store.parse(taken[1], tmp_path / "house.toml")
    change(session, 11)
    history.note(session, KEY, "amps")
    assert history.again() is None
    assert len(History(session, tmp_path / "h").steps) == 3


def test_findings_are_judged_and_no_part_of_it() -> None:
    session = fresh()
    history = History(session)
    change(session, 0)
    history.note(session, KEY, "new:outlet")
    finding = Finding(subject="K-0-0", of="outlet", rule="r", topic="gfci", kind="gap",
                      severity="info", cite=["1"], says="Says.", confidence="memory")  # fmt: skip
    session.findings = [finding]
    assert with_findings(history.text, session) == as_toml(session)
    taken = history.back()
    assert taken is not None
    assert taken[1] == as_toml(fresh()).rstrip("\n") or taken[1] == as_toml(fresh())


@pytest.mark.parametrize("cut", [1, 10, 40])
def test_a_line_that_was_not_written_whole_loses_only_itself(tmp_path: Path, cut: int) -> None:
    session = fresh()
    path = tmp_path / "h"
    history = History(session, path)
    for number in (0, 1):
        change(session, number)
        history.note(session, KEY, "amps")
    before_last = history.steps[0]
    path.write_bytes(path.read_bytes()[:-cut])
    # The record never held what the torn line tells: the step before is the last one.
    taken = history.back()
    assert taken is not None
    again = History(store.parse(taken[1], tmp_path / "house.toml"), path)
    assert again.steps == [before_last]


def test_a_record_that_was_mended_by_hand_begins_a_history_of_its_own(tmp_path: Path) -> None:
    session = fresh()
    path = tmp_path / "h"
    history = History(session, path)
    change(session, 0)
    history.note(session, KEY, "new:outlet")
    session.title = "Mended in an editor"
    again = History(session, path)
    assert again.steps == []
    change(session, 1)
    again.note(session, KEY, "amps")
    assert len(History(session, path).steps) == 1


@pytest.mark.parametrize(
    "text", [b"", b"null\n", b"[]\n", b'{"where": 3}\n', b"\xff\xfe\n", b"{}\n"]
)
def test_a_strange_file_is_no_history_and_no_trouble(tmp_path: Path, text: bytes) -> None:
    (tmp_path / "h").write_bytes(text)
    assert History(fresh(), tmp_path / "h").steps == []


def test_a_history_that_cannot_be_written_does_not_stop_the_walk(tmp_path: Path) -> None:
    session = fresh()
    history = History(session, tmp_path / "nowhere" / "h")
    change(session, 0)
    history.note(session, KEY, "new:outlet")
    assert history.problem
    assert history.back() is not None
