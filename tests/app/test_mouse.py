"""Whatever a key does can be clicked as well."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path

from tests.app.inspector import Inspector
from walkthrough.app.commands import COMMANDS
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.screens.circuits import CircuitsScreen
from walkthrough.app.screens.findings import FindingsScreen
from walkthrough.app.screens.walk import WalkScreen

HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
DAY = datetime.date(2026, 11, 10)
SMALL = (80, 24)


async def _clicks(inspector: Inspector, text: str) -> None:
    """Click in the middle of a text on the screen."""
    lines = inspector.sees.splitlines()
    row = next(number for number, line in enumerate(lines) if text in line)
    column = lines[row].index(text) + len(text) // 2
    await inspector.pilot.click(offset=(column, row))
    await inspector.settle()


async def test_answers_and_hints_of_a_question(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        dwelling = record.session.dwelling
        await _clicks(inspector, "?: cannot tell")
        assert dwelling.cannot_tell == ["year_built"]
        await _clicks(inspector, "Backspace: back")
        assert "In which year was it built?" in inspector.sees
        await inspector.press("1", "9", "7", "4")
        await _clicks(inspector, "Enter accepts")
        assert dwelling.answers == {"year_built": 1974}
        await _clicks(inspector, "Enter: Main panel")
        await _clicks(inspector, "Circuit breakers")
        assert record.session.panels[0].answers == {"panel_kind": "breakers"}
        # A click beside everything does nothing.
        seen = inspector.sees
        await inspector.pilot.click(offset=(70, 12))
        await inspector.settle()
        assert inspector.sees == seen
    record.close()


async def test_one_of_many_is_taken_by_a_click(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    shutil.copy(HOUSE, path)
    record = Record.open(path, today=DAY)
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        outlet = record.session.outlet("K-7")
        assert outlet is not None
        assert isinstance(inspector.app.screen, WalkScreen)
        inspector.app.screen.go(outlet, "field:circuit")
        await inspector.settle()
        offered = [c.value for c in inspector.prompt.choices if c.value != outlet.circuit]
        shown = next(each for each in offered if f"   {each} " in inspector.sees)
        await _clicks(inspector, f"   {shown} ")
        assert outlet.circuit == shown
        # The footer, and a row of the panel schedule.
        await _clicks(inspector, "Circuits")
        assert isinstance(inspector.app.screen, CircuitsScreen)
        await _clicks(inspector, f" {shown} ")
        assert isinstance(inspector.app.screen, CircuitsScreen)
        await _clicks(inspector, f" {shown} ")
        assert isinstance(inspector.app.screen, WalkScreen)
        assert inspector.at is record.session.circuit(shown)
        # In a list a click shows, and another one goes there.
        await _clicks(inspector, "Deficiencies")
        await _clicks(inspector, "HB-1: Protective device")
        assert isinstance(inspector.app.screen, FindingsScreen)
        assert "> HB-1, " in inspector.sees
        await _clicks(inspector, "HB-1: Protective device")
        assert inspector.at is record.session.outlet("HB-1")
    record.close()


async def test_every_action_of_the_walk_stands_in_the_palette(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        assert isinstance(inspector.app.screen, WalkScreen)
        offered = {e.title for e in inspector.app.get_system_commands(pilot.app.screen)}
        assert offered >= {each.in_palette for each in COMMANDS}
        actions = {name for name in dir(WalkScreen) if name.startswith("action_")}
        own = {name for name in actions if name in vars(WalkScreen)}
        assert own == {f"action_{each.action.partition('(')[0]}" for each in COMMANDS}
        # Chosen there, it does what its key does.
        await inspector.press("ctrl+p")
        await inspector.types("Next defici", then="")
        await pilot.pause(0.3)
        await inspector.press("enter")
        await inspector.app.workers.wait_for_complete()
        await inspector.settle()
        assert "No deficiency so far." in inspector.sees
        await inspector.press("f4")
        offered = {e.title for e in inspector.app.get_system_commands(pilot.app.screen)}
        assert {
            "Add outlet here (o)",
            "Add room (r)",
            "Add panel (p)",
            "Remove (delete)",
        } <= offered
    record.close()
