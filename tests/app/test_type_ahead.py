"""Keys that are typed faster than screens come and go are neither lost nor misapplied."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.type_ahead import _Climb
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
