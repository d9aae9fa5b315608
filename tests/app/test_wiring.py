"""The panel schedule's drawing of one circuit."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record

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
        (row,) = [each for each in inspector.sees.splitlines() if "PB-1," in each]
        drawn = "└─ PB-1, on its LOAD, left of basin, Plain, no buttons, box opened"
        assert row.strip().startswith("!")
        assert row.strip().endswith(drawn)
        await inspector.press("down", "enter")
        await inspector.settle()
        assert inspector.at is outlet
    record.close()
