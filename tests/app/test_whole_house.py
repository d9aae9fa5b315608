"""The whole demonstration house from nothing, by keyboard alone; prints the keys it took."""

from __future__ import annotations

import datetime
import statistics
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.judge.judge import Judgement, judge
from walkthrough.survey import store
from walkthrough.survey.model import Outlet, Session, Subject

HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
DAY = datetime.date(2026, 11, 10)
REPEAT, EXCEPTION = 1, 5
"""Median keys at most of what the screen is for: the same again, and the same but for one thing."""


@dataclass(frozen=True)
class Keys:
    """The keys of one outlet.

    `told` are all keys but two kinds: `order`, those for what feeds it, and the letters of free
    text (where it is, why it was not reached), which is as long as one likes.
    """

    outlet: Outlet
    told: int
    order: int
    facts: int
    """So many things had to be told here: each answer that was neither copied nor presumed, be it
    other than at the outlet that it was entered like or not told there at all; its circuit, where
    that is another one; and that it was not tested. What an instrument shows is no such thing."""
    in_room: bool
    """Whether it was entered like one of the same room; else its circuit is put as well."""


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


async def enters(inspector: Inspector, outlet: Outlet) -> Keys:
    """Enter one outlet, and count."""
    outlets = inspector.record.session.outlets
    kind = outlet.answer("point")
    alike = [each for each in outlets if each.answer("point") == kind and not each.limits]
    start = len(inspector.log)
    await inspector.adds_outlet_like(outlet.id)
    await against_presumption(inspector, outlet)
    told = len(inspector.log) - start - _typed(outlet, inspector.at)
    start = len(inspector.log)
    await inspector.tells_feed(outlet.id)
    order = len(inspector.log) - start
    here = inspector.at
    assert isinstance(here, Outlet)
    in_room = bool(alike) and alike[-1].room == here.room
    facts = sum(word not in here.carried for word in here.answers) + bool(here.limits)
    facts += in_room and alike[-1].circuit != here.circuit
    return Keys(outlet, told, order, facts, in_room)


@pytest.mark.slow
async def test_the_whole_house_by_keyboard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("WALKTHROUGH_SESSIONS", str(tmp_path))
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(tmp_path / "none"))
    notebook: Session = store.load(HOUSE)
    keys: list[Keys] = []
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
                keys.append(await enters(inspector, outlet))
        await inspector.finishes_what_is_open()
        await inspector.press("ctrl+q")
    entered = store.load(next(tmp_path.glob("*.toml")))
    book = inspector.record.book
    back = {id: noted for noted, id in inspector.entered.items()}
    here = {
        (of, back.get(id, id) if of == "outlet" else id, *rest)
        for of, id, *rest in findings(judge(entered, book))
    }
    noted = findings(judge(notebook, book))
    assert (sorted(here - noted), sorted(noted - here)) == ([], [])
    with capsys.disabled():
        print(f"\nkeys for the whole house: {len(inspector.log)}")
        _print(keys)
    repeats = [each.told for each in keys if each.in_room and not each.facts]
    exceptions = [each.told for each in keys if each.in_room and each.facts == 1]
    assert statistics.median(repeats) <= REPEAT
    assert statistics.median(exceptions) <= EXCEPTION


def _print(keys: list[Keys]) -> None:
    receptacles = [each for each in keys if each.outlet.answer("point") == "receptacle"]
    for each in receptacles:
        print(f"{each.outlet.id:6} told {each.told:3} order {each.order:3} facts {each.facts}")
    print("keys per receptacle, without the text of its place and without its feed:")
    for in_room in (True, False):
        print("  like one of its room:" if in_room else "  the first of a room:")
        here = [each for each in receptacles if each.in_room == in_room]
        for facts in sorted({each.facts for each in here}):
            told = [each.told for each in here if each.facts == facts]
            print(
                f"  {facts:4} facts: {len(told):2} receptacles, median {statistics.median(told):g}"
            )
    order = [each.order for each in receptacles if each.order]
    print(f"keys for its feed, where told apart: median {statistics.median(order):g}")


def _typed(outlet: Outlet, entered: Subject) -> int:
    """The letters of where it is and why it was not reached: free text, as long as one likes."""
    at = len(outlet.at) if isinstance(entered, Outlet) and not entered.carried else 0
    return at + sum(len(limit.reason) for limit in outlet.limits)
