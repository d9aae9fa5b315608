"""The panel schedule's drawing of one circuit."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.trips import action_prompt, add_trip, next_test
from walkthrough.survey import store
from walkthrough.survey.model import Circuit, Outlet, Panel, Room

HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
DAY = datetime.date(2026, 11, 10)


async def test_a_circuit_drawn_as_a_tree_leads_to_its_outlets(tmp_path: Path) -> None:
    """Source: the wiring of the demonstration house: PB-1 is fed from the GFCI HB-1 by its LOAD."""
    path = tmp_path / "house.toml"
    shutil.copy(HOUSE, path)
    record = Record.open(path, today=DAY)
    outlet = record.session.outlet("PB-1")
    assert outlet is not None
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        ids = [record.session.reference(each) for each in record.session.circuits]
        await inspector.press("f3", *["down"] * ids.index(outlet.circuit), "w")
        await inspector.settle()
        assert f"Wiring of circuit {outlet.circuit}" in inspector.sees
        row = next(each for each in inspector.sees.splitlines() if "PB-1," in each)
        drawn = "└─ PB-1, on its LOAD, left of basin, Plain, no buttons, box opened"
        assert row.strip().startswith(("!", "> !"))
        assert row.strip().endswith(drawn)
        assert "HB-1: its TEST does nothing" in inspector.sees
        await inspector.press("down", "enter")
        await inspector.settle()
        assert inspector.at is outlet
    record.close()


@pytest.fixture
def kitchen(record: Record) -> Record:
    """A circuit of which no order is recorded: the devices K-1 and K-3, and three outlets more."""
    session = record.session
    session.panels.append(Panel(id="P1"))
    session.circuits.append(Circuit(id="C1", panel="P1", answers={"breaker": "standard"}))
    session.rooms.append(Room(id="kitchen", name="Kitchen"))
    for number, device in enumerate(("gfci", "plain", "gfci", "plain", "plain"), 1):
        answers = {"point": "receptacle", "device": device}
        session.outlets.append(
            Outlet(id=f"K-{number}", room="kitchen", circuit="C1", answers=dict(answers))
        )
    record.change(session.dwelling, "")
    return record


def seen(record: Record, at: str, dead: str, live: str = "") -> list[str]:
    """A TEST of a device, its outlets told by their numbers."""
    add = [f"K-{each}" for each in dead], [f"K-{each}" for each in live]
    told = add_trip(record, record.session.dwelling, at, "test button", *add)
    for trip in record.session.trips:
        trip.left_tripped = False
    return told


def test_what_is_offered_as_done_fits_what_is_there(kitchen: Record) -> None:
    """A standard breaker has no TEST button, nor has a plain receptacle."""
    gfci, plain, circuit = *kitchen.session.outlets[:2], kitchen.session.circuits[0]
    gfci.answers["device"], plain.answers["device"] = "gfci", "plain"
    assert action_prompt(kitchen, gfci.id).default == "test button"
    assert action_prompt(kitchen, plain.id).default == "plug-in tester"
    for breaker, offered in (("standard", "breaker off"), ("gfci", "test button")):
        circuit.answers["breaker"] = breaker
        assert action_prompt(kitchen, circuit.id).default == offered
    del circuit.answers["breaker"]
    assert action_prompt(kitchen, circuit.id).default == "test button"


def test_the_next_test_is_the_one_that_leaves_least_open(kitchen: Record) -> None:
    assert next_test(kitchen) == ("K-1", "protection of 5 outlets")
    # Protection of K-3 to K-5 now waits for K-3 alone, though K-1 was not seen with K-5.
    seen(kitchen, "K-1", "12", "34")
    assert next_test(kitchen)[0] == "K-3"


def test_of_two_devices_the_inference_chooses(kitchen: Record) -> None:
    """Both may protect all others, but with K-1 it is known already that K-2 stays live."""
    seen(kitchen, "K-1", "", "2")
    assert next_test(kitchen) == ("K-3", "protection of 5 outlets")


def test_a_breaker_settles_all_of_its_circuit_at_once(kitchen: Record) -> None:
    kitchen.session.circuits[0].answers["breaker"] = "gfci"
    kitchen.changed()
    assert next_test(kitchen) == ("C1", "protection of 5 outlets")


def test_where_no_protection_waits_the_wiring_does(kitchen: Record) -> None:
    """The breaker protects all; which outlets hang on K-1 and K-3 nobody knows."""
    kitchen.session.circuits[0].answers["breaker"] = "gfci"
    kitchen.session.circuits[0].readings["breaker_test_result"] = "trips"
    seen(kitchen, "K-3", "3", "1245")
    assert next_test(kitchen) == ("K-1", "feed of 4 outlets")
    seen(kitchen, "K-1", "1345", "2")
    assert next_test(kitchen) == ("", "")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_what_trip_tests_show_stands_beside_and_below_the_tree(
    kitchen: Record, size: tuple[int, int]
) -> None:
    seen(kitchen, "K-1", "13", "2")
    async with WalkthroughApp(kitchen, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("f3")
        await inspector.press("w")
        lines = [line.strip() for line in inspector.sees.splitlines()]
        assert "What the trip tests show; the order of what goes off together they do not:" in lines
        assert "K-1: its own face goes dead; with it K-3; not known of K-4, K-5" in lines
        assert "K-3: its own face was not looked at; not known of K-4, K-5" in lines
        # K-3 goes off with K-1, so that what stayed live with K-1 cannot hang on K-3.
        assert "no TEST switches off K-2" in lines
        row = next(line for line in lines if "K-3, " in line)
        assert row.endswith("goes off with K-1") == (size == (120, 40))
        assert "Take over" not in inspector.sees
        await inspector.press("t")
        assert all(outlet.fed_from == "" for outlet in kitchen.session.outlets)


async def test_what_follows_from_the_tests_is_taken_over_and_taken_back(kitchen: Record) -> None:
    """K-1 takes all down, K-3 only K-4: K-1 is first, K-4 next to K-3; of K-2 and K-5 nothing follows."""
    seen(kitchen, "K-1", "12345")
    seen(kitchen, "K-3", "34", "125")
    async with WalkthroughApp(kitchen, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("f3")
        await inspector.press("w")
        assert "> K-1 is fed straight from the panel" in inspector.sees
        assert "> K-4 is fed from K-3, on its LOAD" in inspector.sees
        await inspector.press("t")
        await inspector.settle()
        outlets = {each.id: each for each in store.load(kitchen.path).outlets}
        fed = {id: (each.fed_from, each.side, each.order_known_by) for id, each in outlets.items()}
        assert fed["K-1"] == ("panel", "through", "inferred")
        assert fed["K-4"] == ("K-3", "load", "inferred")
        assert all(fed[id] == ("", "through", "unknown") for id in ("K-2", "K-3", "K-5"))
        assert "K-4, on its LOAD" in inspector.sees
        assert "worked out" in inspector.sees
        assert "Take over" not in inspector.sees
    kitchen.undo()
    kitchen.undo()
    assert all(each.fed_from == "" for each in store.load(kitchen.path).outlets)


async def test_a_step_that_cannot_be_right_is_told_at_once(kitchen: Record) -> None:
    """K-1 took K-3 down before; now K-3 takes K-1 down."""
    seen(kitchen, "K-1", "13")
    async with WalkthroughApp(kitchen, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("f7")
        assert "K-3 settles most now" in inspector.sees
        await inspector.press("enter")
        await inspector.chooses("Its own TEST button")
        await inspector.press("down", "d", "s")
        told = " ".join(inspector.sees.split())
        assert (
            "! Look again, this contradicts what is recorded: K-3: not all of this can be right: "
            "in the TEST of K-1 K-3 died; in the TEST of K-3 K-1 died" in told
        )
        assert "Is K-3 reset and on again?" in told
        await inspector.press("y")
        await inspector.press("f3")
        await inspector.press("w")
        assert "Nothing follows from the trip tests" in inspector.sees


async def test_an_outlet_that_goes_off_with_two_of_which_the_order_is_open(kitchen: Record) -> None:
    """K-2 went off with K-1 and with K-3; nobody looked at the one when the other was off."""
    seen(kitchen, "K-1", "12")
    seen(kitchen, "K-3", "32")
    async with WalkthroughApp(kitchen, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("f3")
        await inspector.press("w")
        lines = [line.strip() for line in inspector.sees.splitlines()]
        assert any(line.endswith("goes off with K-1 and K-3") for line in lines)
        told = "K-1: its own face goes dead; with it K-2; not known of K-3, K-4, K-5"
        assert told in lines
        assert any(line.endswith("perhaps with K-1") for line in lines if "K-3, " in line)
