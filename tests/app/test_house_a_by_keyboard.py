"""A kitchen and two bathrooms of the demonstration house, entered by keyboard alone."""

from __future__ import annotations

import datetime
import json
import platform
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.judge.judge import Judgement, judge
from walkthrough.survey import store
from walkthrough.survey.lock import _held
from walkthrough.survey.model import Session

HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
DAY = datetime.date(2026, 11, 10)
CIRCUITS = ("C5", "C7", "C6", "C8", "C9", "C10", "C11")
ROOMS = {
    "kitchen": ("K-1", "K-2", "K-3", "K-4", "K-5", "K-6", "K-7", "K-8", "K-9", "K-10"),
    "hall-bath": ("HB-1",),
    "primary-bath": ("PB-1", "PB-2"),
}


def outlet_findings(judgement: Judgement) -> set[tuple[str, str, str]]:
    """What was found at the outlets of these rooms."""
    ids = {id for outlets in ROOMS.values() for id in outlets}
    return {
        (finding.subject, finding.rule, finding.kind)
        for finding in judgement.findings
        if finding.of == "outlet" and finding.subject in ids
    }


def abandon(record: Record) -> None:
    """What a kill leaves: nothing is saved or given back any more, only the lock file stays."""
    dead = json.dumps({"pid": 999999999, "machine": platform.node()})
    record.path.with_name(record.path.name + ".lock").write_text(dead, encoding="utf-8")
    _held.clear()


@pytest.fixture
def notebook() -> Session:
    return store.load(HOUSE)


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("WALKTHROUGH_SESSIONS", str(tmp_path))
    # Only the shipped rulesets.
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(tmp_path / "none"))
    return tmp_path


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_entered_killed_resumed_and_judged_alike(
    size: tuple[int, int], notebook: Session, own_folder: Path
) -> None:
    async with WalkthroughApp(today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot, notebook)
        assert "prove it dead" in inspector.sees
        await inspector.begins("Two wet rooms and a kitchen", "NEC 2020")
        await inspector.works_through(notebook.dwelling, stop_at="new:panel")
        await inspector.types("Panel in the garage")
        await inspector.works_through(notebook.panels[0])
        await inspector.adds_circuits(CIRCUITS)
        await inspector.chooses("On to the rooms")
        await inspector.adds_room("kitchen")
        for id in ("K-1", "K-2", "K-3"):
            await inspector.adds_outlet(id)
        await inspector.adds_outlet("K-4", stop_at="tester")
        stopped_at = inspector.prompt.ask
        assert stopped_at in inspector.sees
        abandon(inspector.record)

    path = next(own_folder.glob("*.toml"))
    async with WalkthroughApp(today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot, notebook)
        await inspector.chooses("Resume a walk")
        await inspector.press("enter")
        assert stopped_at in inspector.sees
        assert "K-4, counter right of sink, circuit C7" in inspector.sees
        await inspector.works_through(inspector.noted("K-4"))
        for id in ROOMS["kitchen"][4:]:
            await inspector.adds_outlet(id)
        for room in ("hall-bath", "primary-bath"):
            await inspector.chooses("Another room or area")
            await inspector.adds_room(room)
            for id in ROOMS[room]:
                await inspector.adds_outlet(id)
                if id == "PB-1":
                    await inspector.changes("box_opened", True)
                    await inspector.works_through(inspector.noted(id))
        await inspector.finishes_what_is_open()
        await inspector.press("ctrl+q")

    entered = store.load(path)
    book = inspector.record.book
    expected = outlet_findings(judge(notebook, book))
    assert expected
    assert outlet_findings(judge(entered, book)) == expected
