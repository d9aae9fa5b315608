"""A report from the app: with one key, beside the record, and nothing that somebody made is lost."""

from __future__ import annotations

import datetime
import shutil
import threading
from pathlib import Path
from typing import Any

import pytest

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.reporting import free_path, write_report
from walkthrough.report.seal import is_as_written, sealed

ROOT = Path(__file__).resolve().parents[2]
DAY = datetime.date(2026, 11, 10)


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Record:
    monkeypatch.delenv("WALKTHROUGH_RULESETS")
    folder = tmp_path / "visits"
    folder.mkdir()
    shutil.copy(ROOT / "sessions" / "larkspur-house.toml", folder / "elm.toml")
    return Record.open(folder / "elm.toml", today=DAY)


async def until(inspector: Inspector, told: str) -> None:
    """Wait for what is written apart."""
    for _ in range(300):
        await inspector.settle()
        # A long path takes more than one line.
        if told in " ".join(inspector.sees.split()) and "Being written" not in inspector.sees:
            return
        await inspector.pilot.pause(0.02)
    raise AssertionError(f"no '{told}' on the screen:\n{inspector.sees}")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_one_key_and_a_number_write_it_beside_the_record(
    house: Record, size: tuple[int, int]
) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+k")
        assert "1 for the client: elm-client.html" in inspector.sees
        await pilot.press("1")
        await until(inspector, "Written:")
        path = house.path.with_name("elm-client.html")
        assert is_as_written(path)
        assert "for the client" in path.read_text(encoding="utf-8")
        # The record itself was only read.
        assert not house.is_changed
    house.close()


async def test_a_report_of_its_own_is_replaced_and_a_changed_one_stays(house: Record) -> None:
    path = house.path.with_name("elm-client.html")
    path.write_text(sealed("<p>of yesterday</p>"), encoding="utf-8")
    async with WalkthroughApp(house, today=DAY).run_test(
        size=(120, 40), notifications=True
    ) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+k")
        await pilot.press("1")
        await until(inspector, "Written:")
        assert "of yesterday" not in path.read_text(encoding="utf-8")
        by_hand = path.read_text(encoding="utf-8").replace("for the client", "for Example")
        path.write_text(by_hand, encoding="utf-8")
        await pilot.press("1")
        await until(inspector, "elm-client.html is there already, made otherwise: it stays")
        assert path.read_text(encoding="utf-8") == by_hand
        assert is_as_written(house.path.with_name("elm-client-2.html"))
    house.close()


async def test_into_another_folder(house: Record, tmp_path: Path) -> None:
    elsewhere = tmp_path / "to hand over"
    elsewhere.mkdir()
    async with WalkthroughApp(house, today=DAY).run_test(
        size=(120, 40), notifications=True
    ) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+k", "w", "ctrl+u")
        await pilot.press(*"../nowhere", "enter")
        await until(inspector, "is no folder; expected one that is there")
        await inspector.press("ctrl+u")
        await pilot.press(*"..", "slash", *"to", "space", *"hand", "space", *"over", "enter")
        await pilot.press("1")
        await until(inspector, "Written:")
        assert is_as_written(elsewhere / "elm-client.html")
    house.close()


async def test_who_goes_back_to_the_walk_is_told_there(
    house: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    is_back = threading.Event()

    def slowly(*asked: Any) -> Path:
        assert is_back.wait(60)
        return write_report(*asked)

    monkeypatch.setattr("walkthrough.app.screens.report.write_report", slowly)
    async with WalkthroughApp(house, today=DAY).run_test(
        size=(120, 40), notifications=True
    ) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+k")
        await pilot.press("1", "escape")
        is_back.set()
        await until(inspector, "Written:")
        assert "Write a report" not in inspector.sees
        assert house.path.with_name("elm-client.html").exists()
    house.close()


async def test_where_it_cannot_be_written_that_is_said(
    house: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("walkthrough.app.reporting._put", full)
    async with WalkthroughApp(house, today=DAY).run_test(
        size=(120, 40), notifications=True
    ) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+k")
        await pilot.press("1")
        await until(inspector, "cannot be written: no space left on device")
    house.close()


def test_the_next_free_name(tmp_path: Path) -> None:
    path = tmp_path / "elm-client.html"
    assert free_path(path) == path
    path.write_text("<p>mine</p>", encoding="utf-8")
    assert free_path(path).name == "elm-client-2.html"
    (tmp_path / "elm-client-2.html").mkdir()
    (tmp_path / "elm-client-3.html").symlink_to(tmp_path / "nowhere")
    assert free_path(path).name == "elm-client-4.html"
    (tmp_path / "elm-client-4.html").write_text(sealed("<p>ours</p>"), encoding="utf-8")
    assert free_path(path).name == "elm-client-4.html"
