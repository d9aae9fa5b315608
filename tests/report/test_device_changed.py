"""What the TEST of a device showed is not told of another device that stands there now."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from walkthrough.app.record import Record
from walkthrough.judge.under import judge_under
from walkthrough.report.as_json import as_json
from walkthrough.rulebook.load import load
from walkthrough.survey import store
from walkthrough.survey.model import Circuit, Outlet

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    path = tmp_path / "house.toml"
    shutil.copy(RECORD, path)
    opened = Record.open(path)
    yield opened
    opened.close()


def outlet(record: Record, name: str) -> Outlet:
    found = record.session.outlet(name)
    assert found is not None
    return found


def told(record: Record, subject: str) -> list[str]:
    """Every question of which the report tells what was seen at a subject."""
    data = as_json(judge_under(record.session, [load("nec-2020")]))
    return [
        seen["question"]
        for each in data["deficiencies"]
        if each["subject"] == subject
        for seen in each["seen"]
    ]


def trips_at(record: Record, name: str) -> list[str]:
    return [trip.action for trip in record.session.trips if trip.at == name]


def test_another_device_has_no_test_until_it_is_tested(record: Record) -> None:
    assert "test_result" in told(record, "K-4")
    assert "test button" in trips_at(record, "K-4")
    record.answer(outlet(record, "K-4"), "device", "dual_function")
    assert outlet(record, "K-4").readings == {"tester": "correct"}
    assert "test button" not in trips_at(record, "K-4")
    assert "test_result" not in told(record, "K-4")


def test_what_was_asked_because_of_that_test_goes_with_it(record: Record) -> None:
    record.answer(outlet(record, "HB-1"), "power_when_tested", "yes")
    record.answer(outlet(record, "HB-1"), "device", "plain")
    assert "power_when_tested" not in outlet(record, "HB-1").answers
    assert "tester" in outlet(record, "HB-1").readings


def test_the_same_answer_again_forgets_nothing(record: Record) -> None:
    before = dict(outlet(record, "K-4").readings)
    record.answer(outlet(record, "K-4"), "device", "gfci")
    record.answer(outlet(record, "K-4"), "plate", "indoor")
    record.answer(outlet(record, "K-4"), "device", None)
    assert outlet(record, "K-4").readings == before


def test_it_can_be_taken_back(record: Record) -> None:
    before = dict(outlet(record, "K-4").readings)
    record.answer(outlet(record, "K-4"), "device", "plain")
    assert record.undo() is not None
    assert outlet(record, "K-4").readings == before
    assert "test button" in trips_at(record, "K-4")


def test_a_breaker_likewise(record: Record) -> None:
    circuit = record.session.circuits[0]
    record.answer(circuit, "breaker", "afci")
    record.answer(circuit, "breaker_test_result", "trips")
    record.answer(circuit, "breaker", "dual_function")
    kept = record.session.circuits[0]
    assert isinstance(kept, Circuit)
    assert kept.readings == {}


def test_a_reading_that_a_file_still_holds_is_not_told_of_what_has_no_test() -> None:
    """The record was edited by hand, or by an older version: the device is a plain one."""
    session = store.load(RECORD)
    changed = session.outlet("K-4")
    assert changed is not None
    changed.answers["device"] = "plain"
    data = as_json(judge_under(session, [load("nec-2020")]))
    seen = [s for e in data["deficiencies"] if e["subject"] == "K-4" for s in e["seen"]]
    assert seen
    assert "test_result" not in {each["question"] for each in seen}
    assert "tester" in {each["question"] for each in seen}
