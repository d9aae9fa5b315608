"""Keys that are typed faster than screens come and go are neither lost nor misapplied."""

from __future__ import annotations

import asyncio
import random
from pathlib import Path
from threading import Event

import pytest

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.screens import what_if
from walkthrough.app.screens.walk import WalkScreen
from walkthrough.app.type_ahead import _Climb
from walkthrough.app.widgets.rows import Rows
from walkthrough.judge.changes import HouseChange
from walkthrough.survey import store

HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"


@pytest.mark.parametrize("burst", range(3))
async def test_into_a_screen_through_it_and_out_again(tmp_path: Path, burst: int) -> None:
    path = tmp_path / "house.toml"
    store.save(store.load(HOUSE), path)
    async with WalkthroughApp(Record.open(path, today=DAY), today=DAY).run_test(
        size=(80, 24)
    ) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        # Find K-4, draw the wiring of its circuit, out again, mark nothing, put a note to it.
        find = ["ctrl+f", *"k-4 circuit", "enter"]
        keys = [*find, "f3", "w", "escape", "escape", "f7", "escape", "ctrl+t", *"wet", "enter"]
        keys = [{" ": "space", "-": "minus"}.get(key, key) for key in keys]
        await inspector.press(*keys * (burst + 1))
        outlet = inspector.record.session.outlet("K-4")
        assert outlet is not None
        assert inspector.at is outlet
        assert outlet.note.endswith("wet" * (burst + 1))
        assert "What next?" in inspector.sees


async def test_a_refused_answer_takes_what_was_typed_after_it_along(tmp_path: Path) -> None:
    """What follows was meant for the next question, which does not come."""
    record = Record.begin(tmp_path / "elm.toml", "Elm", "nec-2020", DAY)
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        for _ in range(60):
            if inspector.prompt.id == "new:circuit":
                break
            await inspector.press(
                "enter" if inspector.prompt.id == "new:panel" else "question_mark"
            )
        await inspector.press("1", *"what", "enter", "y", "y", "enter")
        assert "found 'what'; expected what stands at the breaker" in inspector.sees
        assert record.session.circuits == []


async def test_what_a_key_leads_to_does_not_keep_the_app_from_closing(tmp_path: Path) -> None:
    record = Record.begin(tmp_path / "elm.toml", "Elm", "nec-2020", DAY)
    app = WalkthroughApp(record, today=DAY)
    async with app.run_test(size=(80, 24)):
        pass
    # A widget that is closing hands on to what it stood in, which takes nothing any more either.
    _Climb(app, 1).queue_at(app)
    assert not app.is_busy


KEYS = [
    *("f1", "f2", "f3", "f4", "f5", "f6", "f7", "f9", "f10"),
    *("ctrl+f", "ctrl+n", "ctrl+t", "ctrl+y", "ctrl+z"),
    *("escape", "escape", "escape", "enter", "enter", "tab", "up", "down", "down", "pagedown"),
    *("1", "2", "k", "s", "w", "space", "question_mark"),
]


async def leads_to(path: Path, keys: list[str], at_once: bool) -> tuple[object, ...]:
    """Where keys lead, and what they leave in the record, typed at once or one after the other."""
    store.save(store.load(HOUSE), path)
    async with WalkthroughApp(Record.open(path, today=DAY), today=DAY).run_test(
        size=(80, 24)
    ) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        for each in [keys] if at_once else [[key] for key in keys]:
            await inspector.press(*each)
        app = inspector.app
        walk = next(each for each in app.screen_stack if isinstance(each, WalkScreen)).walk
        return (
            [type(each).__name__ for each in app.screen_stack],
            getattr(app.focused, "highlighted", None),
            walk.prompt.id,
            inspector.record.key(walk.focus),
            inspector.record.history.text,
        )


@pytest.mark.parametrize(
    "seed", [*range(3), *(pytest.param(n, marks=pytest.mark.slow) for n in range(3, 80))]
)
async def test_keys_lead_to_the_same_however_fast_they_come(
    tmp_path: Path, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # What is typed after a refused answer is dropped on purpose; typed later it would be taken.
    monkeypatch.setattr(WalkthroughApp, "forget_keys", lambda _: None)
    keys = random.Random(seed).choices(KEYS, k=25)
    slowly = await leads_to(tmp_path / "slowly.toml", keys, at_once=False)
    assert await leads_to(tmp_path / "at-once.toml", keys, at_once=True) == slowly


@pytest.mark.parametrize("screen", ["f4", "f5", "f7"])
async def test_a_page_key_typed_right_behind_the_one_that_opens_a_list(
    tmp_path: Path, screen: str
) -> None:
    keys = [screen, "pagedown"]
    slowly = await leads_to(tmp_path / "slowly.toml", keys, at_once=False)
    assert await leads_to(tmp_path / "at-once.toml", keys, at_once=True) == slowly


@pytest.mark.parametrize("size", [(80, 4), (20, 5), (12, 4)])
async def test_a_page_key_where_the_window_has_no_room_for_the_list(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "house.toml"
    store.save(store.load(HOUSE), path)
    record = Record.open(path, today=DAY)
    async with WalkthroughApp(record, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        for screen in ("f5", "f9", "ctrl+g"):
            await inspector.press(screen, "pagedown", "pageup", "escape")
        assert isinstance(inspector.app.screen, WalkScreen)
    record.close()


async def test_a_screen_that_is_left_takes_what_it_works_on_along(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is tried by "what if" may be judged just while its list is going."""
    may_end = Event()

    def judged_late(*_: object) -> list[HouseChange]:
        may_end.wait()
        return []

    async def goes(rows: Rows) -> None:
        may_end.set()
        while any(not each.is_finished for each in rows.app.workers):
            await asyncio.sleep(0)

    path = tmp_path / "house.toml"
    store.save(store.load(HOUSE), path)
    record = Record.open(path, today=DAY)
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        await inspector.press("f9")
        monkeypatch.setattr(what_if, "outcome", judged_late)
        monkeypatch.setattr(Rows, "on_unmount", goes, raising=False)
        await inspector.press("enter", "escape")
        assert "WhatIfScreen" not in [type(each).__name__ for each in inspector.app.screen_stack]
    record.close()
