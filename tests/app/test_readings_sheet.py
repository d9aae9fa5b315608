"""The readings sheet: optional, each reading on disk at once, taken over only on a word."""

from __future__ import annotations

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from walkthrough.app.asks import asks_under
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.screens.readings import ReadingsScreen
from walkthrough.app.screens.walk import WalkScreen
from walkthrough.survey import store
from walkthrough.survey.model import Outlet
from walkthrough.trade.readings import READING_NAMES


async def at_sheet(inspector: Inspector, outlet: str) -> Outlet:
    """Go to an outlet, and open its sheet."""
    found = inspector.record.session.outlet(outlet)
    assert found is not None
    inspector.walking.go(found)
    await inspector.press("ctrl+r")
    assert isinstance(inspector.app.screen, ReadingsScreen)
    return found


async def test_possibilities_follow_each_reading(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        outlet = await at_sheet(inspector, "K-4")
        assert "Nothing read yet" in inspector.sees
        await inspector.press("y")
        assert "no tester result is proof of a ground" in " ".join(inspector.sees.split())
        assert "Which lamps" in inspector.sees
        await inspector.chooses("HN and HG")
        assert "Possible: 11 of 20" in inspector.sees
        assert " 1. false ground: neutral joined to ground" in inspector.sees
        await inspector.chooses("Trips")
        await inspector.chooses("Does nothing")
        assert "Possible: 5 of 20" in inspector.sees
        # Enter leaves the non-contact tester out.
        await inspector.press("enter")
        await inspector.types("121.5")
        held = store.load(house.path).outlet("K-4")
        assert held is not None
        assert held.readings == outlet.readings
        assert held.readings["volts_hot_neutral"] == 121.5
        assert "probe_at_ground" not in held.readings
        await inspector.press("escape")
        assert isinstance(inspector.app.screen, WalkScreen)
    circuit = house.session.circuit(outlet.circuit)
    assert circuit is not None
    assert circuit.answers["two_wire"] is True
    house.close()


async def test_a_diagnosis_is_taken_over_only_on_a_word(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        outlet = await at_sheet(inspector, "K-4")
        before = outlet.answer("tester")
        await inspector.press("enter")
        await inspector.chooses("HG and NG")
        await inspector.press("end", "enter")
        assert isinstance(inspector.app.screen, WalkScreen)
        assert outlet.answer("tester") == before
        await inspector.press("ctrl+r", "end")
        assert "Take a diagnosis over" in inspector.sees
        # The open neutral stands first: it is likelier than what the legend says.
        assert inspector.sees.index("1  Open neutral") < inspector.sees.index("2  Hot and ground")
        await inspector.chooses("Open neutral")
        assert outlet.readings["tester"] == "open_neutral"
        assert outlet.readings["tester_lamps"] == "hg_ng"
        assert isinstance(inspector.app.screen, WalkScreen)
        # What was taken over is no further reading.
        await inspector.press("ctrl+r", "end")
        assert "Possible: 3 of 20" in inspector.sees
        await inspector.press("escape", "ctrl+z")
        again = inspector.record.session.outlet("K-4")
        assert again is not None
        assert again.answer("tester") == before
    house.close()


async def test_the_testers_answer_is_offered_and_not_taken_unasked(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        outlet = await at_sheet(inspector, "K-4")
        assert outlet.answer("tester") == "correct"
        await inspector.press("down")
        assert "HN and HG: often called correct  <- by the tester's answer" in inspector.sees
        await inspector.press("down", "up", "backspace", "backspace")
        assert isinstance(inspector.app.screen, WalkScreen)
        assert not set(READING_NAMES) & set(outlet.readings)
    house.close()


async def test_a_false_ground_cannot_be_taken_over_as_a_pattern_of_the_tester(
    house: Record,
) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await at_sheet(inspector, "K-4")
        await inspector.press("down")
        await inspector.chooses("HN and HG")
        await inspector.press("down", "down")
        await inspector.chooses("Sounds")
        assert "! Next: Stop: switch the circuit off" in inspector.sees
        await inspector.press("end")
        assert "there is nothing to take over" in " ".join(inspector.sees.split())
    house.close()


async def test_a_reading_can_be_mended_and_taken_out(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        outlet = await at_sheet(inspector, "K-4")
        await inspector.press(*["down"] * 5)
        await inspector.types("400")
        assert "expected a number from 0 to 300" in inspector.sees.replace("\n", " ")
        await inspector.types("240")
        assert outlet.readings["volts_hot_neutral"] == 240
        assert "Possible: 2 of 20" in inspector.sees
        await inspector.press("up")
        assert "Enter: 240 V (your answer)" in inspector.sees
        await inspector.press("question_mark")
        assert "volts_hot_neutral" not in outlet.readings
        assert "Nothing read yet" in inspector.sees
    house.close()


async def test_the_sheet_has_a_line_in_the_palette_and_needs_an_outlet(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(
        size=(80, 24), notifications=True
    ) as pilot:
        inspector = Inspector(pilot)
        commands = inspector.app.get_system_commands(inspector.app.screen)
        assert "Readings sheet (Ctrl+R)" in [each.title for each in commands]
        screen = inspector.walking
        screen.go(house.session.dwelling)
        await inspector.press("ctrl+r")
        assert inspector.app.screen is screen
        assert "Stand on an outlet first." in inspector.sees
        fresh = Outlet(id="K-99", room="K", circuit="C1")
        house.session.outlets.append(fresh)
        screen.go(fresh)
        await inspector.press("ctrl+r")
        assert inspector.app.screen is screen
        assert "First say how this outlet hangs on its circuit." in inspector.reads
        house.session.outlets.remove(fresh)
    house.close()


async def test_a_ruleset_without_the_tables_says_so(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(
        size=(80, 24), notifications=True
    ) as pilot:
        inspector = Inspector(pilot)
        outlet = Outlet(id="K-1", room="K", circuit="C1")
        record.session.outlets.append(outlet)
        screen = inspector.walking
        screen.go(outlet)
        await inspector.press("ctrl+r")
        assert inspector.app.screen is screen
        assert "has no readings sheet" in inspector.reads
    record.close()


def test_the_walk_asks_for_none_of_it(house: Record) -> None:
    """The sheet costs no key: whatever is open, its questions are not among it."""
    # One rule reads a voltage: that of a travel-trailer receptacle, which one looks at first.
    own = set(READING_NAMES) - {"volts_hot_neutral"} | {"two_wire"}
    for subject in house.session.subjects():
        subject.answers.clear()
        subject.readings.clear()
        subject.cannot_tell.clear()
    asked = {each.word for s in house.session.subjects() for each in asks_under(house, s)}
    assert asked
    assert not own & asked
    house.close()


async def test_where_no_gfci_is_the_button_of_the_tester_is_not_asked_for(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await at_sheet(inspector, "K-4")
        await inspector.press("enter", "enter")
        assert "on its own TEST" in inspector.sees
        await inspector.chooses("There is none")
        assert "button of the plug-in tester trip" not in inspector.sees
        assert "non-contact tester sound" in inspector.sees
    house.close()
