"""An answer that excludes the others takes their ticks away, and they take away its own."""

from __future__ import annotations

from pathlib import Path

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.survey.model import Panel


async def test_sound_and_burned_are_never_both_true(tmp_path: Path) -> None:
    """By key and by name, and Enter takes what is in view."""
    record = Record.begin(tmp_path / "elm.toml", "Elm", "hud-rental", DAY)
    panel = Panel(id="P1", answers={"panel_kind": "breakers"})
    record.session.panels.append(panel)
    record.change(panel, "")
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        inspector.walking.go(panel, "breaker_condition")
        await inspector.settle()
        await inspector.press("2", "3")
        assert inspector.sees.count("[x]") == 2
        await inspector.press("1")
        assert "[x] Sound and clean" in inspector.sees
        assert inspector.sees.count("[x]") == 1
        await inspector.types("melted")
        assert "[x] Melted" in inspector.sees
        assert inspector.sees.count("[x]") == 1
        await inspector.press("enter")
        assert panel.answers["breaker_condition"] == ["burned"]
    record.close()
