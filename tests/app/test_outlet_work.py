"""What was done to one outlet: not as the whole dwelling, but as its circuit or by itself."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from tests.judge.two_visits import SOUND
from walkthrough.app.asks import refuse_beside
from walkthrough.app.fields import Refused
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.survey.model import AnswerValue, Circuit, Outlet, Panel, Room

WORK = "What is being judged here: existing wiring as found, or work?"
YEAR = "In which year was this outlet put in"


@pytest.fixture
async def old_house(tmp_path: Path) -> AsyncIterator[Inspector]:
    """An untouched dwelling with a circuit that was extended in 2019, and one left as it was."""
    record = Record.begin(tmp_path / "elm.toml", "Elm", "nec-2020", DAY)
    session = record.session
    session.dwelling.answers.update({"year_built": 1990, "work": "untouched"})
    session.panels.append(Panel(id="P1", answers={"panel_kind": "breakers"}))
    told: dict[str, AnswerValue] = {"breaker_amps": 15, "shares_neutral": False}
    extended: dict[str, AnswerValue] = {"circuit_work": "extension", "circuit_work_year": 2019}
    session.circuits.append(Circuit(id="C1", panel="P1", answers=dict(told)))
    session.circuits.append(Circuit(id="C2", panel="P1", answers=told | extended))
    bedroom: dict[str, AnswerValue] = {"place": ["bedroom"], "wetness": "dry", "habitable": True}
    session.rooms.append(Room(id="bedroom", name="Bedroom", answers=bedroom))
    for id, circuit in (("B-1", "C1"), ("B-2", "C2")):
        outlet = Outlet(id=id, room="bedroom", circuit=circuit, fed_from="panel")
        outlet.order_known_by, outlet.readings = "inferred", {"tester": "correct"}
        outlet.answers = {word: told for word, told in SOUND.items() if word != "work"}
        session.outlets.append(outlet)
    record.change(session.outlets[0], "")
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        found = Inspector(pilot)
        await found.settle()
        yield found


async def goes_to(inspector: Inspector, number: int) -> Outlet:
    outlet = inspector.record.session.outlets[number]
    inspector.walking.go(outlet)
    await inspector.settle()
    return outlet


async def works_off(inspector: Inspector) -> None:
    while "What next?" not in inspector.sees:
        await inspector.press("question_mark")


async def test_an_outlet_of_an_extended_circuit_is_asked_what_was_done(
    old_house: Inspector,
) -> None:
    outlet = await goes_to(old_house, 1)
    assert WORK in old_house.reads
    assert "Outlet added to an older circuit  <- as told of its circuit" in old_house.sees
    await old_house.press("enter")
    assert outlet.answers["work"] == "extension"
    assert YEAR in old_house.reads
    assert "Enter: 2019 year (as told of its circuit)" in old_house.sees
    await old_house.press("enter")
    assert outlet.answers["work_year"] == 2019
    assert YEAR not in old_house.reads


async def test_it_may_be_untouched_all_the_same(old_house: Inspector) -> None:
    outlet = await goes_to(old_house, 1)
    await old_house.chooses("Untouched, as found")
    assert outlet.answers["work"] == "untouched"
    assert WORK not in old_house.reads
    assert YEAR not in old_house.reads


async def test_an_exception_on_the_circuit_is_not_offered_for_the_next_outlet(
    old_house: Inspector,
) -> None:
    """At B-2 only the device was replaced; that says nothing of B-3 on the extended circuit."""
    before = await goes_to(old_house, 1)
    await old_house.chooses("Receptacle replaced")
    after = before.model_copy(update={"id": "B-3", "answers": dict(before.answers)}, deep=True)
    del after.answers["work"]
    old_house.record.session.outlets.append(after)
    old_house.record.change(after, "")
    await goes_to(old_house, 2)
    assert WORK in old_house.reads
    assert "Outlet added to an older circuit  <- as told of its circuit" in old_house.sees


async def test_an_outlet_of_an_untouched_circuit_is_not_asked(old_house: Inspector) -> None:
    outlet = await goes_to(old_house, 0)
    assert WORK not in old_house.reads
    await works_off(old_house)
    assert "work" not in outlet.answers


async def test_a_replaced_receptacle_is_told_from_the_menu(old_house: Inspector) -> None:
    outlet = await goes_to(old_house, 0)
    await works_off(old_house)
    told = "t Other than told for the whole dwelling (Work: Untouched, as found)"
    assert told in old_house.reads
    old_house.log.clear()
    await old_house.press("t")
    assert WORK in old_house.reads
    await old_house.chooses("Receptacle replaced")
    assert outlet.answers["work"] == "replacement"
    assert YEAR in old_house.reads
    await old_house.types("2024")
    assert outlet.answers["work_year"] == 2024
    assert len(old_house.log) == 7


def test_an_answer_for_the_handles_of_a_shared_neutral_is_told_at_both_circuits(
    tmp_path: Path,
) -> None:
    """Both are one step to take back."""
    record = Record.begin(tmp_path / "elm.toml", "Elm", "nec-2020", DAY)
    try:
        record.session.panels = [Panel(id="P")]
        record.session.circuits = [
            Circuit(id="1", panel="P", shares_neutral_with="3"),
            Circuit(id="3", panel="P", answers={"simultaneous_disconnect": "none"}),
        ]
        record.change(record.session.circuits[0], "circuits")
        record.answer(record.session.circuits[0], "simultaneous_disconnect", "two_pole")
        told = [each.answer("simultaneous_disconnect") for each in record.session.circuits]
        assert told == ["two_pole", "two_pole"]
        record.undo()
        told = [each.answer("simultaneous_disconnect") for each in record.session.circuits]
        assert told == [None, "none"]
    finally:
        record.close()


def test_a_straight_line_longer_than_the_way_of_a_cord_is_refused_whichever_is_told_first(
    tmp_path: Path,
) -> None:
    record = Record.begin(tmp_path / "elm.toml", "Elm", "hud-rental", DAY)
    try:
        record.session.rooms = [Room(id="R", name="Room")]
        here = Outlet(id="R-1", room="R", circuit="", answers={"feet_to_sink": 7})
        record.session.outlets = [here]
        record.change(here, "outlets")
        with pytest.raises(Refused, match="expected at most 7, which is 'feet_to_sink' here"):
            refuse_beside(record, here, "straight_feet_to_basin", 33)
        refuse_beside(record, here, "straight_feet_to_basin", 7)
        record.answer(here, "straight_feet_to_basin", 6)
        with pytest.raises(Refused, match="at least 6, which is 'straight_feet_to_basin' here"):
            refuse_beside(record, here, "feet_to_sink", 5)
    finally:
        record.close()


async def test_an_answer_that_makes_no_sense_any_more_is_said_not_to_count(
    inspector: Inspector,
) -> None:
    """It was an appliance's space; then what it supplies is corrected to general use."""
    outlet = inspector.record.session.outlets[0]
    outlet.answers["serves"] = ["freezer"]
    inspector.record.answer(outlet, "dedicated_space", True)
    await inspector.press("f2")
    await inspector.types("space of an appliance", then="")
    assert "does not count" not in inspector.reads
    await inspector.press("escape")
    inspector.record.answer(outlet, "serves", ["general"])
    await inspector.press("f6")
    assert "Does not count any more: " in inspector.sees
    await inspector.press("f2")
    await inspector.types("does not count", then="")
    assert "Is it in the space of an appliance" in inspector.reads


async def test_what_is_open_is_named_in_the_words_of_the_trade(inspector: Inspector) -> None:
    outlet = inspector.record.session.outlets[0]
    outlet.answers.pop("tr_mark")
    inspector.record.answer(outlet, "tr_mark", None)
    inspector.record.answer(outlet, "damage", "damaged")
    await inspector.press("f6")
    assert "TR mark (cannot be told) for TR" in inspector.reads
    assert "_" not in inspector.sees
    await inspector.press("f6", "f5")
    await inspector.app.workers.wait_for_complete()
    await inspector.settle()
    assert "1 deficiency, " in inspector.sees
