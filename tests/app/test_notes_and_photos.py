"""A note and pictures put to the subject in hand, beside the walk."""

from __future__ import annotations

import datetime
import hashlib
import json
import shutil
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.cli import main
from walkthrough.survey import store
from walkthrough.survey.model import Outlet

HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
DAY = datetime.date(2026, 11, 10)
SMALL = (80, 24)


def _record(tmp_path: Path) -> Record:
    path = tmp_path / "house.toml"
    if not path.exists():
        shutil.copy(HOUSE, path)
    return Record.open(path, today=DAY)


def _outlet(record: Record, id: str) -> Outlet:
    outlet = record.session.outlet(id)
    assert outlet is not None
    return outlet


async def _goes_to(inspector: Inspector, id: str) -> None:
    await inspector.press("ctrl+f")
    await inspector.types(f"{id} circuit")
    assert inspector.at.id == id


async def test_a_note_is_typed_seen_changed_found_and_reported(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = _record(tmp_path)
    async with WalkthroughApp(record, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await _goes_to(inspector, "LA-2")
        asked = inspector.prompt.id
        await inspector.press("ctrl+t", "ctrl+u")
        await inspector.types("why is it warm?")
        # Saved, and back at the question that was in view.
        assert store.load(record.path).outlet("LA-2") == _outlet(record, "LA-2")
        assert _outlet(record, "LA-2").note == "why is it warm?"
        assert inspector.prompt.id == asked
        assert "Note: why is it warm?" in inspector.sees
        # It stands there to be typed on; Escape leaves it as it was.
        await inspector.press("ctrl+t", "!", "enter")
        assert _outlet(record, "LA-2").note == "why is it warm?!"
        await inspector.press("ctrl+t", "x", "escape")
        assert _outlet(record, "LA-2").note == "why is it warm?!"
        await inspector.press("ctrl+f")
        await inspector.types("warm?!", then="")
        assert "1 line" in inspector.sees
        await inspector.press("escape", "ctrl+z")
        assert _outlet(record, "LA-2").note == "why is it warm?"
    record.close()
    assert main(["replay", str(record.path)]) == 0
    told = capsys.readouterr().out
    assert "\nNotes\n-----\n" in told
    assert "LA-2: why is it warm?" in told
    assert main(["replay", str(record.path), "--format", "json"]) == 0
    notes = json.loads(capsys.readouterr().out)["notes"]
    assert {"subject": "LA-2", "of": "outlet", "note": "why is it warm?"} in notes


async def test_a_note_can_be_emptied(record: Record) -> None:
    record.session.dwelling.note = "two\nlines"
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+t")
        assert "> two lines_" in inspector.sees
        await inspector.press("ctrl+u", "enter")
        assert record.session.dwelling.note == ""
    record.close()


@pytest.mark.slow
async def test_pictures_are_counted_on_over_all_subjects(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = _record(tmp_path)
    folder = tmp_path / "house"
    folder.mkdir()
    (folder / "IMG_0414.jpg").write_bytes(b"the picture")
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await _goes_to(inspector, "K-4")
        await inspector.press("ctrl+o")
        # The first one is asked.
        assert "offered" not in inspector.sees
        await inspector.types("IMG_0412.jpg")
        assert "Photo IMG_0412.jpg noted" in inspector.sees
        await inspector.press("ctrl+o")
        assert "Enter: IMG_0413.jpg (offered)" in inspector.sees
        await inspector.press("enter")
        assert _outlet(record, "K-4").photos == ["IMG_0412.jpg", "IMG_0413.jpg"]
        assert store.load(record.path).outlet("K-4") == _outlet(record, "K-4")
        await _goes_to(inspector, "LA-2")
        await inspector.press("ctrl+o", "enter")
        assert _outlet(record, "LA-2").photos == ["IMG_0414.jpg"]
        await inspector.app.workers.wait_for_complete()
        # Only the one at hand has a checksum; Ctrl+Z takes the picture back and not the checksum.
        sums = {"IMG_0414.jpg": hashlib.sha256(b"the picture").hexdigest()}
        assert store.load(record.path).photo_sums == sums
        await inspector.press("ctrl+z")
        assert _outlet(record, "LA-2").photos == []
        assert "Enter: IMG_0414.jpg (offered)" in inspector.sees
        await inspector.press("enter")
        await inspector.app.workers.wait_for_complete()
        for slip in ("../x.jpg", "IMG_0414.jpg"):
            await inspector.press("ctrl+o")
            await inspector.types(slip)
            assert "! " in inspector.sees
            assert _outlet(record, "LA-2").photos == ["IMG_0414.jpg"]
            await inspector.press("escape")
        await inspector.press("ctrl+o", "5", "0", "0", "enter")
        assert _outlet(record, "LA-2").photos == ["IMG_0414.jpg", "IMG_0500.jpg"]
        # Delete takes the last one out again.
        await inspector.press("f2")
        await inspector.types("photos", then="delete")
        assert _outlet(record, "LA-2").photos == ["IMG_0414.jpg"]
        await inspector.press("escape", "ctrl+f")
        await inspector.types("img_0413", then="")
        assert "K-4: photos: IMG_0412.jpg, IMG_0413.jpg" in inspector.sees
    record.close()
    (folder / "IMG_0414.jpg").write_bytes(b"another picture")
    assert main(["replay", str(record.path), "--format", "json"]) == 0
    states = {each["name"]: each["state"] for each in json.loads(capsys.readouterr().out)["photos"]}
    assert states["IMG_0414.jpg"] == "changed"
    assert states["IMG_0412.jpg"] == "missing"
    assert main(["replay", str(record.path)]) == 0
    told = capsys.readouterr().out
    assert "- notice: IMG_0414.jpg is another picture than the one that was recorded" in told
    assert "K-4: IMG_0412.jpg, IMG_0413.jpg" in told
    # Opened again, the app tells it too, and the question stands as ever.
    record = _record(tmp_path)
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.app.workers.wait_for_complete()
        await inspector.settle()
        assert "photo changed: IMG_0414.jpg (LA-2)" in inspector.sees
        assert "IMG_0412" not in inspector.sees.splitlines()[0]
    record.close()


async def test_a_checksum_taken_later_leaves_the_way_back_as_it_was(tmp_path: Path) -> None:
    record = _record(tmp_path)
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await _goes_to(inspector, "LA-2")
        await inspector.press("ctrl+o")
        await inspector.types("IMG_0001.jpg")
    record.close()
    (tmp_path / "IMG_0001.jpg").write_bytes(b"copied from the card")
    record = _record(tmp_path)
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        # The pictures are looked at first, and only then summed by another worker.
        for _ in range(2):
            await inspector.settle()
            await inspector.app.workers.wait_for_complete()
        assert set(store.load(record.path).photo_sums) == {"IMG_0001.jpg"}
    record.close()
    record = _record(tmp_path)
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+z")
        assert _outlet(record, "LA-2").photos == []
        await inspector.press("ctrl+y")
        assert _outlet(record, "LA-2").photos == ["IMG_0001.jpg"]
    record.close()
