"""F6 and back: what is in view takes the keys, and what is not in view takes none."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.app.conftest import DAY, opened_house
from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp

QUESTION = "What next?"


@pytest.mark.parametrize("back", ["f6", "escape"])
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_after_the_whole_pane_the_question_takes_keys(
    tmp_path: Path, size: tuple[int, int], back: str
) -> None:
    record = opened_house(tmp_path)
    async with WalkthroughApp(record, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        await inspector.press("ctrl+t")
        await inspector.press("f6")
        assert "A note" not in inspector.sees
        await inspector.press(back, "ctrl+t")
        await inspector.types("cracked", then="")
        await inspector.press("backspace", "enter")
        assert inspector.at.note.endswith("cracke")
    record.close()


async def test_keys_follow_at_once_on_the_way_back(inspector: Inspector) -> None:
    """Nothing is waited for between the keys, as somebody types who knows them."""
    await inspector.press("f6")
    await inspector.press("f6", "ctrl+t", *"loose", "enter")
    assert inspector.at.note == "loose"


async def test_a_key_that_answers_does_nothing_unseen_and_says_so(inspector: Inspector) -> None:
    before = inspector.record.history.place
    await inspector.press("f6", "2")
    assert "F6 or Escape brings the question back" in inspector.sees
    await inspector.press("f5")
    await inspector.press("escape", "2")
    assert "F6 or Escape brings the question back" in inspector.sees
    assert inspector.record.history.place == before
    await inspector.press("f6", "2")
    assert [each.id for each in inspector.record.session.outlets] == ["B-1", "B-2"]


async def test_what_is_asked_for_comes_into_view(inspector: Inspector) -> None:
    await inspector.press("f6", "ctrl+t")
    assert inspector.prompt.ask[:30] in inspector.reads
    await inspector.types("loose")
    assert inspector.at.note == "loose"


async def test_lists_that_stood_aside_take_keys_again(inspector: Inspector) -> None:
    """The folder of a report, the path of a price list, the other ruleset to compare with."""
    await inspector.press("ctrl+k", "w")
    await inspector.press("escape", "down")
    assert "> 2 " in inspector.sees
    await inspector.press("p", "end", "enter")
    await inspector.press("escape", "up")
    assert "> Another one" not in inspector.sees
    await inspector.press("escape", "escape", "ctrl+e")
    await inspector.types("hud-rental")
    await inspector.app.workers.wait_for_complete()
    await inspector.settle()
    await inspector.press("ctrl+e", "h", "u", "d")
    assert "'hud'" in inspector.sees
