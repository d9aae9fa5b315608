"""A report from the app: with one key, beside the record, and nothing that somebody made is lost."""

from __future__ import annotations

import datetime
import os
import shutil
import stat
import threading
from pathlib import Path
from typing import Any

import pytest

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.reporting import free_path, write_report
from walkthrough.cli import main
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


FIRM = 'format = 1\nname = "Example Inspections"\nlicence = "HI-0000"\n'
PRICES = """
format = 1
title = "My own figures"
currency = "USD"
date = 2026-11-02
labor_per_hour = 70.00

[price]
DUP15-TR = { what = "15 A duplex TR", material = 4.00, minutes = 10 }
"""


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_only_firm_beside_the_record_stands_at_its_head(
    house: Record, size: tuple[int, int]
) -> None:
    house.path.with_name("firm.toml").write_text(FIRM, encoding="utf-8")
    async with WalkthroughApp(house, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+k")
        assert "n: name at its head: " in inspector.sees
        assert "firm.toml" in inspector.sees
        await pilot.press("1")
        await until(inspector, "Written:")
        page = house.path.with_name("elm-client.html")
        assert "Example Inspections" in page.read_text(encoding="utf-8")
        # Without it again, and that is remembered for the sitting.
        await inspector.press("n")
        assert "> firm.toml" in inspector.sees
        await inspector.press("up", "enter")
        assert "n: name at its head: none" in inspector.sees
        await inspector.press("escape", "ctrl+k")
        assert "n: name at its head: none" in inspector.sees
        await pilot.press("1")
        await until(inspector, "Written:")
        assert "Example Inspections" not in page.read_text(encoding="utf-8")
    house.close()


async def test_a_slip_in_the_file_of_a_firm_is_told_as_on_the_command_line(
    house: Record, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = house.path.with_name("my-firm.toml")
    bad.write_text('format = 1\nname = "Example"\nlicense = "HI"\n', encoding="utf-8")
    other = house.path.with_name("other-firm.toml")
    other.write_text(FIRM, encoding="utf-8")
    argv = ["replay", str(house.path), "--format", "html", "--firm", str(bad)]
    assert main(argv) == 2
    told = capsys.readouterr().err
    assert f"{bad}:3" in told
    async with WalkthroughApp(house, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+k")
        # Of two nobody can say which one is meant.
        assert "n: name at its head: none" in inspector.sees
        await inspector.press("n", "down", "enter")
        assert "".join(told.split()) in "".join(inspector.sees.split())
        assert "Whose name stands at the head" in inspector.sees
        await inspector.press("down", "enter")
        assert "n: name at its head: " in inspector.sees
        assert "other-firm.toml" in inspector.sees
    house.close()


async def test_prices_by_a_path_are_those_of_the_report(house: Record, tmp_path: Path) -> None:
    elsewhere = tmp_path / "lists"
    elsewhere.mkdir()
    (elsewhere / "mine.toml").write_text(PRICES, encoding="utf-8")
    (elsewhere / "slip.toml").write_text(PRICES.replace("DUP15", "DUP51"), encoding="utf-8")
    async with WalkthroughApp(house, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+k", "p")
        assert "By which prices work is counted" in inspector.sees
        await inspector.press("down", "enter")
        await pilot.press(*"..", "slash", *"lists", "slash", *"nowhere.toml", "enter")
        await inspector.settle()
        assert "nowhere.toml" in inspector.sees
        assert "! " in inspector.sees
        await inspector.press("ctrl+u")
        await pilot.press(*"..", "slash", *"lists", "slash", *"slip.toml", "enter")
        await inspector.settle()
        assert "no action has the price 'DUP51-TR'" in inspector.reads
        await inspector.press("ctrl+u")
        await pilot.press(*"..", "slash", *"lists", "slash", *"mine.toml", "enter")
        await inspector.settle()
        assert "mine.toml" in inspector.sees
        await pilot.press("2")
        await until(inspector, "Written:")
        page = house.path.with_name("elm-landlord.html").read_text(encoding="utf-8")
        assert "My own figures" in page
    house.close()


async def test_escape_changes_nothing(house: Record) -> None:
    house.path.with_name("prices-2026.toml").write_text(PRICES, encoding="utf-8")
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+k", "p")
        assert "> prices-2026.toml" in inspector.sees
        await inspector.press("down", "enter", "escape")
        assert "By which prices work is counted" in inspector.sees
        await inspector.press("escape")
        assert "prices-2026.toml" in inspector.sees
        assert "Write a report" in inspector.sees
    house.close()


async def test_the_plan_and_reports_are_counted_by_one_list(house: Record) -> None:
    house.path.with_name("prices-mine.toml").write_text(PRICES, encoding="utf-8")
    async with WalkthroughApp(house, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        # What lies beside the record counts in both from the beginning.
        await inspector.press("ctrl+g")
        await until(inspector, "your own: My own figures (prices-mine.toml)")
        # What is chosen for the plan is chosen for reports too ...
        await inspector.press("r")
        await until(inspector, "DEMONSTRATION, NO OFFER")
        assert "(r: 1 list of your own to choose from)" in inspector.sees
        await inspector.press("escape", "ctrl+k")
        assert "prices-mine.toml" not in inspector.sees
        assert "1 list of your own to choose from" in inspector.reads
        # ... and the other way round.
        await inspector.press("p", "down", "enter")
        assert "p: prices: prices-mine.toml" in inspector.sees
        await inspector.press("escape", "ctrl+g")
        await until(inspector, "your own: My own figures (prices-mine.toml)")
    house.close()


async def test_of_two_lists_none_counts_unasked_and_that_is_said(house: Record) -> None:
    for name in ("prices-mine.toml", "prices-other.toml"):
        house.path.with_name(name).write_text(PRICES, encoding="utf-8")
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+g")
        await until(inspector, "DEMONSTRATION, NO OFFER (r: 2 lists of your own")
        await inspector.press("escape", "ctrl+k")
        assert "2 lists of your own to choose from" in inspector.reads
    house.close()


async def test_the_files_of_a_firm_are_no_walks(
    house: Record, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = house.path.parent
    house.close()
    (folder / "firm.toml").write_text(FIRM, encoding="utf-8")
    (folder / "prices-2026.toml").write_text(PRICES, encoding="utf-8")
    # A record may be called so too.
    shutil.copy(house.path, folder / "old-firm.toml")
    monkeypatch.setenv("WALKTHROUGH_SESSIONS", str(folder))
    async with WalkthroughApp(today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.chooses("Resume a walk")
        assert "elm.toml" in inspector.sees
        assert "old-firm.toml" in inspector.sees
        assert " firm.toml" not in inspector.sees
        assert "prices-2026.toml" not in inspector.sees
    assert main(["portfolio", str(folder), "--format", "csv"]) == 0
    assert " firm.toml" not in capsys.readouterr().err


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such permissions")
@pytest.mark.parametrize(("umask", "mode"), [(0o022, 0o644), (0o077, 0o600), (0o002, 0o664)])
async def test_it_has_the_permissions_of_any_file_written_here(
    house: Record, umask: int, mode: int
) -> None:
    before = os.umask(umask)
    try:
        async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
            inspector = Inspector(pilot)
            await inspector.press("ctrl+k")
            await pilot.press("1")
            await until(inspector, "Written:")
            path = house.path.with_name("elm-client.html")
            assert stat.S_IMODE(path.stat().st_mode) == mode
            # Whoever changed them meant it.
            path.chmod(0o640)
            await pilot.press("1")
            await until(inspector, "Written:")
            assert stat.S_IMODE(path.stat().st_mode) == 0o640
    finally:
        os.umask(before)
    house.close()
