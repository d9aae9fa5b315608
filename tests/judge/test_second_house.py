"""A house that no rule was written for: three editions against its hand-worked key."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.judge.second_house_key import BASEMENT_OF_2021, DEFECTS, EDITIONS, OUTLETS, RENAMED
from walkthrough.judge.judge import Judgement, judge
from walkthrough.rulebook.load import load
from walkthrough.survey import store

RECORD = Path(__file__).with_name("second_house.toml")


@pytest.fixture(scope="module", params=EDITIONS)
def judged(request: pytest.FixtureRequest) -> Judgement:
    book = load(str(request.param))
    return judge(store.load(RECORD, book.questions), book)


def found(judged: Judgement, topic: str) -> set[str]:
    return {each.subject for each in judged.findings if each.topic == topic}


@pytest.mark.parametrize("name", OUTLETS)
def test_each_outlet(judged: Judgement, name: str) -> None:
    row, edition = OUTLETS[name], judged.book.id
    outlet = judged.session.outlet(name)
    assert outlet is not None
    requires, has = judged.requires(outlet), judged.has(outlet)
    disputed = name == "K-9" and edition == "nec-2017"
    sections = judged.disputes(outlet) if disputed else requires
    assert sorted(sections["gfci"]) == sorted(row.gfci[edition])
    assert not disputed or not requires["gfci"]
    assert has["gfci"] == row.gfci_now
    gap = bool(row.gfci[edition]) and row.gfci_now == "no" and not disputed
    assert (name in found(judged, "gfci")) is gap
    section = "210.12(B)" if edition == "nec-2023" else "210.12(A)"
    assert requires["afci"] == ([section] if row.afci_asked else [])
    assert has["afci"] == ("unknown" if row.afci_now == "?" else row.afci_now)
    assert (name in found(judged, "afci")) is (row.afci_asked and row.afci_now == "no")
    assert bool(requires["tr"]) is (row.tr in "RH?")
    assert (name in found(judged, "tr")) is (row.tr == "R")
    assert bool(requires["wr"]) is (row.wr in "RH")
    assert (name in found(judged, "wr")) is (row.wr == "R")


def test_each_defect_and_no_other(judged: Judgement) -> None:
    later = judged.book.id == "nec-2023"
    expected = {(subject, RENAMED.get(cite, cite) if later else cite) for subject, cite in DEFECTS}
    if judged.book.id == "nec-2020":
        expected |= {(each, "210.8(A)(5)") for each in BASEMENT_OF_2021}
    told = {
        (each.subject, cite)
        for each in judged.findings
        if each.kind == "defect"
        for cite in each.cite
        if cite != "110.14(A)"
    }
    assert told == expected


def test_what_was_not_tested_or_reached_is_open_and_never_good(judged: Judgement) -> None:
    open_subjects = {each.subject for each in judged.undecided}
    assert {"C8", "B1-3", "F-1", "F-2", "F-3", "F-4"} <= open_subjects
    assert not {each.subject for each in judged.findings} & {"B1-3", "C8"}


def test_the_disposer_of_2017_is_a_matter_for_the_authority(judged: Judgement) -> None:
    # Trade magazine on the doors of the measuring rule: read as cabinet doors too, or not.
    asked = {(each.subject, each.decision.rule.id) for each in judged.disputed}
    expected = {("K-9", "gfci.near-sink")} if judged.book.id == "nec-2017" else set()
    assert asked == expected


@pytest.mark.parametrize("beyond", [2, 2.0])
def test_receptacles_that_were_not_reached_count_among_those_of_their_room(beyond: float) -> None:
    """A number may stand in a file with a point, as another program writes it."""
    session = store.load(RECORD)
    room = session.rooms[0]
    before = judge(session, load("nec-2020")).samples[0]
    was = room.answers.get("outlets_beyond_reach", 0)
    room.answers["outlets_beyond_reach"] = beyond
    after = judge(session, load("nec-2020")).samples[0]
    assert before.room == after.room == room.name
    assert after.of == before.of - was + 2  # type: ignore[operator]
