"""What would follow from another device or ruleset; nothing of it reaches the record."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.what_if import Instead, outcome, ways
from walkthrough.survey import store
from walkthrough.survey.model import Answer, Circuit, Outlet, Panel, Room, Trip

HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
DAY = datetime.date(2026, 11, 10)


def test_a_gfci_at_the_first_outlet_protects_those_behind_it(tmp_path: Path) -> None:
    """Source: the wiring of the demonstration house: PB-1 feeds OUT-2, and HB-1 is ahead of both."""
    path = tmp_path / "house.toml"
    shutil.copy(HOUSE, path)
    record = Record.open(path, today=DAY)
    try:
        outlet = record.session.outlet("HB-1")
        assert outlet is not None
        before = record.session.model_copy(deep=True)
        found = outcome(record, outlet, Instead("device", "gfci", ""))
        cured = {each.subject for each in found if each.topic == "gfci" and each.now == "no"}
        assert "HB-1" in cured
        assert record.session == before
    finally:
        record.close()
    assert store.load(path).outlet("HB-1") == outlet


async def test_another_edition_for_the_outlet_in_view(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    shutil.copy(HOUSE, path)
    record = Record.open(path, today=DAY)
    async with WalkthroughApp(record, today=DAY).run_test(size=(100, 40)) as pilot:
        inspector = Inspector(pilot)
        outlet = record.session.outlet("K-7")
        assert outlet is not None
        await inspector.press("f4")
        inspector.app.screen.dismiss((outlet, ""))
        await inspector.settle()
        await inspector.press("f9")
        assert "What if? Enter tries it: K-7" in inspector.sees
        tried = [each.value for each in ways(record, outlet)]
        await inspector.press(*["down"] * tried.index("nec-2023"), "enter")
        await inspector.app.workers.wait_for_complete()
        await inspector.settle()
        assert "K-7: nothing -> deficient: Kitchen receptacle" in inspector.sees
        assert "210.8(A)(6)" in inspector.sees
        await inspector.press("escape")
    record.close()


def test_what_was_read_of_the_old_device_does_not_count_for_a_new_one(record: Record) -> None:
    """Rule gfci.bathroom of the practice ruleset; a plain receptacle has no TEST to be good."""
    session = record.session
    session.panels.append(Panel(id="P1"))
    session.circuits.append(Circuit(id="C1", panel="P1", answers={"breaker": "standard"}))
    session.rooms.append(Room(id="bath", name="Bath", answers={"place": ["bathroom"]}))
    answers: dict[str, Answer] = {"point": "receptacle", "device": "gfci", "tr_mark": True}
    readings: dict[str, Answer] = {"test_result": "trips", "tester": "open_ground"}
    outlet = Outlet(id="B-1", room="bath", circuit="C1", answers=answers, readings=readings)
    outlet.fed_from, outlet.order_known_by = "panel", "opened"
    session.outlets.append(outlet)
    session.trips.append(Trip(at="B-1", action="test button", went_dead=["B-1"]))
    record.change(outlet, "")
    found = {each.topic: each for each in outcome(record, outlet, Instead("device", "plain", ""))}
    assert (found["gfci"].was, found["gfci"].now) == ("no", "yes")
    # Whether the new one has a ground shows only when it is tested.
    assert (found["wiring"].was, found["wiring"].now) == ("yes", "open")
    assert outlet.readings == readings
    assert len(session.trips) == 1
    record.close()


async def test_what_is_not_read_yet_is_promised_by_no_choice(inspector: Inspector) -> None:
    """What the tester showed of the old device says nothing of a new one: that stays open."""
    labels = [each.label for each in ways(inspector.record, inspector.at)]
    await inspector.press("f9")
    assert "GFCI, its TEST good, no other reading yet" in inspector.reads
    assert "Plain, no buttons, with no reading yet" in inspector.reads
    assert "wired right" not in inspector.sees
    at = next(n for n, label in enumerate(labels) if label.startswith("GFCI,"))
    await inspector.press(*["down"] * at, "enter")
    await inspector.app.workers.wait_for_complete()
    await inspector.settle()
    told = "B-1: nothing -> open: not known yet whether: Tested as hot and neutral reversed"
    assert told in inspector.reads
