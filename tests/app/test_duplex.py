"""Two dwelling units with the same ids, and all that one does with few keys or beside the walk."""

from __future__ import annotations

import datetime
import json
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from tests.judge.two_visits import SOUND
from walkthrough.app.add import add_alike
from walkthrough.app.editions import compared
from walkthrough.app.field_prompts import field_prompt
from walkthrough.app.fields import fields_of
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.next_ids import room_near
from walkthrough.app.record import Record
from walkthrough.app.screens.walk import WalkScreen
from walkthrough.app.stops import next_stop
from walkthrough.app.trips import add_trip, next_test
from walkthrough.cli import main
from walkthrough.judge.recheck import behind
from walkthrough.survey import store
from walkthrough.survey.model import AnswerValue, Circuit, Outlet, Panel, Room, Subject, Unit

AGAIN = datetime.date(2026, 12, 1)


@pytest.fixture
def duplex(tmp_path: Path) -> Record:
    """In each unit a GFCI K-1 and a plain receptacle K-2 on one circuit; no order is recorded."""
    record = Record.begin(tmp_path / "teasel.toml", "Teasel", "nec-2020", DAY)
    session = record.session
    session.dwelling.answers |= {"year_built": 1990, "dwelling_kind": "two_family"}
    for unit in "AB":
        session.units.append(Unit(id=unit))
        session.panels.append(Panel(id="P1", unit=unit, answers={"panel_kind": "breakers"}))
        told: dict[str, AnswerValue] = {
            "breaker": "standard",
            "breaker_amps": 20,
            "shares_neutral": False,
        }
        session.circuits.append(Circuit(id="C1", panel=f"{unit}/P1", serves="rooms", answers=told))
        told = {"place": ["bedroom"], "wetness": "dry", "habitable": True}
        session.rooms.append(Room(id="kitchen", unit=unit, name="Kitchen", answers=told))
        for id, device in (("K-1", "gfci"), ("K-2", "plain")):
            outlet = Outlet(id=id, room=f"{unit}/kitchen", circuit=f"{unit}/P1/C1")
            outlet.answers = {**SOUND, "device": device}
            outlet.readings = {"tester": "correct"}
            session.outlets.append(outlet)
        session.outlets[-2].readings["test_result"] = "trips"
    record.change(session.dwelling, "")
    return record


@pytest.fixture
async def inspector(duplex: Record) -> AsyncIterator[Inspector]:
    async with WalkthroughApp(duplex, today=DAY).run_test(size=(80, 24)) as pilot:
        yield Inspector(pilot)


def the(record: Record, name: str) -> Outlet:
    outlet = record.session.outlet(name)
    assert outlet is not None
    return outlet


async def stands_at(inspector: Inspector, name: str) -> None:
    """At an outlet about which nothing is open any more."""
    await inspector.settle()
    screen = inspector.app.screen
    assert isinstance(screen, WalkScreen)
    screen.go(the(inspector.record, name))
    await inspector.settle()
    while "What next?" not in inspector.sees:
        await inspector.press("question_mark")


async def test_the_same_again_stays_in_its_unit(inspector: Inspector) -> None:
    for unit in "BA":
        await stands_at(inspector, f"{unit}/K-2")
        assert f"The same again: K-3 like {unit}/K-2" in inspector.sees
        await inspector.press("2", "1")
        new = inspector.record.session.outlets[-1]
        assert (new.id, new.room, new.circuit) == ("K-3", f"{unit}/kitchen", f"{unit}/P1/C1")
    on_disk = store.load(inspector.record.path)
    # The second K-3 gave the first one its longer name; only B's was entered right after K-2.
    assert list(on_disk.references(on_disk.outlets))[-2:] == ["B/K-3", "A/K-3"]
    assert [each.fed_from for each in on_disk.outlets[-2:]] == ["B/K-2", ""]


async def test_a_room_chosen_by_its_key_is_in_the_unit_in_hand(inspector: Inspector) -> None:
    for unit in "BA":
        await stands_at(inspector, f"{unit}/K-2")
        await inspector.chooses("Another room or area")
        assert f"What is the next room or area of Unit {unit} called?" in inspector.sees
        # Each unit has its own first bedroom.
        assert "Kitchen 2" in inspector.sees
        await inspector.chooses("Bedroom")
        room = inspector.record.session.rooms[-1]
        assert (room.id, room.unit, room.name) == ("bedroom", unit, "Bedroom")
        await inspector.chooses("The same again")
        assert "On which circuit is it?" in inspector.sees
        await inspector.press("enter", "1")
        new = inspector.record.session.outlets[-1]
        assert inspector.record.session.room(new.room) is room
        assert (new.id, new.circuit) == ("B-1", f"{unit}/P1/C1")


async def test_like_an_outlet_of_the_other_unit_but_on_a_circuit_of_its_own(
    inspector: Inspector,
) -> None:
    the(inspector.record, "A/K-2").answers["plate"] = "none"
    await stands_at(inspector, "B/K-2")
    await inspector.chooses("Like another outlet")
    await inspector.types("A/K-2")
    assert "On which circuit is it?" in inspector.sees
    await inspector.press("enter", "1")
    new = the(inspector.record, "K-3")
    assert (new.room, new.circuit, new.fed_from) == ("B/kitchen", "B/P1/C1", "")
    assert new.answers["plate"] == "none"


async def test_one_more_unit_stands_in_the_palette(inspector: Inspector) -> None:
    await inspector.press("ctrl+p")
    await inspector.types("another dwelling")
    assert "What is the next dwelling unit of this building called?" in inspector.sees


async def test_a_trip_test_in_unit_b_and_what_follows_from_it(inspector: Inspector) -> None:
    await stands_at(inspector, "B/K-1")
    await inspector.press("f7")
    assert "[dead] B/K-1, B/P1/C1" in inspector.sees
    await inspector.press("d", "r")
    (trip,) = store.load(inspector.record.path).trips
    assert (trip.at, trip.went_dead) == ("B/K-1", ["B/K-1", "B/K-2"])
    await inspector.press("f3")
    await inspector.press("down", "down", "down")
    await inspector.press("w")
    assert "Wiring of circuit B/P1/C1" in inspector.sees
    assert "B/K-1: its own face goes dead; with it B/K-2" in inspector.sees
    assert "> B/K-2 is fed from B/K-1, on its LOAD" in inspector.sees
    await inspector.press("t")
    on_disk = store.load(inspector.record.path)
    fed = {name: each.fed_from for name, each in on_disk.references(on_disk.outlets).items()}
    assert fed == {"A/K-1": "", "A/K-2": "", "B/K-1": "panel", "B/K-2": "B/K-1"}
    await inspector.press("end", "enter")
    assert inspector.at in inspector.record.session.outlets[2:]


def test_the_next_test_is_named_with_its_unit(duplex: Record) -> None:
    dwelling = duplex.session.dwelling
    assert next_test(duplex)[0] == "A/K-1"
    add_trip(duplex, dwelling, "A/K-1", "test button", ["A/K-1", "A/K-2"], ["B/K-1", "B/K-2"])
    assert next_test(duplex)[0] == "B/K-1"


def test_two_editions_and_the_next_stop_are_of_that_unit(duplex: Record) -> None:
    the(duplex, "B/K-2").readings["tester"] = "reversed"
    the(duplex, "B/K-2").answers["tr_mark"] = False
    duplex.changed()
    assert {told.finding.subject for told in duplex.judged.findings} == {"B/K-2"}
    stop = next_stop(duplex, "deficient", duplex.session.dwelling)
    assert stop is not None
    assert stop.subject is the(duplex, "B/K-2")
    assert "B/K-2" in stop.told
    says = {
        unit: [
            line
            for row in compared(duplex.session, ("outlet", f"{unit}/K-2"), duplex.book, "nec-2017")
            for line in (*row.both, *row.one, *row.other)
        ]
        for unit in "AB"
    }
    assert says["A"] != says["B"]
    # Rules are held against units, none against the building as a whole.
    assert compared(duplex.session, ("dwelling", "dwelling"), duplex.book, "nec-2017") == ()
    assert compared(duplex.session, ("dwelling", "A"), duplex.book, "nec-2017") == compared(
        duplex.session, ("dwelling", "B"), duplex.book, "nec-2017"
    )


async def test_the_readings_sheet_is_that_of_the_unit(inspector: Inspector) -> None:
    before = dict(the(inspector.record, "A/K-2").readings)
    await stands_at(inspector, "B/K-2")
    await inspector.press("ctrl+r")
    assert "Readings of B/K-2" in inspector.sees
    await inspector.press("n")
    on_disk = store.load(inspector.record.path)
    a, b = (on_disk.circuit(f"{unit}/P1/C1") for unit in "AB")
    assert a is not None
    assert b is not None
    assert "two_wire" not in a.answers
    assert b.answer("two_wire") is False
    assert the(inspector.record, "A/K-2").readings == before


def test_every_field_of_a_unit_says_what_is_meant(duplex: Record) -> None:
    for subject in duplex.session.subjects():
        for name in fields_of(duplex, subject):
            assert len(field_prompt(duplex, subject, name).help) >= 15, (subject.id, name)


def reinspected(duplex: Record) -> Record:
    """A second visit; at the first one hot and neutral were reversed at K-2 of both units."""
    for unit in "AB":
        the(duplex, f"{unit}/K-2").readings["tester"] = "reversed"
    duplex.change(the(duplex, "A/K-2"), "")
    duplex.close()
    return Record.reinspect(duplex.path, duplex.path.with_name("again.toml"), AGAIN)


def subjects_of(record: Record) -> list[str]:
    return [each.subject for each in store.load(record.path).rechecks]


async def test_a_second_visit_to_both_units(duplex: Record) -> None:
    record = reinspected(duplex)
    async with WalkthroughApp(record, today=AGAIN).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        assert "Unit A > Kitchen > K-2" in inspector.sees
        await inspector.chooses("Not corrected")
        assert "Unit B > Kitchen > K-2" in inspector.sees
        await inspector.chooses("Corrected: I look and test now")
        await inspector.chooses("Tester")
        await inspector.chooses("Correct")
        assert "All 2 are looked at: 1 not corrected, 1 corrected" in inspector.sees
    outcomes = {each.subject: each.outcome for each in store.load(record.path).rechecks}
    assert outcomes == {"A/K-2": "not corrected", "B/K-2": "corrected"}
    assert the(record, "A/K-2").readings["tester"] == "reversed"


def test_what_is_checked_again_follows_the_names_of_its_subjects(duplex: Record) -> None:
    like = the(duplex, "A/K-2")
    new = add_alike(duplex, like, room_near(duplex, like))
    new.readings["tester"] = "reversed"
    record = reinspected(duplex)
    assert subjects_of(record) == ["A/K-2", "K-3", "B/K-2"]
    like = the(record, "B/K-2")
    add_alike(record, like, room_near(record, like))
    assert subjects_of(record) == ["A/K-2", "A/K-3", "B/K-2"]
    record.undo()
    assert subjects_of(record) == ["A/K-2", "K-3", "B/K-2"]


def test_what_the_building_answers_stands_behind_a_deficiency_too(duplex: Record) -> None:
    """Trade magazines on 406.4(D)(3) to (6): what replaces a receptacle follows today's rules."""
    duplex.session.dwelling.answers["work"] = "replacement"
    duplex.session.unit("A").answers["work"] = "untouched"  # type: ignore[union-attr]
    duplex.changed()
    found = {
        (verdict.subject, duplex.session.reference(subject))
        for verdict in duplex.judgement.verdicts
        for subject, word in behind(duplex.house, verdict)
        if word == "work" and verdict.of == "outlet"
    }
    assert {name for name in found if name[0].startswith("A/")} <= {("A/K-1", "A"), ("A/K-2", "A")}
    assert ("A/K-2", "A") in found
    assert ("B/K-2", "dwelling") in found


def test_the_report_names_each_by_its_unit(
    duplex: Record, capsys: pytest.CaptureFixture[str]
) -> None:
    kinds: list[tuple[Subject, str]] = [
        (the(duplex, "B/K-1"), "warm to the touch"),
        (duplex.session.rooms[0], "painted over"),
        (duplex.session.units[1], "the tenant was there"),
    ]
    for subject, note in kinds:
        subject.note = note
    the(duplex, "A/K-1").photos = ["IMG_0001.jpg"]
    the(duplex, "B/K-1").photos = ["IMG_0002.jpg"]
    record = reinspected(duplex)
    (record.path.parent / "IMG_0002.jpg").write_bytes(b"a picture")
    record.session.rechecks[1].outcome = "not corrected"
    record.change(the(record, "B/K-2"), "")
    record.close()
    assert main(["replay", str(record.path), "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [(each["of"], each["subject"]) for each in told["notes"]] == [
        ("dwelling", "B"),
        ("room", "A/kitchen"),
        ("outlet", "B/K-1"),
    ]
    assert {each["subject"]: each["state"] for each in told["photos"]} == {
        "A/K-1": "missing",
        "B/K-1": "no checksum yet",
    }
    assert {each["subject"]: each["outcome"] for each in told["recheck"]["items"]} == {
        "A/K-2": "to check",
        "B/K-2": "not corrected",
    }
    assert told["recheck"]["new"] == []
    assert main(["replay", str(record.path)]) == 0
    text = capsys.readouterr().out
    for line in ("B/K-1: warm to the touch", "A/kitchen: painted over", "B: the tenant was there"):
        assert line in text
    assert "A/K-1: IMG_0001.jpg" in text
