"""A second visit: only what was deficient is put, and what became of it is on record."""

from __future__ import annotations

import datetime
import json
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from tests.judge.two_visits import AGAIN, FIRST, outlet
from walkthrough.app import sessions
from walkthrough.app.keys import Given
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.reinspect import Reinspection
from walkthrough.cli import main
from walkthrough.rulebook.problems import Unusable
from walkthrough.survey import store
from walkthrough.survey.model import AnswerValue, Circuit, Panel, Recheck, Room


@pytest.fixture
def old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The record of a first visit: hot and neutral reversed at B-2, a cracked face at B-3."""
    monkeypatch.setenv("WALKTHROUGH_SESSIONS", str(tmp_path))
    path = tmp_path / "elm.toml"
    record = Record.begin(path, "Elm", "nec-2020", FIRST)
    session = record.session
    session.dwelling.answers["year_built"] = 1960
    session.panels.append(Panel(id="P1", answers={"panel_kind": "breakers"}))
    told: dict[str, AnswerValue] = {
        "breaker": "afci",
        "breaker_amps": 15,
        "shares_neutral": False,
        "conductor": "cu14",
    }
    session.circuits.append(
        Circuit(id="C1", panel="P1", answers=told, readings={"breaker_test_result": "trips"})
    )
    bedroom: dict[str, AnswerValue] = {"place": ["bedroom"], "wetness": "dry", "habitable": True}
    session.rooms.append(Room(id="bedroom", name="Bedroom", answers=bedroom))
    session.outlets += [
        outlet("B-1"),
        outlet("B-2", "reversed"),
        outlet("B-3", damage="damaged"),
    ]
    record.change(session.outlets[0], "")
    record.close()
    return path


@pytest.fixture
async def inspector(old: Path) -> AsyncIterator[Inspector]:
    record = Record.reinspect(old, sessions.path_to_reinspect(old, AGAIN), AGAIN)
    async with WalkthroughApp(record, today=AGAIN).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        yield inspector


def rechecks(inspector: Inspector) -> dict[str, Recheck]:
    saved = store.load(inspector.record.path)
    return {each.subject: each for each in saved.rechecks}


async def test_only_what_was_deficient_is_put(inspector: Inspector) -> None:
    assert list(rechecks(inspector)) == ["B-2", "B-3"]
    assert "0 of 2 looked at" in inspector.sees
    await inspector.chooses("Not corrected")
    assert "1 of 2 looked at" in inspector.sees
    await inspector.chooses("Not corrected")
    assert "All 2 are looked at: 2 not corrected" in inspector.sees
    assert len(inspector.log) == 2


async def test_corrected_is_what_is_recorded_now_and_no_mere_word(inspector: Inspector) -> None:
    await inspector.chooses("Corrected: I look and test now")
    assert "What is different now?" in inspector.sees
    await inspector.chooses("Tester")
    await inspector.chooses("Correct")
    assert "1 of 2 looked at" in inspector.sees
    assert rechecks(inspector)["B-2"].outcome == "corrected"
    assert rechecks(inspector)["B-2"].looked
    assert not any(each.subject == "B-2" for each in inspector.record.judgement.findings)


async def test_what_still_comes_out_is_not_corrected(inspector: Inspector) -> None:
    await inspector.chooses("Corrected: I look and test now")
    await inspector.chooses("Tester")
    await inspector.chooses("Hot and neutral reversed")
    # The rule still finds it, whatever was said before.
    assert "What is different now?" in inspector.sees
    await inspector.chooses("Nothing: it is not corrected")
    assert rechecks(inspector)["B-2"].outcome == "not corrected"


async def test_another_device_is_tested_anew_and_may_bring_a_new_defect(
    inspector: Inspector,
) -> None:
    await inspector.chooses("Later: go to the next")
    assert "B-3" in inspector.sees
    await inspector.chooses("Corrected: I look and test now")
    await inspector.chooses("Damage: ")
    await inspector.chooses("Sound")
    # What was put in its place must be tested: the reading of the first visit tells nothing of it.
    assert inspector.prompt.id == "tester"
    await inspector.chooses("Open ground")
    # Whether it is another receptacle now is asked too: other rules bind a replaced one.
    await inspector.chooses("Untouched, as found")
    found = rechecks(inspector)["B-3"]
    assert found.outcome == "corrected, with a new defect"
    assert found.new
    assert "1 of 2 looked at" in inspector.sees


async def test_a_receptacle_that_was_replaced_is_judged_as_one(old: Path) -> None:
    """406.4(D)(5): a replaced one has to be tamper-resistant, whatever was there before."""
    session = store.load(old)
    session.outlets[2].answers.update({"tr_mark": False, "inches_above_floor": 14})
    store.save(session, old)
    record = Record.reinspect(old, sessions.path_to_reinspect(old, AGAIN), AGAIN)
    async with WalkthroughApp(record, today=AGAIN).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        inspector.walking.go(record.session.outlets[2])
        await inspector.settle()
        await inspector.chooses("Corrected: I look and test now")
        await inspector.chooses("Damage: ")
        await inspector.chooses("Sound")
        await inspector.chooses("Correct")
        await inspector.chooses("Receptacle replaced")
        assert "In which year was this outlet put in" in inspector.reads
        assert "Enter: 2026 year (offered)" in inspector.sees
        await inspector.press("enter")
        answers = inspector.record.session.outlets[2].answers
        assert (answers["work"], answers["work_year"]) == ("replacement", 2026)
        kinds = {
            (each.rule, each.kind)
            for each in inspector.record.judgement.findings
            if each.subject == "B-3"
        }
        assert ("replacement.tr", "defect") in kinds


async def test_papers_tell_the_receipt_who_and_when(inspector: Inspector) -> None:
    await inspector.chooses("Corrected by the papers alone")
    await inspector.types("R-1041")
    await inspector.types("the licensed firm on the receipt")
    await inspector.types("2026-11-20")
    first = rechecks(inspector)["B-2"]
    assert (first.receipt, first.work_on) == ("R-1041", datetime.date(2026, 11, 20))
    assert (first.outcome, first.looked) == ("corrected", False)
    # The same paper tells of the next one as well: one key takes it all over.
    await inspector.chooses("Corrected by the papers alone")
    assert "R-1041" in inspector.sees
    await inspector.press("tab")
    assert rechecks(inspector)["B-3"].receipt == "R-1041"
    assert "All 2 are looked at: 2 corrected" in inspector.sees
    # It was not looked at, so it still comes out; the record says that papers speak against it.
    inspector.record.close()
    states = {each.subject: each.state for each in store.load(inspector.record.path).findings}
    assert states["B-2"] == states["B-3"] == "corrected"


async def test_what_could_not_be_checked_has_a_reason(inspector: Inspector) -> None:
    await inspector.chooses("It could not be checked")
    await inspector.chooses("Another reason")
    await inspector.types("a dog lies there")
    found = rechecks(inspector)["B-2"]
    assert (found.outcome, found.reason) == ("not checked", "a dog lies there")


async def test_each_step_can_be_taken_back(inspector: Inspector) -> None:
    before = inspector.record.path.read_bytes()
    await inspector.chooses("Not corrected")
    await inspector.chooses("It could not be checked")
    await inspector.chooses("Locked")
    await inspector.press("ctrl+z", "ctrl+z")
    assert "0 of 2 looked at" in inspector.sees
    assert inspector.record.path.read_bytes() == before
    await inspector.press("ctrl+y")
    assert "1 of 2 looked at" in inspector.sees


async def test_one_can_be_checked_again(inspector: Inspector) -> None:
    await inspector.chooses("Not corrected")
    await inspector.chooses("Not corrected")
    await inspector.chooses("Check one again")
    await inspector.types("B-2")
    assert rechecks(inspector)["B-2"].outcome == "to check"
    assert "1 of 2 looked at" in inspector.sees


async def test_the_list_says_what_to_do_in_plain_words(inspector: Inspector) -> None:
    await inspector.press("f5")
    assert "Tested as hot and neutral reversed." in inspector.sees
    # "rewire" alone could be read as new wires for the house.
    assert "Cure: open this box, and the one before it if need be" in " ".join(
        inspector.sees.split()
    )


async def test_whoever_chooses_a_deficiency_from_a_list_is_led_to_it(
    inspector: Inspector,
) -> None:
    assert "B-2" in inspector.sees
    await inspector.press("ctrl+f")
    await inspector.types("B-3")
    assert "(0 of 2 looked at)" in inspector.sees
    assert "Bedroom > B-3" in inspector.sees
    await inspector.chooses("Not corrected")
    # The other one was not lost.
    assert "Bedroom > B-2" in inspector.sees
    await inspector.press("ctrl+f")
    await inspector.types("B-3")
    assert "nothing is left to be checked at B-3" in inspector.sees
    assert "Bedroom > B-2" in inspector.sees


async def test_it_is_resumed_where_it_was_left(inspector: Inspector) -> None:
    await inspector.chooses("Not corrected")
    inspector.record.close()
    record = Record.open(inspector.record.path, today=AGAIN)
    async with WalkthroughApp(record, today=AGAIN).run_test(size=(80, 24)) as pilot:
        again = Inspector(pilot)
        await again.settle()
        assert "1 of 2 looked at" in again.sees
        assert "B-3" in again.sees


async def test_the_old_record_stays_as_it_was(old: Path) -> None:
    before = old.read_bytes()
    Record.reinspect(old, sessions.path_to_reinspect(old, AGAIN), AGAIN).close()
    assert old.read_bytes() == before
    assert sessions.path_to_reinspect(old, AGAIN).name == "elm-2026-12-01-2.toml"


async def test_begun_from_the_first_screen(old: Path) -> None:
    async with WalkthroughApp(today=AGAIN).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        await inspector.chooses("Re-inspect: look what was corrected")
        await inspector.types("Elm")
        assert "0 of 2 looked at" in inspector.sees
        assert inspector.record.path.parent == old.parent


def test_nothing_open_is_nothing_to_re_inspect(old: Path) -> None:
    record = Record.open(old, today=FIRST)
    for each in record.session.outlets:
        each.readings["tester"] = "correct"
        each.answers["damage"] = "sound"
    record.change(record.session.outlets[0], "")
    record.close()
    with pytest.raises(Unusable, match="no deficiency of this record is open"):
        Record.reinspect(old, old.with_name("again.toml"), AGAIN)
    assert not old.with_name("again.toml").exists()


def test_the_report_tells_what_became_of_each(
    old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = Record.reinspect(old, old.with_name("again.toml"), AGAIN)
    walk = Reinspection(record)
    damage = ("outlet|B-3|damage", "sound", "open_ground", "untouched")
    for reply in ("not corrected", "look", *damage):
        walk.reply(Given(reply))
    record.close()
    path = str(record.path)
    assert main(["replay", path, "--format", "json"]) == 0
    recheck = json.loads(capsys.readouterr().out)["recheck"]
    assert (recheck["of"], recheck["on"]) == ("elm.toml", "2026-12-01")
    assert recheck["counts"]["not corrected"] == 1
    assert recheck["counts"]["corrected, with a new defect"] == 1
    assert {each["subject"] for each in recheck["new"]} == {"B-3"}
    assert main(["replay", path]) == 0
    told = capsys.readouterr().out
    assert "Re-inspection of elm.toml" in told
    assert "Not corrected: 1" in told
    assert "B-3: " in told


async def test_compare_tells_what_was_walked(
    inspector: Inspector, old: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    await inspector.chooses("Corrected: I look and test now")
    await inspector.chooses("Tester")
    await inspector.chooses("Correct")
    await inspector.chooses("Corrected by the papers alone")
    await inspector.types("R-1041")
    await inspector.press("enter", "enter")
    inspector.record.close()
    assert main(["compare", str(old), str(inspector.record.path), "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert [(each["subject"], each["became"]) for each in data["items"]] == [
        ("B-3", "corrected by papers alone"),
        ("B-2", "corrected"),
    ]
    assert data["items"][0]["told"]["receipt"] == "R-1041"
    assert data["items"][1]["changes"][0]["now"] == "Correct"
    assert data["warnings"] == []


async def test_backspace_puts_the_deficiency_before_and_keeps_what_was_told(
    inspector: Inspector,
) -> None:
    # The first one has nothing before it.
    await inspector.press("backspace")
    assert "Bedroom > B-2" in inspector.sees
    await inspector.chooses("Not corrected")
    assert "Bedroom > B-3" in inspector.sees
    await inspector.press("backspace")
    assert "Bedroom > B-2" in inspector.sees
    assert "Not corrected  <- your answer" in inspector.sees
    assert rechecks(inspector)["B-2"].outcome == "not corrected"
    await inspector.press("enter")
    assert "Bedroom > B-3" in inspector.sees
    # Told otherwise, the next one is in hand again.
    await inspector.press("backspace")
    await inspector.chooses("It could not be checked")
    await inspector.chooses("Locked")
    found = rechecks(inspector)["B-2"]
    assert (found.outcome, found.reason) == ("not checked", "locked")
    assert "Bedroom > B-3" in inspector.sees
    await inspector.chooses("Not corrected")
    assert "All 2 are looked at" in inspector.sees
    await inspector.press("backspace", "backspace")
    assert "Bedroom > B-2" in inspector.sees


async def test_backspace_goes_back_within_a_correction(inspector: Inspector) -> None:
    await inspector.chooses("Later: go to the next")
    await inspector.chooses("Corrected: I look and test now")
    await inspector.chooses("Damage: ")
    await inspector.press("backspace")
    assert "What is different now?" in inspector.sees
    await inspector.chooses("Damage: ")
    await inspector.chooses("Sound")
    assert inspector.prompt.id == "tester"
    await inspector.press("backspace")
    assert inspector.prompt.id == "damage"
    await inspector.press("backspace")
    # Nothing more was answered in this correction, so the deficiency itself is put.
    assert "Corrected: I look and test now" in inspector.sees
    assert "Bedroom > B-3" in inspector.sees
    await inspector.press("backspace")
    assert "Bedroom > B-2" in inspector.sees


async def test_backspace_goes_back_through_the_papers(inspector: Inspector) -> None:
    await inspector.chooses("Corrected by the papers alone")
    await inspector.types("R-1041")
    await inspector.press("backspace")
    assert "Number of the receipt or permit?" in inspector.sees
    assert "Enter: R-1041" in inspector.sees
    await inspector.press("backspace")
    assert "Corrected by the papers alone, not looked at  <- your answer" in inspector.sees
    await inspector.chooses("Not corrected")
    found = rechecks(inspector)["B-2"]
    # A receipt for what was not corrected would stand there in vain.
    assert (found.outcome, found.receipt) == ("not corrected", "")


async def test_backspace_goes_back_from_the_reason_and_words_are_one(inspector: Inspector) -> None:
    await inspector.chooses("It could not be checked")
    assert "or type the reason" in inspector.sees
    await inspector.press("backspace")
    assert "Corrected: I look and test now" in inspector.sees
    await inspector.chooses("It could not be checked")
    await inspector.types("a dog lies there")
    found = rechecks(inspector)["B-2"]
    assert (found.outcome, found.reason) == ("not checked", "a dog lies there")


async def test_after_a_restart_backspace_finds_the_last_one_settled(inspector: Inspector) -> None:
    await inspector.chooses("Not corrected")
    inspector.record.close()
    record = Record.open(inspector.record.path, today=AGAIN)
    async with WalkthroughApp(record, today=AGAIN).run_test(size=(80, 24)) as pilot:
        again = Inspector(pilot)
        await again.press("backspace")
        assert "Bedroom > B-2" in again.sees
        assert "Not corrected  <- your answer" in again.sees


def test_the_gravest_come_first_then_room_by_room(old: Path) -> None:
    """At the demonstration house: whoever leaves early has looked at what is dangerous."""
    shipped = sessions.demonstration()
    assert shipped is not None
    house = old.with_name("house.toml")
    house.write_bytes(shipped.read_bytes())
    record = Record.reinspect(house, old.with_name("again.toml"), AGAIN)
    rank = {"hazard": 0, "serious": 1, "upgrade": 2, "info": 3}
    seen: dict[str, list[int]] = {}
    for each in record.session.rechecks:
        seen.setdefault(f"{each.of} {each.subject}", []).append(rank[each.severity])
    # Nobody is sent to the same place twice.
    together = [f"{each.of} {each.subject}" for each in record.session.rechecks]
    assert together == [place for place, ranks in seen.items() for _ in ranks]
    worst = [min(ranks) for ranks in seen.values()]
    assert worst == sorted(worst)
    assert record.session.rechecks[0].severity == "hazard"
    rooms = [each.id for each in record.session.rooms]
    for one in set(worst):
        outlets = [
            record.session.outlet(place.partition(" ")[2])
            for place, ranks in seen.items()
            if place.startswith("outlet ") and min(ranks) == one
        ]
        walked = [rooms.index(each.room) for each in outlets if each is not None]
        assert walked == sorted(walked)
    record.close()
