"""The demonstration house under both editions against its hand-worked key."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.judge.house_a_key import DEFECTS, OUTLETS
from walkthrough.judge.judge import Judgement, judge
from walkthrough.rulebook.load import load
from walkthrough.survey import store

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
EDITIONS = ("nec-2020", "nec-2023")
OLDER = ("nec-2008", "nec-2011", "nec-2014", "nec-2017")


@pytest.fixture(scope="module", params=EDITIONS)
def judged(request: pytest.FixtureRequest) -> Judgement:
    book = load(str(request.param))
    return judge(store.load(RECORD, book.questions), book)


def requires(judged: Judgement, name: str) -> dict[str, list[str]]:
    outlet = judged.session.outlet(name)
    assert outlet is not None
    return judged.requires(outlet)


def has(judged: Judgement, name: str) -> dict[str, str]:
    outlet = judged.session.outlet(name)
    assert outlet is not None
    return judged.has(outlet)


def found(judged: Judgement, *topics: str) -> set[str]:
    return {each.subject for each in judged.findings if each.topic in topics}


@pytest.mark.parametrize("name", OUTLETS)
def test_each_outlet(judged: Judgement, name: str) -> None:
    row = OUTLETS[name]
    asked = row.gfci_2020 if judged.book.id == "nec-2020" else row.gfci_2023
    assert sorted(requires(judged, name)["gfci"]) == sorted(asked)
    assert has(judged, name)["gfci"] == row.now
    gap = any(
        each.subject == name and each.topic == "gfci" and each.kind == "gap"
        for each in judged.findings
    )
    assert gap is bool(asked and row.now == "no")
    section = "210.12(A)" if judged.book.id == "nec-2020" else "210.12(B)"
    assert requires(judged, name)["afci"] == ([section] if row.afci_place else [])
    match row.tr:
        case "R":
            assert requires(judged, name)["tr"]
            assert name in found(judged, "tr")
        case "H":
            assert requires(judged, name)["tr"]
            assert has(judged, name)["tr"] == "yes"
            assert name not in found(judged, "tr")
        case "?":
            assert has(judged, name)["tr"] == "unknown"
            assert any(
                each.subject == name and each.decision.rule.declared.topic == "tr"
                for each in judged.undecided
            )
        case _:
            assert not requires(judged, name)["tr"]
            assert name not in found(judged, "tr")


def test_totals(judged: Judgement) -> None:
    needing = [name for name in OUTLETS if requires(judged, name)["gfci"]]
    now = Counter(has(judged, name)["gfci"] for name in needing)
    expected = {"nec-2020": (29, 8, 21), "nec-2023": (33, 8, 25)}[judged.book.id]
    assert (len(needing), now["yes"], now["no"]) == expected
    places = [name for name in OUTLETS if requires(judged, name)["afci"]]
    assert len(places) == 32
    assert "yes" not in {has(judged, name)["afci"] for name in places}
    circuits = {each.circuit for each in judged.session.outlets if judged.requires(each)["afci"]}
    assert circuits == {
        *["C1", "C2", "C3", "C4", "C5", "C6", "C7", "C8", "C9", "C13", "C15", "C18"]
    }
    weather = [name for name in OUTLETS if requires(judged, name)["wr"]]
    assert weather == ["OUT-1", "P-1", "P-2", "OUT-2"]
    assert {has(judged, name)["wr"] for name in weather} == {"no"}
    assert found(judged, "cover") >= {"OUT-1", "OUT-2", "P-1"}
    assert "P-2" not in found(judged, "cover")


@pytest.mark.parametrize("number", DEFECTS)
def test_each_planted_defect(judged: Judgement, number: str) -> None:
    subjects, kind, by_edition = DEFECTS[number]
    sections = by_edition[judged.book.id]
    for subject in subjects:
        here = [each for each in judged.findings if each.subject == subject]
        if sections is None:
            topic = "tub-zone"
            assert not [each for each in here if each.topic == topic]
            assert any(
                each.subject == subject and each.decision.rule.declared.topic == topic
                for each in judged.disputed
            )
            continue
        for section in sections:
            named = [each.kind for each in here if section in each.cite]
            assert kind in named, f"{number}: {subject} lacks {section}"


def test_the_traps(judged: Judgement) -> None:
    """Each line is a mistake that a hasty judge makes; none of them may be flagged."""
    # 15 A duplex receptacles on 20 A circuits with more than one receptacle; 20 A on 20 A.
    noted = {each.subject for each in judged.findings if each.kind == "note"}
    assert found(judged, "rating") - noted == {"L-2", "K-7"}
    if judged.book.id == "nec-2020":
        # Neither at a counter nor within 6 ft of the sink.
        assert not {"K-7", "K-9", "K-10"} & found(judged, "gfci")
        # The wet bar counts by distance only.
        assert "WB-1" not in found(judged, "gfci")
    # No listed place for ground-fault protection; the wet bar is an alcove of its own.
    dry = {name for name in OUTLETS if name.startswith(("B2", "B3", "PR", "L-", "DR", "H-"))}
    assert not dry & found(judged, "gfci", "added")
    # No listed place for arc-fault protection.
    bare = {name for name in OUTLETS if name.startswith(("HB", "PB", "G-", "OUT", "U-", "P-"))}
    assert not bare & found(judged, "afci")
    # The hard-wired condenser of 2012: at most information.
    assert {each.kind for each in judged.findings if each.subject == "AC-1"} <= {"note"}
    # Only one box is over its volume; full is not over.
    assert found(judged, "box") == {"PB-1"}
    # A bath circuit that also feeds outside: at most information.
    assert {each.kind for each in judged.findings if each.subject == "C11"} <= {"defect", "note"}
    assert [
        each.cite for each in judged.findings if each.subject == "C11" and each.kind == "defect"
    ] == [["240.4(D)(3)" if judged.book.id == "nec-2020" else "240.4(D)(4)"]]


def test_the_limits_of_the_survey(judged: Judgement) -> None:
    told = {each.subject for each in judged.not_tested}
    assert {"PR-4", "R-4", "K-10", "LA-2"} <= told
    assert any(
        "smoke alarm" in f"{each.subject} {each.reason}".lower() for each in judged.not_tested
    )


def test_what_was_not_seen_is_never_ok(judged: Judgement) -> None:
    outlet = judged.session.outlet("PR-4")
    assert outlet is not None
    needing_a_look = {"tr", "polarity", "rating", "aluminum", "afci"}
    outcomes = {
        each.decision.outcome
        for each in judged.on(outlet)
        if each.decision.rule.declared.topic in needing_a_look
    }
    assert "met" not in outcomes
    assert set(has(judged, "PR-4").values()) == {"unknown"}


def test_the_record_and_its_trip_tests_agree(judged: Judgement) -> None:
    assert judged.contradictions == []


@pytest.mark.parametrize("edition", OLDER)
def test_older_editions_judge_the_house_without_tripping(edition: str) -> None:
    """What is wrong whatever the year is found under every edition."""
    judged = judge(store.load(RECORD), load(edition))
    subjects = {each.subject for each in judged.findings if each.kind == "defect"}
    assert {"C11", "B3-2", "P-2", "K-4", "HB-1", "R-3", "P1", "C18", "B2-2", "L-2"} <= subjects
    assert not {"K-7", "K-9", "K-10"} & found(judged, "gfci")
