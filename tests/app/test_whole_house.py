"""The whole demonstration house from nothing, by keyboard alone; prints the keys it took."""

from __future__ import annotations

import datetime
import statistics
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.judge.judge import Judgement, judge
from walkthrough.survey import store
from walkthrough.survey.model import Outlet, Session, Subject

HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
DAY = datetime.date(2026, 11, 10)


def findings(judgement: Judgement) -> set[tuple[str, str, str, str]]:
    return {(each.of, each.subject, each.rule, each.kind) for each in judgement.findings}


async def against_presumption(inspector: Inspector, subject: Subject) -> None:
    """Change what is presumed and is otherwise in the notebook; then answer what that opens."""
    for word, value in subject.answers.items():
        question = inspector.record.questions[word]
        told = inspector.at.answer(word)
        if told is None and question.presume not in (None, value) and not question.record:
            await inspector.changes(word, value)
            await inspector.works_through(subject)


@pytest.mark.slow
async def test_the_whole_house_by_keyboard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("WALKTHROUGH_SESSIONS", str(tmp_path))
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(tmp_path / "none"))
    notebook: Session = store.load(HOUSE)
    keys: dict[str, int] = {}
    async with WalkthroughApp(today=DAY).run_test(size=(100, 40)) as pilot:
        inspector = Inspector(pilot, notebook)
        await inspector.begins("The whole house", "NEC 2020")
        await inspector.works_through(notebook.dwelling, stop_at="new:panel")
        await inspector.types("Panel in the garage")
        await inspector.works_through(notebook.panels[0])
        for circuit in notebook.circuits:
            await inspector.adds_circuits([circuit.id])
            await against_presumption(inspector, circuit)
        await inspector.chooses("On to the rooms")
        for number, room in enumerate(notebook.rooms):
            if number:
                await inspector.chooses("Another room or area")
            await inspector.adds_room(room.id)
            await against_presumption(inspector, room)
            for outlet in (each for each in notebook.outlets if each.room == room.id):
                before = len(inspector.log)
                await inspector.adds_outlet(outlet.id)
                await against_presumption(inspector, outlet)
                keys[outlet.id] = len(inspector.log) - before - _typed(outlet)
        await inspector.finishes_what_is_open()
        await inspector.press("ctrl+q")
    entered = store.load(next(tmp_path.glob("*.toml")))
    book = inspector.record.book
    assert findings(judge(entered, book)) == findings(judge(notebook, book))
    receptacles = [n for id, n in keys.items() if _is_receptacle(notebook, id)]
    with capsys.disabled():
        print(f"\nkeys for the whole house: {len(inspector.log)}")
        print(
            f"per receptacle, without the text of its place: median {statistics.median(receptacles):g}"
        )
        print(f"from {min(receptacles)} to {max(receptacles)}: {keys}")


def _typed(outlet: Outlet) -> int:
    """The letters of where it is and why it was not reached: free text, as long as one likes."""
    return len(outlet.at) + sum(len(limit.reason) for limit in outlet.limits)


def _is_receptacle(notebook: Session, id: str) -> bool:
    outlet = notebook.outlet(id)
    return outlet is not None and outlet.answer("point") == "receptacle"
