"""What an answer of a second visit clears as well is put once, and is never put as still there."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from tests.judge.two_visits import AGAIN, FIRST, outlet
from walkthrough.app import sessions
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.survey import store
from walkthrough.survey.model import AnswerValue, Circuit, Panel, Room


@pytest.fixture
async def inspector(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[Inspector]:
    """At a bath basin a GFCI whose TEST did nothing; hot and neutral reversed at the next one."""
    monkeypatch.setenv("WALKTHROUGH_SESSIONS", str(tmp_path))
    path = tmp_path / "elm.toml"
    record = Record.begin(path, "Elm", "nec-2020", FIRST)
    session = record.session
    session.dwelling.answers["year_built"] = 1960
    session.panels.append(Panel(id="P1", answers={"panel_kind": "breakers"}))
    told: dict[str, AnswerValue] = {"breaker_amps": 15, "shares_neutral": False}
    told |= {"breaker": "standard", "conductor": "cu14", "circuit_volts": 120}
    session.circuits.append(Circuit(id="C1", panel="P1", answers=told))
    bath: dict[str, AnswerValue] = {"place": ["bathroom"], "wetness": "dry"}
    session.rooms.append(Room(id="bedroom", name="Bath", answers=bath))
    failed = outlet("B-1", device="gfci", feet_to_sink=2)
    failed.readings["test_result"] = "nothing"
    failed.answers["power_when_tested"] = "there"
    reversed_ = outlet("B-2", "reversed", feet_to_sink=float("inf"))
    for each in (failed, reversed_):
        each.fed_from, each.order_known_by = "panel", "opened"
        session.outlets.append(each)
    record.change(failed, "")
    record.close()
    again = Record.reinspect(path, sessions.path_to_reinspect(path, AGAIN), AGAIN)
    async with WalkthroughApp(again, today=AGAIN).run_test(size=(80, 24)) as pilot:
        found = Inspector(pilot)
        await found.settle()
        yield found


def outcomes(inspector: Inspector, subject: str) -> set[str]:
    saved = store.load(inspector.record.path)
    return {each.outcome for each in saved.rechecks if each.subject == subject}


async def until_looked_at(inspector: Inspector) -> None:
    """Tell that the TEST trips now, and all that is asked after it."""
    await inspector.chooses("Corrected: I look and test now")
    await inspector.chooses("Test result")
    await inspector.chooses("Trips")
    for _ in range(9):
        if inspector.prompt.id in ("again:cleared", "again:item"):
            return
        await inspector.press("enter" if inspector.prompt.default is not None else "1")
    raise AssertionError(inspector.sees)


async def test_what_the_same_answers_clear_is_one_key(inspector: Inspector) -> None:
    items = [each for each in inspector.record.session.rechecks if each.subject == "B-1"]
    assert len(items) > 1
    assert "TEST does nothing" in inspector.reads
    await until_looked_at(inspector)
    assert "By what was told now" in inspector.reads
    assert "no longer found here" in inspector.reads
    await inspector.chooses("Corrected as well")
    assert outcomes(inspector, "B-1") == {"corrected"}
    # The other place is put as before; what was noted together is taken back together.
    assert "B-2" in inspector.sees
    await inspector.press("ctrl+z")
    assert "no longer found here" in inspector.reads
    assert "to check" in outcomes(inspector, "B-1")


async def test_each_can_be_put_by_itself(inspector: Inspector) -> None:
    await until_looked_at(inspector)
    await inspector.press("2")
    assert inspector.prompt.id == "again:item"
    assert "to check" in outcomes(inspector, "B-1")
    assert "B-1" in inspector.sees


async def test_not_corrected_is_contradicted_at_once(inspector: Inspector) -> None:
    await inspector.press("f2")
    await inspector.types(inspector.record.questions["test_result"].ask)
    await inspector.chooses("Trips")
    await inspector.chooses("Not corrected")
    assert "the rule no longer finds this. What is true?" in inspector.reads
    assert outcomes(inspector, "B-1") == {"to check"}
    await inspector.chooses("An answer is wrong")
    assert "Enter changes an answer" in inspector.sees
    await inspector.press("escape")
    await inspector.chooses("Not corrected, whatever")
    assert "not corrected" in outcomes(inspector, "B-1")
